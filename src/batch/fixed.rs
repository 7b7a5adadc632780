//! Whole numbers for readings: thousand-millionths of the reading's own unit. Ends of intervals and limits lie on one scale
//! of twice that fineness, whose odd places are *just beside* the even ones: an open end, or a limit between two steps.
//! So every comparison of exact numbers is one of whole numbers, and exact.

use crate::units::{Bound, Exact, Interval};

/// Decimals of a reading's own unit that are kept.
pub(super) const DECIMALS: u32 = 9;
/// Numbers beyond this many steps are left to the ordinary judge.
pub(super) const FARTHEST: i128 = 1 << 60;
/// An end that is not there.
pub(super) const NO_END: i64 = i64::MIN;

/// How a reading's steps become base units: base = steps × factor + offset.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Steps {
    pub(super) factor: Exact,
    pub(super) offset: Exact,
}

impl Steps {
    /// The whole number of steps of a base value; none where it is no whole one.
    fn of(&self, base: &Exact) -> Option<i128> {
        let (steps, one) = (base - &self.offset).checked_div(&self.factor)?.to_fraction()?;
        (one == 1 && steps.abs() < FARTHEST).then_some(steps)
    }

    /// Both cells of an interval; none where an end is no whole number of steps.
    pub(super) fn cells(&self, interval: &Interval) -> Option<[i64; 2]> {
        let end = |bound: &Bound, open: i128| -> Option<i64> {
            match bound {
                Bound::Unbounded => Some(NO_END),
                Bound::Closed(at) => i64::try_from(2 * self.of(at)?).ok(),
                Bound::Open(at) => i64::try_from(2 * self.of(at)? + open).ok(),
            }
        };
        let low = end(&interval.low, 1)?;
        let high = match end(&interval.high, -1)? {
            NO_END => NO_END,
            high => -high,
        };
        Some([low, high])
    }

    /// The base value of a whole number of steps.
    pub(super) fn base(&self, steps: i64) -> Exact {
        &self.factor * &Exact::from_int(steps) + &self.offset
    }

    /// The interval of a pair of cells; none if they are of no interval.
    pub(super) fn interval(&self, [low, high]: [i64; 2]) -> Option<Interval> {
        let bound = |place: i64, steps: i64| match place % 2 {
            0 => Bound::Closed(self.base(steps)),
            _ => Bound::Open(self.base(steps)),
        };
        let low = if low == NO_END { Bound::Unbounded } else { bound(low, low.div_euclid(2)) };
        let high = if high == NO_END { Bound::Unbounded } else { bound(high, (1 - high).div_euclid(2)) };
        Interval::new(low, high)
    }
}

/// A comparison with nought, as what a cell must at least be: the even cell of a pair holds the lower end, the odd one the
/// upper end with its sign turned.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Side {
    /// All of it is less.
    Less,
    /// All of it is less or equal.
    AtMost,
    /// All of it is more.
    More,
    /// All of it is more or equal.
    AtLeast,
}

impl Side {
    /// The same question of the negative.
    pub(super) fn turned(self) -> Self {
        match self {
            Side::Less => Side::More,
            Side::AtMost => Side::AtLeast,
            Side::More => Side::Less,
            Side::AtLeast => Side::AtMost,
        }
    }

    /// Which of a pair of cells is asked (0 or 1), and the least that it must be, for a limit in steps.
    pub(super) fn least(self, limit: &Exact) -> Option<(u32, i64)> {
        let (above, below) = limit.to_fraction()?;
        if above.abs() >= FARTHEST.checked_mul(below)? {
            return None;
        }
        let (floor, whole) = (above.div_euclid(below), above.rem_euclid(below) == 0);
        let place = 2 * floor + i128::from(!whole);
        let ceiling = floor + i128::from(!whole);
        let (cell, least) = match self {
            Side::Less => (1, 1 - place),
            Side::AtMost => (1, -2 * floor),
            Side::More => (0, place + 1),
            Side::AtLeast => (0, 2 * ceiling),
        };
        Some((cell, i64::try_from(least).ok()?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Side::{AtLeast, AtMost, Less, More};

    /// Every end, open or closed, against every limit on and between steps, as [`Interval`] decides it.
    #[test]
    fn whole_numbers_decide_as_exact_ones_do() {
        let steps = Steps { factor: Exact::one(), offset: Exact::zero() };
        let ends = |at: i64| [Bound::Unbounded, Bound::Open(Exact::from_int(at)), Bound::Closed(Exact::from_int(at))];
        let mut asked = 0;
        for (low, high) in (-2..=2).flat_map(|low| (low..=2).map(move |high| (low, high))) {
            for (low, high) in ends(low).into_iter().flat_map(|l| ends(high).into_iter().map(move |h| (l.clone(), h))) {
                let Some(interval) = Interval::new(low, high) else { continue };
                let cells = steps.cells(&interval).unwrap();
                assert_eq!(steps.interval(cells).as_ref(), Some(&interval));
                for halves in -6..=6 {
                    let limit = Exact::from_int(halves).half();
                    let difference = interval.sub(&Interval::point(limit.clone()));
                    let told = [
                        (Less, difference.less_than_zero()),
                        (AtMost, difference.at_most_zero()),
                        (More, difference.greater_than_zero()),
                        (AtLeast, difference.at_least_zero()),
                    ];
                    for (side, truth) in told {
                        let (cell, least) = side.least(&limit).unwrap();
                        let holds = cells[cell as usize] >= least;
                        assert_eq!(holds, truth == Some(true), "{interval:?} {side:?} {limit:?}");
                        asked += 1;
                    }
                }
            }
        }
        assert!(asked > 1_000, "{asked}");
    }
}
