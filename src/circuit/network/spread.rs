//! The value of a part: what it nominally is, between what it may lie, and whether its author said so.
//!
//! Why: a reading rules a fault out only if every part that matters has a range that somebody stands behind; a value that was merely
//! presumed keeps the circuit solvable but is named in the result. It must not know which part it belongs to.

use super::range::Range;
use super::spread_problem::SpreadProblem;

/// The least resistance, in ohm, that a part with a range is taken to have: a joint "at most 5 mohm" lies between this
/// and 5 mohm. A metre of 25 mm² cable has 700 times as much. Only a part of exactly 0 ohm is an ideal link.
pub const LEAST_OHM: f64 = 1e-6;

/// The greatest value, in volts or ohm: beyond it a part is as good as left out.
pub const GREATEST_VALUE: f64 = 1e12;

/// How far a presumed value is moved either way, as a factor, to find out whether it matters.
const PRESUMED_FACTOR: f64 = 10.0;

/// Who stands behind a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The author of the circuit gave the value or its range.
    Stated,
    /// A usual value was put in because none was given.
    Presumed,
}

/// A value of volts or ohms, 0 or more, with its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    low: f64,
    nominal: f64,
    high: f64,
    basis: Basis,
}

impl Spread {
    /// One value, known exactly; 0 ohm is an ideal link.
    ///
    /// # Errors
    /// If it is negative or no number.
    pub fn exactly(value: f64) -> Result<Spread, SpreadProblem> {
        Spread::new(value, value, value)
    }

    /// A range; the nominal is its middle.
    ///
    /// # Errors
    /// If an end is negative or no number, or the ends are reversed.
    pub fn between(low: f64, high: f64) -> Result<Spread, SpreadProblem> {
        Spread::new(low, low / 2.0 + high / 2.0, high)
    }

    /// A range with a nominal value of its own.
    ///
    /// # Errors
    /// If a value is negative or no number, or they are not in rising order.
    pub fn new(low: f64, nominal: f64, high: f64) -> Result<Spread, SpreadProblem> {
        for value in [low, nominal, high] {
            if !(0.0..=GREATEST_VALUE).contains(&value) {
                return Err(SpreadProblem::NotAValue(value));
            }
        }
        if low > nominal || nominal > high {
            return Err(SpreadProblem::Reversed { low, nominal, high });
        }
        Ok(Spread { low, nominal, high, basis: Basis::Stated })
    }

    /// A value of this module's own, known to be in order.
    pub(super) const fn fixed(low: f64, nominal: f64, high: f64) -> Spread {
        Spread { low, nominal, high, basis: Basis::Stated }
    }

    /// A value and how far it may be off, as a fraction of it: `around(255.0, 0.1)` is 255 ohm ± 10 %.
    ///
    /// # Errors
    /// If the value is negative, or the fraction lies outside 0 to 1.
    pub fn around(nominal: f64, fraction: f64) -> Result<Spread, SpreadProblem> {
        if !(0.0..=1.0).contains(&fraction) {
            return Err(SpreadProblem::NotAShare(fraction));
        }
        Spread::new(nominal * (1.0 - fraction), nominal, nominal * (1.0 + fraction))
    }

    /// A usual value, put in where the author gave none.
    ///
    /// # Errors
    /// If it is negative or no number.
    pub fn presumed(value: f64) -> Result<Spread, SpreadProblem> {
        Ok(Spread { basis: Basis::Presumed, ..Spread::exactly(value)? })
    }

    /// The resistance in ohm of a load that takes `least` to `most` ampere at `volts`: a motor of 6 A to 9 A at 26 V.
    ///
    /// # Errors
    /// If a current is 0 or less, or they are reversed.
    pub fn from_current(volts: f64, least: f64, most: f64) -> Result<Spread, SpreadProblem> {
        if least <= 0.0 || most <= 0.0 {
            return Err(SpreadProblem::NoLoad);
        }
        Spread::new(volts / most, volts / (least / 2.0 + most / 2.0), volts / least)
    }

    /// The resistance in ohm of a load of `watts` at `volts`, R = U²/P: a lamp of 21 W at 12 V, hot. A cold filament has far less.
    ///
    /// # Errors
    /// If the power is 0 or less.
    pub fn from_power(volts: f64, watts: f64) -> Result<Spread, SpreadProblem> {
        if watts <= 0.0 {
            return Err(SpreadProblem::NoLoad);
        }
        Spread::exactly(volts * volts / watts)
    }

    /// The mean of a voltage that is switched on and off, where `duty` is the share of time that it is on, 0 to 1. A load behind a pulsed
    /// driver is reckoned at this mean; the pulses themselves and their drop in the supply leads are not.
    ///
    /// # Errors
    /// If the duty lies above 1.
    pub fn scaled_by(self, duty: Spread) -> Result<Spread, SpreadProblem> {
        if duty.high > 1.0 {
            return Err(SpreadProblem::NotAShare(duty.high));
        }
        let range = self.range() * duty.range();
        let basis = if self.basis == Basis::Presumed { self.basis } else { duty.basis };
        Ok(Spread { basis, ..Spread::new(range.low.max(0.0), self.nominal * duty.nominal, range.high)? })
    }

    /// The low end.
    pub fn low(&self) -> f64 {
        self.low
    }

    /// What it nominally is.
    pub fn nominal(&self) -> f64 {
        self.nominal
    }

    /// The high end.
    pub fn high(&self) -> f64 {
        self.high
    }

    /// Whether it was stated or presumed.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// Both ends.
    pub fn range(&self) -> Range {
        Range { low: self.low, high: self.high }
    }

    /// A presumed value moved ten times down and up; a stated one as it is.
    pub(super) fn widened(self) -> Spread {
        match self.basis {
            Basis::Stated => self,
            Basis::Presumed => Spread { low: self.low / PRESUMED_FACTOR, high: self.high * PRESUMED_FACTOR, ..self },
        }
    }
}
