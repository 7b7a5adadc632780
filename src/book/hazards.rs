//! Standing hazards: their words and the caution that each carries. The cautions are common practice of workshops;
//! local codes and licensed practice come first.

use crate::syntax::tree::is_alike;

use super::model::Hazard;

impl Hazard {
    /// Every hazard, in the order of the language's own list.
    pub const ALL: &'static [Hazard] = &[
        Hazard::Moving,
        Hazard::Hot,
        Hazard::Pressurised,
        Hazard::Battery,
        Hazard::Refrigerant,
        Hazard::Airbag,
        Hazard::HighVoltage,
        Hazard::Exhaust,
        Hazard::Raised,
    ];

    /// As written in a book.
    pub fn word(self) -> &'static str {
        match self {
            Hazard::Moving => "moving",
            Hazard::Hot => "hot",
            Hazard::Pressurised => "pressurised",
            Hazard::Battery => "battery",
            Hazard::Refrigerant => "refrigerant",
            Hazard::Airbag => "airbag",
            Hazard::HighVoltage => "high voltage",
            Hazard::Exhaust => "exhaust",
            Hazard::Raised => "raised",
        }
    }

    /// The hazard of that word.
    pub fn find(word: &str) -> Option<Hazard> {
        Hazard::ALL.iter().copied().find(|hazard| is_alike(hazard.word(), word))
    }

    /// The caution that is printed in full before the first step that carries the hazard.
    pub fn caution(self) -> &'static str {
        match self {
            Hazard::Moving => {
                "Fans, belts and pulleys can start by themselves, ignition off included. Keep hands, sleeves, hair and leads clear; unplug the fan before reaching in."
            }
            Hazard::Hot => {
                "Hot parts and coolant burn. Let them cool, or wear gloves and keep the leads off hot metal."
            }
            Hazard::Pressurised => {
                "The system is under pressure. Open no cap or fitting before it is cold and the pressure is let off; wear goggles."
            }
            Hazard::Battery => {
                "Batteries give off hydrogen and can feed hundreds of amperes. No sparks, jewellery off, no tools across the posts; negative off first and on last."
            }
            Hazard::Refrigerant => {
                "Refrigerant freezes skin and eyes, and some burns. Goggles and gloves, ventilate, no flames, never let it off; opening the system is licensed work."
            }
            Hazard::Airbag => {
                "Airbag circuits can fire. No test lamp or ohmmeter on them; ignition off, battery off, and wait the time that the maker states."
            }
            Hazard::HighVoltage => {
                "High voltage (orange) kills. Only qualified persons: isolate, wait, prove dead with a rated meter. Stop here otherwise."
            }
            Hazard::Exhaust => {
                "A running engine gives off carbon monoxide. Extraction on, or work in the open; brake on, out of gear."
            }
            Hazard::Raised => {
                "A raised vehicle or cab can fall. Set it on stands or its prop before anyone goes beneath."
            }
        }
    }

    /// The one line shown at later steps.
    pub fn reminder(self) -> &'static str {
        match self {
            Hazard::Moving => "moving parts: hands, sleeves and leads clear",
            Hazard::Hot => "hot parts: gloves, leads clear",
            Hazard::Pressurised => "under pressure: open nothing, goggles on",
            Hazard::Battery => "battery: no sparks, no tools across the posts",
            Hazard::Refrigerant => "refrigerant: goggles, gloves, never let it off",
            Hazard::Airbag => "airbag: no test lamp, no ohmmeter",
            Hazard::HighVoltage => "high voltage: qualified persons only",
            Hazard::Exhaust => "exhaust: extraction on",
            Hazard::Raised => "raised: on stands before anyone goes beneath",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_hazard_is_found_by_its_word() {
        for hazard in Hazard::ALL {
            assert_eq!(Hazard::find(hazard.word()), Some(*hazard));
        }
    }
}
