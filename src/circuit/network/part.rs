//! The parts that a network is built of, in the words of the trade.
//!
//! Why: one variant a kind of part, with its points and values, so that a circuit declaration maps to it line by line. It must not know how
//! a network is solved.

use super::meter::Meter;
use super::point::PointId;
use super::spread::Spread;

/// Whether a contact conducts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Position {
    /// It does not conduct. Of a relay: at rest, 30 to 87a.
    Open,
    /// It conducts. Of a relay: pulled in, 30 to 87.
    Closed,
}

/// A part with its points. Currents count as positive from the first point named to the second; a battery's when it delivers.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// A battery or another source of voltage, a pulsed driver's mean ([`Spread::scaled_by`]) included.
    Battery {
        /// Its negative post.
        minus: PointId,
        /// Its positive post.
        plus: PointId,
        /// Voltage without load, volts.
        emf: Spread,
        /// Internal resistance, ohm.
        internal: Spread,
    },
    /// A blade fuse.
    Fuse {
        /// Its feed side.
        from: PointId,
        /// Its load side.
        to: PointId,
        /// Rating, ampere.
        rating: f64,
        /// Resistance, ohm; [`super::fuse::usual_resistance`] if not known.
        ohm: Spread,
    },
    /// A wire, connector, resistor, lamp, heater, clutch coil: anything that only has a resistance.
    Conductor {
        /// One end.
        from: PointId,
        /// The other end.
        to: PointId,
        /// Resistance, ohm.
        ohm: Spread,
    },
    /// A motor, as the resistance that its current at a voltage amounts to ([`Spread::from_current`]).
    Motor {
        /// Its plus.
        from: PointId,
        /// Its minus.
        to: PointId,
        /// Turning, ohm.
        running: Spread,
        /// Held fast, ohm; needed only for [`super::Defect::Stalls`].
        stalled: Option<Spread>,
    },
    /// A switch in the position that the setup gives it.
    Switch {
        /// One side.
        from: PointId,
        /// The other side.
        to: PointId,
        /// Whether it conducts.
        position: Position,
        /// Resistance when closed, ohm.
        ohm: Spread,
    },
    /// A relay, terminals after DIN 72552.
    Relay(Relay),
    /// A diode: blocks, or drops `drop` volts and conducts.
    Diode {
        /// The side that current enters.
        anode: PointId,
        /// The side that current leaves.
        cathode: PointId,
        /// Forward voltage, volts.
        drop: Spread,
        /// Resistance on top of it when it conducts, ohm.
        ohm: Spread,
    },
    /// A meter or test lamp left connected.
    Meter {
        /// Its plus lead.
        plus: PointId,
        /// Its minus lead.
        minus: PointId,
        /// Which.
        meter: Meter,
    },
}

/// A relay: a coil that moves a contact.
///
/// A data sheet says at which voltage a relay has surely pulled in and at which it has surely dropped out; between the two this one may be
/// in either position, and both are kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Relay {
    /// The coil's points, 86 and 85.
    pub coil: (PointId, PointId),
    /// Coil resistance, ohm.
    pub coil_ohm: Spread,
    /// 30, the common contact.
    pub common: PointId,
    /// 87, joined to 30 when pulled in.
    pub make: Option<PointId>,
    /// 87a, joined to 30 at rest.
    pub rest: Option<PointId>,
    /// Contact resistance, ohm, of either contact.
    pub contact_ohm: Spread,
    /// Coil voltage at and above which it has surely pulled in, volts.
    pub pull_in: f64,
    /// Coil voltage at and below which it has surely dropped out, volts.
    pub drop_out: f64,
}

impl Relay {
    /// Pull-in and drop-out voltage for a relay of which only the system voltage is known: two thirds and one eighth of it. Mini ISO relay
    /// data sheets give 8.0 V and 1.5 V at 12 V, 16 V and 3 V at 24 V.
    pub fn usual_limits(system_volts: f64) -> (f64, f64) {
        (system_volts * 2.0 / 3.0, system_volts / 8.0)
    }

    /// Contact resistance of a relay in order, 30 to 87: 0.015 V typical and 0.2 V at most, at 10 A (mini ISO relay data sheet).
    pub fn usual_contact() -> Spread {
        Spread::fixed(0.0, 0.0015, 0.02)
    }
}

/// Which of a part's current paths is meant: a relay has two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Path {
    /// The part itself; of a relay, its contact.
    Main,
    /// A relay's coil.
    Coil,
}

/// A part's number in its network, in order of addition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PartId(pub(super) usize);

/// One current path of one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The part.
    pub part: PartId,
    /// Which of its paths.
    pub path: Path,
}

impl From<PartId> for Place {
    fn from(part: PartId) -> Place {
        Place {
            part,
            path: Path::Main,
        }
    }
}

impl PartId {
    /// The coil of this relay.
    pub fn coil(self) -> Place {
        Place {
            part: self,
            path: Path::Coil,
        }
    }
}

impl Part {
    /// The kind in shop words, for messages.
    pub(super) fn kind(&self) -> &'static str {
        match self {
            Part::Battery { .. } => "battery",
            Part::Fuse { .. } => "fuse",
            Part::Conductor { .. } => "plain conductor",
            Part::Motor { .. } => "motor",
            Part::Switch { .. } => "switch",
            Part::Relay(_) => "relay",
            Part::Diode { .. } => "diode",
            Part::Meter { .. } => "meter",
        }
    }

    /// The two ends of each current path: a relay's are its coil and its contacts.
    pub(super) fn paths(&self) -> Vec<(PointId, PointId)> {
        match self {
            Part::Battery { minus, plus, .. } => vec![(*minus, *plus)],
            Part::Fuse { from, to, .. }
            | Part::Conductor { from, to, .. }
            | Part::Motor { from, to, .. }
            | Part::Switch { from, to, .. } => vec![(*from, *to)],
            Part::Diode { anode, cathode, .. } => vec![(*anode, *cathode)],
            Part::Meter { plus, minus, .. } => vec![(*plus, *minus)],
            Part::Relay(relay) => {
                let contacts = [relay.make, relay.rest].into_iter().flatten();
                std::iter::once(relay.coil)
                    .chain(contacts.map(|other| (relay.common, other)))
                    .collect()
            }
        }
    }

    /// The point at which a series resistance of this path is put in.
    pub(super) fn entry(&mut self, path: Path) -> Option<&mut PointId> {
        match (self, path) {
            (Part::Relay(relay), Path::Coil) => Some(&mut relay.coil.0),
            (_, Path::Coil) => None,
            (Part::Relay(relay), Path::Main) => Some(&mut relay.common),
            (Part::Battery { plus, .. }, Path::Main) => Some(plus),
            (
                Part::Fuse { from, .. }
                | Part::Conductor { from, .. }
                | Part::Motor { from, .. }
                | Part::Switch { from, .. },
                Path::Main,
            ) => Some(from),
            (Part::Diode { anode, .. }, Path::Main) => Some(anode),
            (Part::Meter { plus, .. }, Path::Main) => Some(plus),
        }
    }

    /// Every value with a range.
    pub(super) fn spreads(&mut self) -> Vec<&mut Spread> {
        match self {
            Part::Battery { emf, internal, .. } => vec![emf, internal],
            Part::Fuse { ohm, .. } | Part::Conductor { ohm, .. } | Part::Switch { ohm, .. } => {
                vec![ohm]
            }
            Part::Motor {
                running, stalled, ..
            } => std::iter::once(running).chain(stalled).collect(),
            Part::Relay(relay) => vec![&mut relay.coil_ohm, &mut relay.contact_ohm],
            Part::Diode { drop, ohm, .. } => vec![drop, ohm],
            Part::Meter { meter, .. } => meter.spread_mut().into_iter().collect(),
        }
    }
}
