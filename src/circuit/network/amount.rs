//! What the elimination needs of a number: plain values and outward ranges both serve.
//!
//! Why: one elimination, written once, gives the nominal solution and the enclosing one. It must not know circuits.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::range::Range;
use super::spread::{LEAST_OHM, Spread};

/// A number that can be reckoned with: `f64` takes the nominal of a spread, [`Range`] all of it.
pub(super) trait Amount:
    Copy
    + PartialEq
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// Nothing.
    const ZERO: Self;
    /// One.
    const ONE: Self;

    /// The volts of a spread.
    fn volts(spread: &Spread) -> Self;

    /// The ohms of a spread: exactly 0 stays 0 (an ideal link), all else is at least [`LEAST_OHM`].
    fn ohms(spread: &Spread) -> Self;

    /// Whether it is exactly 0.
    fn is_zero(self) -> bool {
        self == Self::ZERO
    }
}

impl Amount for f64 {
    const ZERO: f64 = 0.0;
    const ONE: f64 = 1.0;

    fn volts(spread: &Spread) -> f64 {
        spread.nominal()
    }

    fn ohms(spread: &Spread) -> f64 {
        spread.nominal().max(LEAST_OHM.min(spread.high()))
    }
}

impl Amount for Range {
    const ZERO: Range = Range::ZERO;
    const ONE: Range = Range { low: 1.0, high: 1.0 };

    fn volts(spread: &Spread) -> Range {
        spread.range()
    }

    fn ohms(spread: &Spread) -> Range {
        Range { low: spread.low().max(LEAST_OHM.min(spread.high())), high: spread.high() }
    }
}
