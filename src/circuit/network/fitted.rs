//! A part as it stands in a network, with what is the matter with it.
//!
//! Why: the part says what it is, this says whether it is broken or stuck. It must not know the network around it.

use std::collections::BTreeSet;

use super::part::{Part, Position};
use super::place::Path;
use super::problem::NetworkProblem;

/// Whether a motor turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turning {
    /// As it should.
    Free,
    /// Held fast.
    Stalled,
}

/// A part as it stands in the network.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    /// The author's name.
    pub(super) name: String,
    /// What it is.
    pub(super) part: Part,
    /// Whether its main path is interrupted.
    pub(super) broken: BTreeSet<Path>,
    /// The position that it sticks in.
    pub(super) stuck: Option<Position>,
    /// Whether it turns, if it is a motor.
    pub(super) turning: Turning,
}

impl Fitted {
    /// The problem of a defect that doesn't suit the part.
    pub(super) fn wrong_kind(&self, found: &'static str, expected: &'static str) -> NetworkProblem {
        NetworkProblem::WrongKind { part: self.name.clone(), found, expected }
    }

    /// Whether this path can conduct at all.
    pub(super) fn is_sound(&self, path: Path) -> bool {
        !self.broken.contains(&path)
    }
}
