//! The parts that a network is built of, in the words of the trade.
//!
//! Why: one variant a kind of part, with its points and values, so that a circuit declaration maps to it line by line. It must not know how
//! a network is solved.

use super::meter::Meter;
use super::place::Path;
use super::point::PointId;
use super::relay::Relay;
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
                std::iter::once(relay.coil).chain(contacts.map(|other| (relay.common, other))).collect()
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
            Part::Motor { running, stalled, .. } => std::iter::once(running).chain(stalled).collect(),
            Part::Relay(relay) => vec![&mut relay.coil_ohm, &mut relay.contact_ohm],
            Part::Diode { drop, ohm, .. } => vec![drop, ohm],
            Part::Meter { meter, .. } => meter.spread_mut().into_iter().collect(),
        }
    }
}
