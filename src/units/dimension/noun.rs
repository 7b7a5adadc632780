//! Dimensions in words of the trade.

use std::fmt;

use super::{Dimension, Role};

/// One quantity that has a name: what it measures, the noun, the symbol it is usually written in.
struct Known {
    dimension: Dimension,
    noun: &'static str,
    symbol: &'static str,
}

const fn known(dimension: Dimension, noun: &'static str, symbol: &'static str) -> Known {
    Known { dimension, noun, symbol }
}

const KNOWN: &[Known] = &[
    known(Dimension::NONE, "plain number", ""),
    known(Dimension::VOLTAGE, "voltage", "V"),
    known(Dimension::VOLTAGE_AC, "AC voltage", "V AC"),
    known(Dimension::CURRENT, "current", "A"),
    known(Dimension::CURRENT_AC, "AC current", "A AC"),
    known(Dimension::RESISTANCE, "resistance", "ohm"),
    known(Dimension::POWER, "power", "W"),
    known(Dimension::ENERGY, "energy", "Wh"),
    known(Dimension::CHARGE, "charge", "Ah"),
    known(Dimension::FREQUENCY, "frequency", "Hz"),
    known(Dimension::ROTATION, "speed of rotation", "rpm"),
    known(Dimension::PRESSURE, "pressure difference", "kPa"),
    known(Dimension::GAUGE_PRESSURE, "gauge pressure", "kPa gauge"),
    known(Dimension::ABSOLUTE_PRESSURE, "absolute pressure", "kPa absolute"),
    known(Dimension::TEMPERATURE_DIFFERENCE, "temperature difference", "K"),
    known(Dimension::TEMPERATURE, "temperature", "degC"),
    known(Dimension::LENGTH, "length", "m"),
    known(Dimension::AREA, "area", "mm²"),
    known(Dimension::TIME, "time", "s"),
    known(Dimension::SPEED, "speed", "km/h"),
    known(Dimension::MASS, "mass", "g"),
    known(Dimension::VOLUME, "volume", "L"),
];

impl Dimension {
    /// What a technician calls it: "voltage", "gauge pressure"; "quantity in kg m² s⁻³" as powers of the
    /// base units if it has no name.
    pub fn noun(self) -> String {
        self.known().map_or_else(|| format!("quantity in {self}"), |known| known.noun.to_owned())
    }

    /// The noun with its article: "a voltage", "an AC voltage".
    pub fn a_noun(self) -> String {
        let noun = self.noun();
        let article = if noun.starts_with(['a', 'e', 'i', 'o', 'A', 'E', 'I', 'O']) { "an" } else { "a" };
        format!("{article} {noun}")
    }

    /// The symbol of the unit it is usually written in; `None` for a plain number or a quantity without a
    /// name.
    pub fn usual_symbol(self) -> Option<&'static str> {
        self.known().map(|known| known.symbol).filter(|symbol| !symbol.is_empty())
    }

    fn known(self) -> Option<&'static Known> {
        KNOWN.iter().find(|known| known.dimension == self)
    }
}

/// The powers of the base units, `kg m² s⁻³ A⁻¹`; the role in brackets where it isn't plain.
impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let powers =
            [("kg", self.kilogram), ("m", self.metre), ("s", self.second), ("A", self.ampere), ("K", self.kelvin)];
        let written: Vec<String> = powers
            .iter()
            .filter(|(_, power)| *power != 0)
            .map(|(symbol, power)| format!("{symbol}{}", superscript(*power)))
            .collect();
        let text = if written.is_empty() { "1".to_owned() } else { written.join(" ") };
        let role = match self.role {
            Role::Plain => "",
            Role::Alternating => " (alternating)",
            Role::Rotation => " (rotation)",
            Role::Temperature => " (on a scale)",
            Role::Gauge => " (gauge)",
            Role::Absolute => " (absolute)",
        };
        f.pad(&format!("{text}{role}"))
    }
}

fn superscript(power: i8) -> String {
    if power == 1 {
        return String::new();
    }
    let raise = |character| match character {
        '-' => '⁻',
        '0' => '⁰',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '4' => '⁴',
        '5' => '⁵',
        '6' => '⁶',
        '7' => '⁷',
        '8' => '⁸',
        _ => '⁹',
    };
    power.to_string().chars().map(raise).collect()
}
