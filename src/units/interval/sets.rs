//! Intervals as sets of values: what they hold, share and span together.

use std::cmp::Ordering;

use crate::units::{Bound, Exact, Interval};

impl Interval {
    /// Whether no value lies between the ends. Only an interval put together by hand can be empty.
    pub fn is_empty(&self) -> bool {
        match (self.low.value(), self.high.value()) {
            (Some(low), Some(high)) => match low.cmp(high) {
                Ordering::Less => false,
                Ordering::Equal => !(self.low.is_closed() && self.high.is_closed()),
                Ordering::Greater => true,
            },
            _ => false,
        }
    }

    /// Whether the value lies in the interval.
    pub fn contains(&self, value: &Exact) -> bool {
        let above_low = match &self.low {
            Bound::Unbounded => true,
            Bound::Open(low) => low < value,
            Bound::Closed(low) => low <= value,
        };
        let below_high = match &self.high {
            Bound::Unbounded => true,
            Bound::Open(high) => value < high,
            Bound::Closed(high) => value <= high,
        };
        above_low && below_high
    }

    /// Whether every value of it lies in the other.
    pub fn is_within(&self, other: &Interval) -> bool {
        self.intersection(other).as_ref() == Some(self)
    }

    /// Whether at least one value lies in both.
    pub fn intersects(&self, other: &Interval) -> bool {
        self.intersection(other).is_some()
    }

    /// The values that lie in both; `None` if there are none.
    pub fn intersection(&self, other: &Interval) -> Option<Interval> {
        let low = tighter(&self.low, &other.low, Ordering::Greater);
        let high = tighter(&self.high, &other.high, Ordering::Less);
        Interval::new(low, high)
    }

    /// The smallest interval that holds both.
    pub fn hull(&self, other: &Interval) -> Interval {
        Interval {
            low: looser(&self.low, &other.low, Ordering::Less),
            high: looser(&self.high, &other.high, Ordering::Greater),
        }
    }
}

/// Of two ends on one side the one that leaves less; `inward` is how it compares with the other.
fn tighter(one: &Bound, other: &Bound, inward: Ordering) -> Bound {
    match (one.value(), other.value()) {
        (None, _) => other.clone(),
        (_, None) => one.clone(),
        (Some(a), Some(b)) if a == b => if one.is_closed() { other } else { one }.clone(),
        (Some(a), Some(b)) => if a.cmp(b) == inward { one } else { other }.clone(),
    }
}

/// Of two ends on one side the one that leaves more; `outward` is how it compares with the other.
fn looser(one: &Bound, other: &Bound, outward: Ordering) -> Bound {
    match (one.value(), other.value()) {
        (None, _) | (_, None) => Bound::Unbounded,
        (Some(a), Some(b)) if a == b => if one.is_closed() { one } else { other }.clone(),
        (Some(a), Some(b)) => if a.cmp(b) == outward { one } else { other }.clone(),
    }
}
