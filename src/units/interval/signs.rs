//! Comparisons as questions about the sign of a difference.
//!
//! Each answers `Some(true)` if the comparison holds for every value of the interval, `Some(false)` if
//! for none, and `None` if that depends on the value: too close to call. Source of the rule: interval
//! analysis, Moore, *Interval Analysis* (1966).

use crate::units::{Bound, Exact, Interval};

/// On which side of nought all values lie.
struct Sides {
    below: bool,
    not_above: bool,
    above: bool,
    not_below: bool,
}

impl Interval {
    /// Is it below 0?
    pub fn less_than_zero(&self) -> Option<bool> {
        let sides = self.sides();
        decided(sides.below, sides.not_below)
    }

    /// Is it 0 or below?
    pub fn at_most_zero(&self) -> Option<bool> {
        let sides = self.sides();
        decided(sides.not_above, sides.above)
    }

    /// Is it above 0?
    pub fn greater_than_zero(&self) -> Option<bool> {
        let sides = self.sides();
        decided(sides.above, sides.not_above)
    }

    /// Is it 0 or above?
    pub fn at_least_zero(&self) -> Option<bool> {
        let sides = self.sides();
        decided(sides.not_below, sides.below)
    }

    fn sides(&self) -> Sides {
        let high = self.high.value().map(|high| (high.is_negative(), high.is_zero()));
        let low = self.low.value().map(|low| (!low.is_negative() && !low.is_zero(), low.is_zero()));
        let (high_open, low_open) = (!self.high.is_closed(), !self.low.is_closed());
        Sides {
            below: high.is_some_and(|(negative, zero)| negative || zero && high_open),
            not_above: high.is_some_and(|(negative, zero)| negative || zero),
            above: low.is_some_and(|(positive, zero)| positive || zero && low_open),
            not_below: low.is_some_and(|(positive, zero)| positive || zero),
        }
    }
}

fn decided(always: bool, never: bool) -> Option<bool> {
    match (always, never) {
        (true, _) => Some(true),
        (false, true) => Some(false),
        (false, false) => None,
    }
}

impl Bound {
    /// Whether the number at this end is 0.
    pub(super) fn is_at_zero(&self) -> bool {
        self.value().is_some_and(Exact::is_zero)
    }
}
