//! A reading with its uncertainty: every value between two ends.
//!
//! An end may belong to the interval (closed), lie just outside it (open: `below 0.1 ohm` is not 0.1)
//! or not exist (`OL`). All operations keep that exactly, so a comparison is *too close to call* only
//! when it is.
//!
//! Must not know: units, what was measured, how sure the technician is.

mod arithmetic;
mod product;
mod sets;
mod signs;

#[cfg(test)]
mod tests;

use super::Exact;

/// One end of an interval, in the unit of the whole.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Bound {
    /// No end on this side.
    Unbounded,
    /// Every value up to this one, itself excluded.
    Open(Exact),
    /// Every value up to this one, itself included.
    Closed(Exact),
}

impl Bound {
    /// The number at this end, if there is one.
    pub fn value(&self) -> Option<&Exact> {
        match self {
            Bound::Unbounded => None,
            Bound::Open(value) | Bound::Closed(value) => Some(value),
        }
    }

    /// Whether the end itself belongs to the interval.
    pub fn is_closed(&self) -> bool {
        matches!(self, Bound::Closed(_))
    }

    /// The same kind of end at another number.
    pub fn map(&self, change: impl FnOnce(&Exact) -> Exact) -> Bound {
        match self {
            Bound::Unbounded => Bound::Unbounded,
            Bound::Open(value) => Bound::Open(change(value)),
            Bound::Closed(value) => Bound::Closed(change(value)),
        }
    }
}

/// Every value from `low` to `high`. One made by the functions below is never empty.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Interval {
    /// The lower end.
    pub low: Bound,
    /// The upper end.
    pub high: Bound,
}

impl Interval {
    /// One value, known exactly.
    pub fn point(value: Exact) -> Interval {
        Interval { low: Bound::Closed(value.clone()), high: Bound::Closed(value) }
    }

    /// `centre ± half_width`, both ends included; a negative width counts as positive.
    pub fn around(centre: Exact, half_width: Exact) -> Interval {
        let width = half_width.abs();
        Interval { low: Bound::Closed(&centre - &width), high: Bound::Closed(centre + width) }
    }

    /// From the smaller to the larger of two values, both included.
    pub fn between(one: Exact, other: Exact) -> Interval {
        let (low, high) = if one <= other { (one, other) } else { (other, one) };
        Interval { low: Bound::Closed(low), high: Bound::Closed(high) }
    }

    /// Everything below a value, itself excluded.
    pub fn below(value: Exact) -> Interval {
        Interval { low: Bound::Unbounded, high: Bound::Open(value) }
    }

    /// Everything above a value, itself excluded.
    pub fn above(value: Exact) -> Interval {
        Interval { low: Bound::Open(value), high: Bound::Unbounded }
    }

    /// Any value at all.
    pub fn everything() -> Interval {
        Interval { low: Bound::Unbounded, high: Bound::Unbounded }
    }

    /// From these two ends; `None` if no value lies between them.
    pub fn new(low: Bound, high: Bound) -> Option<Interval> {
        let interval = Interval { low, high };
        if interval.is_empty() { None } else { Some(interval) }
    }

    /// The value, if the interval holds only one.
    pub fn as_point(&self) -> Option<&Exact> {
        match (&self.low, &self.high) {
            (Bound::Closed(low), Bound::Closed(high)) if low == high => Some(low),
            _ => None,
        }
    }

    /// Whether it holds only one value.
    pub fn is_point(&self) -> bool {
        self.as_point().is_some()
    }

    /// The value half-way between the ends; `None` if an end is missing.
    pub fn centre(&self) -> Option<Exact> {
        Some((self.low.value()? + self.high.value()?).half())
    }

    /// How far the ends lie apart; `None` if one is missing.
    pub fn width(&self) -> Option<Exact> {
        Some(self.high.value()? - self.low.value()?)
    }
}
