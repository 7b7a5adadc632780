//! The direct-current network of a circuit: what every reading must be, sound or with a fault, over the ranges of its parts.
//!
//! Why: a circuit rules faults out by physics, not by a rule somebody wrote. It knows parts, points, faults and readings as plain values, and must not
//! know rulebooks, grammar, or what a verdict is.
//!
//! # The way of a reading
//! 1. `circuit` holds the network: `point`s, `part`s (`relay` among them) with their `spread`s, each `fitted` with what is the matter with it;
//!    `check` keeps nonsense out. `defect` says what may be wrong, `suffer` makes it so, in a copy. `meter` has the instruments and readings;
//!    `nominal` connects one, which then is a part like any other.
//! 2. `settle` finds the positions that relays, fuses and diodes may end in, asking `drive` what moves each and `judge` (for fuses `fuse`) whether
//!    it moves. A `state` is one set of positions, an `outcome` one that may last.
//! 3. In each, `branch` turns the parts into linear branches; `links` joins what has no resistance; `islands` finds what floats.
//! 4. At nominal values `solution` solves by `mesh`, with the `currents` that follow. Over ranges `enclose` reads a `port`: `reduce` joins series
//!    and parallel `arm`s; `extremes` goes to the end of each range to which `slopes` (by `wide_mesh`) point, `corners` tries both ends of the others.
//! 5. `expected` gathers the outcomes; `basis` names the parts whose value was only presumed but matters.
//!
//! # Why the ranges enclose
//! With positions fixed the network is linear, and each reading is, in every single resistance and source voltage, a quotient of two polynomials of
//! first degree with a denominator that can't be 0: monotone in each, so extreme at corners of the box of ranges (see `corners`); where it is monotone
//! one way whatever the others are, at one end of that range (see `slopes`). Positions are not
//! fixed, so a corner alone says nothing about what lies between two corners with different relays pulled in. Therefore the positions are
//! searched first: coil voltages and fuse currents are such readings too, so their ranges tell for sure which positions can't come about, and
//! the search follows all others (see `settle`). What a reading may be is the hull over all positions that remain, each over the whole box:
//! at least all that can happen, sometimes more. Rounding is enclosed by outward arithmetic (see `range`).
//!
//! # What it is not
//! Direct current at rest: no inrush, no inductive kick, no heating; a lamp is hot, a pulsed driver is its mean voltage. A relay held by its own contact
//! since an earlier moment is found at rest, as after switching the supply on.

mod amount;
mod arm;
mod basis;
mod branch;
mod check;
mod circuit;
mod corners;
mod currents;
mod defect;
mod drive;
mod enclose;
mod expected;
mod extremes;
mod fitted;
pub mod fuse;
mod islands;
mod judge;
mod links;
mod mesh;
mod meter;
mod nominal;
mod outcome;
mod part;
mod place;
mod point;
mod port;
mod problem;
mod range;
mod reduce;
mod relay;
mod settle;
mod slopes;
mod solution;
mod spread;
mod spread_problem;
mod state;
mod suffer;
#[cfg(test)]
mod tests;
mod wide_mesh;

pub use circuit::Network;
pub use defect::{Defect, SHORT_OHM};
pub use expected::{Expected, ExpectedOutcome};
pub use meter::{Ammeter, LOW_IMPEDANCE_OHM, Meter, Reading, VOLTMETER_OHM};
pub use outcome::{Blown, Outcome};
pub use part::{Part, Position};
pub use place::{PartId, Path, Place};
pub use point::{GROUND, PointId};
pub use port::{MOST_CORNER_RANGES, Method};
pub use problem::NetworkProblem;
pub use range::Range;
pub use relay::Relay;
pub use settle::MOST_STATES;
pub use solution::Solution;
pub use spread::{Basis, GREATEST_VALUE, LEAST_OHM, Spread};
pub use spread_problem::SpreadProblem;
