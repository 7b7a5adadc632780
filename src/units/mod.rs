//! Numbers, their uncertainty, and the units of the trade.
//!
//! A limit must be compared with a reading exactly: 11.9 ± 0.1 reaches 12.0 and nothing else. So
//! numbers are exact fractions, a reading is an interval with open or closed ends, every unit has an
//! exact factor to SI, and a dimension keeps a temperature apart from a temperature difference.
//!
//! Must not know: rulebooks, readings, files, the terminal. Nothing here prints or reads.

pub mod accuracy;
pub mod dimension;
pub mod exact;
pub mod functions;
pub mod guard_band;
pub mod interval;
pub mod root_sum_square;
pub mod unit;

pub use {
    accuracy::Accuracy,
    dimension::{Dimension, Role},
    exact::Exact,
    guard_band::GuardBand,
    interval::{Bound, Interval},
    root_sum_square::RootSumSquare,
    unit::{Unit, UnitProblem},
};
