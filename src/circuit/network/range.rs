//! A closed range of a quantity, with arithmetic rounded outwards.
//!
//! Why: an expected reading rules faults out, so its range must hold every value that the parts allow, the computer's own
//! rounding included. Each operation moves its low end down and its high end up by one step of the number format
//! (interval analysis after Moore, 1966). It must not know what the number measures.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// All values from `low` to `high`, both included. Units are those of the quantity it stands for; an open line has
/// `f64::INFINITY` ohm at its high end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least value.
    pub low: f64,
    /// The greatest value.
    pub high: f64,
}

impl Range {
    /// Nothing but 0.
    pub const ZERO: Range = Range { low: 0.0, high: 0.0 };

    /// One value alone.
    pub fn exactly(value: f64) -> Range {
        Range { low: value, high: value }
    }

    /// From the smaller to the greater of two values.
    pub fn between(one: f64, other: f64) -> Range {
        Range { low: one.min(other), high: one.max(other) }
    }

    /// The smallest range that holds both.
    pub fn hull(self, other: Range) -> Range {
        Range { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// Whether the value lies inside, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// How far apart the ends are; infinite for an open line.
    pub fn width(self) -> f64 {
        if self.low == self.high { 0.0 } else { self.high - self.low }
    }

    /// What both hold; for two ranges of one and the same thing.
    pub(super) fn both(self, other: Range) -> Range {
        Range { low: self.low.max(other.low), high: self.high.min(other.high) }
    }

    /// The sizes without their signs.
    pub fn abs(self) -> Range {
        if self.low >= 0.0 {
            self
        } else if self.high <= 0.0 {
            -self
        } else {
            Range { low: 0.0, high: self.high.max(-self.low) }
        }
    }

    /// One value within: the middle, or of a range over powers of ten its lower end, where a part still does its work.
    pub(super) fn at_rest(self) -> Range {
        let far = self.low > 0.0 && self.high > 100.0 * self.low;
        if far || !self.is_wide() { Range::exactly(self.low) } else { Range::exactly(self.low / 2.0 + self.high / 2.0) }
    }

    /// Whether it is a range that a part may lie in, not one value with its rounding.
    pub(super) fn is_wide(self) -> bool {
        self.width() > 1e-12 * self.high.abs().max(self.low.abs())
    }

    /// Both ends as ranges of one value each.
    pub(super) fn ends(self) -> [Range; 2] {
        [Range::exactly(self.low), Range::exactly(self.high)]
    }

    fn is_exactly(self, value: f64) -> bool {
        self.low == value && self.high == value
    }

    /// Steps both ends outwards.
    fn outwards(low: f64, high: f64) -> Range {
        Range { low: low.next_down(), high: high.next_up() }
    }
}

impl Neg for Range {
    type Output = Range;
    fn neg(self) -> Range {
        Range { low: 0.0 - self.high, high: 0.0 - self.low }
    }
}

impl Add for Range {
    type Output = Range;
    fn add(self, other: Range) -> Range {
        if self.is_exactly(0.0) {
            other
        } else if other.is_exactly(0.0) {
            self
        } else {
            // Of two that are not below 0 the sum isn't either, however it is rounded; likewise above.
            let sum = Range::outwards(self.low + other.low, self.high + other.high);
            let low = if self.low >= 0.0 && other.low >= 0.0 { sum.low.max(0.0) } else { sum.low };
            let high = if self.high <= 0.0 && other.high <= 0.0 { sum.high.min(0.0) } else { sum.high };
            Range { low, high }
        }
    }
}

impl Sub for Range {
    type Output = Range;
    fn sub(self, other: Range) -> Range {
        self + -other
    }
}

impl Mul for Range {
    type Output = Range;
    fn mul(self, other: Range) -> Range {
        if self.is_exactly(0.0) || other.is_exactly(0.0) {
            return Range::ZERO;
        }
        if self.low >= 0.0 && other.low >= 0.0 {
            let product = Range::outwards(self.low * other.low, self.high * other.high);
            return Range { low: product.low.max(0.0), high: product.high };
        }
        let corners = [self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high];
        let low = corners.into_iter().fold(f64::INFINITY, f64::min);
        let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Range::outwards(low, high)
    }
}

impl Div for Range {
    type Output = Range;
    /// A divisor that may be 0 gives the whole line, which still holds every quotient.
    fn div(self, other: Range) -> Range {
        if other.low <= 0.0 && other.high >= 0.0 {
            return Range { low: f64::NEG_INFINITY, high: f64::INFINITY };
        }
        if self.is_exactly(0.0) {
            return Range::ZERO;
        }
        if self.low >= 0.0 && other.low > 0.0 {
            let quotient = Range::outwards(self.low / other.high, self.high / other.low);
            return Range { low: quotient.low.max(0.0), high: quotient.high };
        }
        let corners = [self.low / other.low, self.low / other.high, self.high / other.low, self.high / other.high];
        let low = corners.into_iter().fold(f64::INFINITY, f64::min);
        let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Range::outwards(low, high)
    }
}
