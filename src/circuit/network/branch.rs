//! The linear branches that a network comes down to once every relay, fuse and diode has its position.
//!
//! Why: a voltage and a resistance between two points is all that the solver has to know of a part. An open part is left out,
//! never a large resistance.

use super::amount::Amount;
use super::circuit::Network;
use super::fitted::{Fitted, Turning};
use super::part::{Part, Position};
use super::place::{PartId, Path, Place};
use super::point::PointId;
use super::relay::Relay;
use super::spread::Spread;
use super::state::State;

/// A branch: U(from) − U(to) = `volts` + `ohms` · I, with I positive from `from` to `to`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branch<T> {
    /// Number of the point where current counts as entering.
    pub(super) from: usize,
    /// Number of the point where it leaves.
    pub(super) to: usize,
    /// Its own voltage, volts.
    pub(super) volts: T,
    /// Its resistance, ohm.
    pub(super) ohms: T,
    /// Which part it is.
    pub(super) place: Place,
}

/// Whether batteries are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Supply {
    /// As built.
    Connected,
    /// Lifted off, to measure resistance.
    Lifted,
}

/// Collects the branches of one part after the other.
struct Branches<T> {
    list: Vec<Branch<T>>,
    part: PartId,
}

impl<T: Amount> Branches<T> {
    fn resistor(&mut self, path: Path, ends: (PointId, PointId), ohm: &Spread) {
        self.source(path, ends, T::ZERO, ohm);
    }

    fn source(&mut self, path: Path, (from, to): (PointId, PointId), volts: T, ohm: &Spread) {
        let place = Place { part: self.part, path };
        self.list.push(Branch { from: from.0, to: to.0, volts, ohms: T::ohms(ohm), place });
    }

    fn relay(&mut self, relay: &Relay, fitted: &Fitted, pulled_in: bool) {
        if fitted.is_sound(Path::Coil) {
            self.resistor(Path::Coil, relay.coil, &relay.coil_ohm);
        }
        let contact = if pulled_in { relay.make } else { relay.rest };
        if let Some(other) = contact.filter(|_| fitted.is_sound(Path::Main)) {
            self.resistor(Path::Main, (relay.common, other), &relay.contact_ohm);
        }
    }
}

impl Network {
    /// All branches that conduct in this state.
    pub(super) fn branches<T: Amount>(&self, state: &State, supply: Supply) -> Vec<Branch<T>> {
        let mut branches = Branches { list: Vec::with_capacity(self.parts.len() + 4), part: PartId(0) };
        for (number, fitted) in self.parts.iter().enumerate() {
            branches.part = PartId(number);
            if let Part::Relay(relay) = &fitted.part {
                branches.relay(relay, fitted, self.is_pulled_in(PartId(number), fitted, state));
            } else if fitted.is_sound(Path::Main) {
                branches.plain(fitted, state.has_moved(PartId(number)), supply);
            }
        }
        branches.list
    }
}

impl<T: Amount> Branches<T> {
    /// A part with one path, not broken.
    fn plain(&mut self, fitted: &Fitted, moved: bool, supply: Supply) {
        let main = Path::Main;
        match &fitted.part {
            Part::Battery { minus, plus, emf, internal } => {
                if supply == Supply::Connected {
                    self.source(main, (*minus, *plus), -T::volts(emf), internal);
                }
            }
            Part::Fuse { from, to, ohm, .. } => {
                if !moved {
                    self.resistor(main, (*from, *to), ohm);
                }
            }
            Part::Conductor { from, to, ohm } => self.resistor(main, (*from, *to), ohm),
            Part::Motor { from, to, running, stalled } => {
                let ohm = if fitted.turning == Turning::Stalled { stalled.as_ref() } else { None };
                self.resistor(main, (*from, *to), ohm.unwrap_or(running));
            }
            Part::Switch { from, to, position, ohm } => {
                if fitted.stuck.unwrap_or(*position) == Position::Closed {
                    self.resistor(main, (*from, *to), ohm);
                }
            }
            Part::Diode { anode, cathode, drop, ohm } => {
                if moved {
                    self.source(main, (*anode, *cathode), T::volts(drop), ohm);
                }
            }
            Part::Meter { plus, minus, meter } => self.resistor(main, (*plus, *minus), &meter.ohm()),
            Part::Relay(_) => {}
        }
    }
}
