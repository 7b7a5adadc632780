//! Where the moving things of a network stand: relays, fuses, diodes.
//!
//! Why: with every one of them in a known position the network is linear. It must not know how the position is found.

use std::collections::BTreeSet;

use super::circuit::Network;
use super::fitted::Fitted;
use super::part::{Part, Position};
use super::place::{PartId, Path};

/// The parts that have left their first position: relays pulled in, fuses blown, diodes conducting.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct State {
    moved: BTreeSet<PartId>,
}

impl State {
    /// Whether it has left its first position.
    pub(super) fn has_moved(&self, part: PartId) -> bool {
        self.moved.contains(&part)
    }

    /// The same with this one moved over, either way.
    pub(super) fn with_moved(&self, part: PartId) -> State {
        let mut next = self.clone();
        if !next.moved.remove(&part) {
            next.moved.insert(part);
        }
        next
    }

    /// Only those moved parts for which `keep` holds.
    pub(super) fn keeping(&self, keep: impl Fn(PartId) -> bool) -> State {
        State { moved: self.moved.iter().copied().filter(|&part| keep(part)).collect() }
    }
}

/// The kinds of moving things.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Device {
    /// Moved by its coil.
    Relay,
    /// Opened by its current, for good.
    Fuse,
    /// Opened and closed by its own voltage and current.
    Diode,
}

impl Fitted {
    /// What it is, if it can move.
    pub(super) fn device(&self) -> Option<Device> {
        match &self.part {
            Part::Relay(_) if self.stuck.is_none() && self.is_sound(Path::Coil) => Some(Device::Relay),
            Part::Fuse { .. } if self.stuck.is_none() && self.is_sound(Path::Main) => Some(Device::Fuse),
            Part::Diode { .. } if self.is_sound(Path::Main) => Some(Device::Diode),
            _ => None,
        }
    }
}

impl Network {
    /// All that can move, in order of addition.
    pub(super) fn devices(&self) -> Vec<(PartId, Device)> {
        let kinds = self.parts.iter().enumerate();
        kinds.filter_map(|(number, fitted)| Some((PartId(number), fitted.device()?))).collect()
    }

    /// Whether this relay is pulled in.
    pub(super) fn is_pulled_in(&self, part: PartId, fitted: &Fitted, state: &State) -> bool {
        match fitted.stuck {
            Some(position) => position == Position::Closed,
            None => state.has_moved(part),
        }
    }
}
