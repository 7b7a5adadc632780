//! The units of the trade: one table, one row a unit.
//!
//! Each has an exact factor to its SI base unit, so 1 psi, 72 degF or 0.1 mV convert without rounding.
//! Only the wire gauge, which counts drawing steps, is computed. No prefix is guessed: `Mohm` and `mohm`
//! are two rows.
//!
//! Must not know: readings, rulebooks, what a technician meant to measure.

pub mod awg;
mod convert;
mod find;
mod prefix;
mod problem;
mod show;
mod table;

#[cfg(test)]
mod tests;

use super::{Dimension, Exact};

pub use problem::UnitProblem;

/// How a number in the unit becomes one in SI base units.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Scale {
    /// base = number × factor + offset. The offset is not 0 for degC and degF only.
    Straight {
        /// Base units in one of this unit.
        factor: Exact,
        /// The base value at the unit's own 0.
        offset: Exact,
    },
    /// American wire gauge: a number of drawing steps stands for an area (ASTM B258).
    WireGauge,
}

/// One unit of the trade.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unit {
    /// How it is written in all output: `V`, `ohm`, `kPa gauge`, `mm²`.
    pub symbol: &'static str,
    /// Other spellings that are read: `Ω`, `mm2`, `°C`.
    pub others: &'static [&'static str],
    /// Words that are not read but show what was meant: `volt`, `amps`, `psig`.
    pub words: &'static [&'static str],
    /// The symbol of a difference: `K` for degC, `kPa` for kPa gauge, else the unit's own.
    pub difference: &'static str,
    /// What it is a unit of, in words of the trade: "voltage".
    pub noun: &'static str,
    /// What it is a unit of, for checks.
    pub dimension: Dimension,
    /// How it converts to SI base units.
    pub scale: Scale,
}
