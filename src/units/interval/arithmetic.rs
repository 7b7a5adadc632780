//! `+ - * /` on intervals: the smallest interval that holds every result.
//!
//! The two operands count as independent. An expression that uses one reading twice must be reduced
//! by its caller first (`x - x` is 0, but not here).

use super::product;
use crate::units::{Bound, Exact, Interval};

impl Interval {
    /// Every sum of a value of one and a value of the other.
    #[allow(clippy::should_implement_trait)]
    pub fn add(&self, other: &Interval) -> Interval {
        if let (Some(a), Some(b)) = (self.as_point(), other.as_point()) {
            return Interval::point(a + b);
        }
        Interval { low: sum(&self.low, &other.low), high: sum(&self.high, &other.high) }
    }

    /// Every difference.
    #[allow(clippy::should_implement_trait)]
    pub fn sub(&self, other: &Interval) -> Interval {
        if let (Some(a), Some(b)) = (self.as_point(), other.as_point()) {
            return Interval::point(a - b);
        }
        self.add(&other.neg())
    }

    /// Every value with its sign turned.
    #[allow(clippy::should_implement_trait)]
    pub fn neg(&self) -> Interval {
        Interval { low: self.high.map(|high| -high), high: self.low.map(|low| -low) }
    }

    /// Every value times one exact factor.
    pub fn scale(&self, factor: &Exact) -> Interval {
        if factor.is_zero() {
            return Interval::point(Exact::zero());
        }
        let low = self.low.map(|low| low * factor);
        let high = self.high.map(|high| high * factor);
        if factor.is_negative() { Interval { low: high, high: low } } else { Interval { low, high } }
    }

    /// Every product.
    #[allow(clippy::should_implement_trait)]
    pub fn mul(&self, other: &Interval) -> Interval {
        match (self.as_point(), other.as_point()) {
            (Some(a), Some(b)) => return Interval::point(a * b),
            (Some(a), None) => return other.scale(a),
            (None, Some(b)) => return self.scale(b),
            (None, None) => {}
        }
        product::extremes(self, other)
    }

    /// Every quotient; `None` if the divisor may be 0. A divisor that only comes near to 0 gives a
    /// result without an end on that side.
    #[allow(clippy::should_implement_trait)]
    pub fn div(&self, divisor: &Interval) -> Option<Interval> {
        let inverse = divisor.inverse()?;
        Some(self.mul(&inverse))
    }

    /// The interval with both ends moved outward by a width; an open end stays open.
    pub fn widen(&self, half_width: &Exact) -> Interval {
        let width = half_width.abs();
        Interval { low: self.low.map(|low| low - &width), high: self.high.map(|high| high + &width) }
    }

    /// 1 over every value; `None` if 0 is among them.
    fn inverse(&self) -> Option<Interval> {
        if self.contains(&Exact::zero()) || self.is_empty() {
            return None;
        }
        Some(Interval { low: inverse_end(&self.high), high: inverse_end(&self.low) })
    }
}

fn inverse_end(end: &Bound) -> Bound {
    let inverse = |value: &Exact| Exact::one().checked_div(value);
    match end {
        Bound::Unbounded => Bound::Open(Exact::zero()),
        Bound::Open(value) => inverse(value).map_or(Bound::Unbounded, Bound::Open),
        Bound::Closed(value) => inverse(value).map_or(Bound::Unbounded, Bound::Closed),
    }
}

fn sum(one: &Bound, other: &Bound) -> Bound {
    match (one, other) {
        (Bound::Closed(a), Bound::Closed(b)) => Bound::Closed(a + b),
        _ => match (one.value(), other.value()) {
            (Some(a), Some(b)) => Bound::Open(a + b),
            _ => Bound::Unbounded,
        },
    }
}
