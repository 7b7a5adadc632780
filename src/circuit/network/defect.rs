//! What may be wrong with a network: the faults of a circuit declaration, and the changes of a setup.
//!
//! Why: a fault is the sound network with a change, nothing more, so that each is reckoned in the same way. It must not know their names in a
//! rulebook.

use super::circuit::Network;
use super::part::Position;
use super::place::{PartId, Place};
use super::point::PointId;
use super::problem::NetworkProblem;
use super::spread::Spread;

/// Resistance of a short where the author gives none, ohm (algorithms.md section 7).
pub const SHORT_OHM: f64 = 0.01;

/// One change to a sound network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Defect {
    /// The path conducts no more: a broken wire, a blown fuse, a dead motor, a connector pulled off.
    Open(Place),
    /// Two points touch.
    Short {
        /// One.
        from: PointId,
        /// The other.
        to: PointId,
        /// Resistance of the touch, ohm; see [`Defect::short`].
        ohm: Spread,
    },
    /// Resistance in series with the path: corrosion, a burnt contact.
    Adds {
        /// The path.
        at: Place,
        /// How much, ohm.
        ohm: Spread,
    },
    /// A switch or relay stays in a position whatever moves it; a fuse stuck closed is bridged and never opens.
    Sticks {
        /// The part.
        part: PartId,
        /// Where it stays.
        position: Position,
    },
    /// A battery that is discharged or worn.
    Weak {
        /// The battery.
        battery: PartId,
        /// Its voltage without load instead, volts.
        emf: Option<Spread>,
        /// Its internal resistance instead, ohm.
        internal: Option<Spread>,
    },
    /// A fuse of another rating in this place.
    Rating {
        /// The fuse.
        fuse: PartId,
        /// Its rating, ampere.
        ampere: f64,
    },
    /// A motor held fast.
    Stalls(PartId),
    /// A part replaced by a plain resistance: a coil with shorted turns, a direct feed through a lead.
    Becomes {
        /// The path.
        at: Place,
        /// Its resistance instead, ohm.
        ohm: Spread,
    },
}

impl Defect {
    /// A short of [`SHORT_OHM`].
    pub fn short(from: PointId, to: PointId) -> Defect {
        Defect::Short { from, to, ohm: Spread::fixed(SHORT_OHM, SHORT_OHM, SHORT_OHM) }
    }
}

impl Network {
    /// A copy with these defects, made in their order.
    ///
    /// # Errors
    /// If a defect names a part or point of another network or a kind of part that can't have it.
    pub fn with(&self, defects: &[Defect]) -> Result<Network, NetworkProblem> {
        let mut copy = self.clone();
        for defect in defects {
            copy.suffer(defect)?;
        }
        Ok(copy)
    }
}
