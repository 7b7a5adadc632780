//! What is read of a linear network, with how much effort, and what comes of it.
//!
//! Why: the words that the steps of an enclosing reading share. It must not know how the range is found.

use super::range::Range;

/// Ranges tried at both ends each; more are brought down to this many first.
pub const MOST_CORNER_RANGES: usize = 12;

/// How many ranges are tried for a first look, which often decides a relay or fuse already.
const FIRST_LOOK_RANGES: usize = 4;

/// How a range was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// At every corner of the ranges that matter: the tightest range there is, but for rounding.
    EveryCorner,
    /// Some points were first taken out by star-mesh transformation on ranges: enclosing, perhaps wider than need be.
    StarMesh,
}

/// How much trouble is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Effort {
    /// Quick and enclosing.
    FirstLook,
    /// As tight as can be.
    Full,
}

impl Effort {
    /// How many ranges are tried at both ends.
    pub(super) fn ranges(self) -> usize {
        match self {
            Effort::FirstLook => FIRST_LOOK_RANGES,
            Effort::Full => MOST_CORNER_RANGES,
        }
    }
}

/// What is read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Port {
    /// Volts between two points, both joined by the network or the meter.
    Voltage {
        /// Plus.
        from: usize,
        /// Minus.
        to: usize,
    },
    /// Ampere through a branch.
    Current {
        /// Its number.
        branch: usize,
    },
    /// Ohm between two points, all sources gone.
    Resistance {
        /// One.
        from: usize,
        /// The other.
        to: usize,
    },
}

/// A range with the way it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Enclosed {
    /// The range.
    pub(super) range: Range,
    /// The way.
    pub(super) method: Method,
}

impl Enclosed {
    /// Exactly 0.
    pub(super) fn nothing() -> Enclosed {
        Enclosed { range: Range::ZERO, method: Method::EveryCorner }
    }

    /// Both together.
    pub(super) fn hull(self, other: Enclosed) -> Enclosed {
        Enclosed { range: self.range.hull(other.range), method: self.method.max(other.method) }
    }
}
