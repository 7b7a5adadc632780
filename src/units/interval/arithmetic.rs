//! `+ - * /` on intervals: the smallest interval that holds every result.
//!
//! The two operands count as independent. An expression that uses one reading twice must be reduced
//! by its caller first (`x - x` is 0, but not here).

use std::cmp::Ordering;

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
        let corners = [
            Corner::product((&self.low, Side::Low), (&other.low, Side::Low)),
            Corner::product((&self.low, Side::Low), (&other.high, Side::High)),
            Corner::product((&self.high, Side::High), (&other.low, Side::Low)),
            Corner::product((&self.high, Side::High), (&other.high, Side::High)),
        ];
        let low = Corner::outermost(&corners, Ordering::Less);
        let high = Corner::outermost(&corners, Ordering::Greater);
        Interval { low: low.into_bound(), high: high.into_bound() }
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

/// Which end of an interval: a missing low end is minus infinity, a missing high end plus infinity.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Low,
    High,
}

/// The product of two ends. A product is linear in each factor, so its extremes lie at corners.
#[derive(Clone)]
enum Corner {
    Infinite(Side),
    At { value: Exact, reached: bool },
}

impl Corner {
    fn product(one: (&Bound, Side), other: (&Bound, Side)) -> Corner {
        let zero = |reached| Corner::At { value: Exact::zero(), reached };
        let sure_zero = |end: &Bound| end.is_closed() && end.is_at_zero();
        if sure_zero(one.0) || sure_zero(other.0) {
            return zero(true);
        }
        // 0 times infinity: the neighbouring corners, whose factors are not 0, reach the infinity.
        if one.0.is_at_zero() || other.0.is_at_zero() {
            return zero(false);
        }
        match (one.0.value(), other.0.value()) {
            (Some(a), Some(b)) => {
                Corner::At { value: a * b, reached: one.0.is_closed() && other.0.is_closed() }
            }
            _ if is_negative(one) == is_negative(other) => Corner::Infinite(Side::High),
            _ => Corner::Infinite(Side::Low),
        }
    }

    /// The corner that lies furthest out; of two at the same value the one that is reached.
    fn outermost(corners: &[Corner], outward: Ordering) -> Corner {
        let further = |best: Corner, next: &Corner| match next.compare(&best) {
            order if order == outward => next.clone(),
            Ordering::Equal if next.is_reached() => next.clone(),
            _ => best,
        };
        let inmost = if outward == Ordering::Less { Side::High } else { Side::Low };
        corners.iter().fold(Corner::Infinite(inmost), further)
    }

    fn compare(&self, other: &Corner) -> Ordering {
        match (self, other) {
            (Corner::At { value: a, .. }, Corner::At { value: b, .. }) => a.cmp(b),
            (Corner::Infinite(a), Corner::Infinite(b)) if a == b => Ordering::Equal,
            (Corner::Infinite(Side::Low), _) | (_, Corner::Infinite(Side::High)) => Ordering::Less,
            (Corner::Infinite(Side::High), _) | (_, Corner::Infinite(Side::Low)) => Ordering::Greater,
        }
    }

    fn is_reached(&self) -> bool {
        matches!(self, Corner::At { reached: true, .. })
    }

    fn into_bound(self) -> Bound {
        match self {
            Corner::Infinite(_) => Bound::Unbounded,
            Corner::At { value, reached: true } => Bound::Closed(value),
            Corner::At { value, reached: false } => Bound::Open(value),
        }
    }
}

fn is_negative((end, side): (&Bound, Side)) -> bool {
    end.value().map_or(side == Side::Low, Exact::is_negative)
}
