//! The extremes of a product, which lie at the corners of the two intervals.

use std::cmp::Ordering;

use crate::units::{Bound, Exact, Interval};

/// The smallest interval that holds every product of a value of one and a value of the other.
pub(super) fn extremes(one: &Interval, other: &Interval) -> Interval {
    let corners = [
        Corner::product((&one.low, Side::Low), (&other.low, Side::Low)),
        Corner::product((&one.low, Side::Low), (&other.high, Side::High)),
        Corner::product((&one.high, Side::High), (&other.low, Side::Low)),
        Corner::product((&one.high, Side::High), (&other.high, Side::High)),
    ];
    let low = Corner::outermost(&corners, Ordering::Less);
    let high = Corner::outermost(&corners, Ordering::Greater);
    Interval { low: low.into_bound(), high: high.into_bound() }
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
            (Some(a), Some(b)) => Corner::At { value: a * b, reached: one.0.is_closed() && other.0.is_closed() },
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
