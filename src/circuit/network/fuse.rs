//! When a blade fuse opens.
//!
//! Why: a fuse is no switch with a sharp limit. ISO 8820-3 (types C and F, 23 °C) fixes gates: at 110 % of its rating it holds for at least
//! 100 h, at 135 % it opens within half an hour, between the two either may happen. It must not know networks.

use super::range::Range;
use super::spread::Spread;
use super::spread_problem::SpreadProblem;

/// Share of the rating up to which a fuse surely holds.
pub const HOLDS_UP_TO: f64 = 1.10;

/// Share of the rating from which a fuse surely opens.
pub const OPENS_FROM: f64 = 1.35;

/// Shares closer than this, relative, count as equal, so that 27 A through 20 A is 135 % whatever the rounding, and 22 A stays 110 % with the
/// 2 µA of a voltmeter on top.
const SAME: f64 = 1e-6;

/// One gate: share of the rating, least and greatest seconds until it opens.
struct Gate {
    share: f64,
    least: f64,
    most: Option<f64>,
}

/// ISO 8820-3: greatest times at 135, 200, 350 and 600 % as quoted on a mini ISO relay data sheet, the rest from memory.
const GATES: [Gate; 6] = [
    Gate { share: 1.10, least: 360_000.0, most: None },
    Gate { share: 1.35, least: 0.75, most: Some(1800.0) },
    Gate { share: 1.60, least: 0.25, most: Some(50.0) },
    Gate { share: 2.00, least: 0.15, most: Some(5.0) },
    Gate { share: 3.50, least: 0.04, most: Some(0.5) },
    Gate { share: 6.00, least: 0.02, most: Some(0.1) },
];

/// What a fuse does at a share of its rating.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseAnswer {
    /// At most 110 %: it holds.
    Holds,
    /// Between the gates: it may hold or open.
    Either,
    /// 135 % or more: it opens.
    Opens,
}

/// What a fuse does at this share of its rating (1.35 for 135 %).
pub fn fuse_answer(share: f64) -> FuseAnswer {
    if share >= OPENS_FROM * (1.0 - SAME) {
        FuseAnswer::Opens
    } else if share > HOLDS_UP_TO * (1.0 + SAME) {
        FuseAnswer::Either
    } else {
        FuseAnswer::Holds
    }
}

/// How soon a fuse opens at this share of its rating, as least and greatest seconds; no greatest below 135 %.
///
/// Between two gates a fuse is no slower than at the one below and no faster than at the one above.
pub fn opening_time(share: f64) -> (f64, Option<f64>) {
    let least = GATES.iter().find(|gate| gate.share * (1.0 + SAME) >= share).map_or(0.0, |gate| gate.least);
    let passed = GATES.iter().rev().find(|gate| gate.share * (1.0 - SAME) <= share);
    (least, passed.and_then(|gate| gate.most))
}

/// Resistance presumed for a fuse of which only the rating in ampere is known: a drop of 0.1 V at its rating (from memory, blade fuse data
/// sheets give 0.05 V to 0.15 V).
///
/// # Errors
/// If the rating is not a number above 0.
pub fn usual_resistance(rating: f64) -> Result<Spread, SpreadProblem> {
    if rating <= 0.0 {
        return Err(SpreadProblem::NoLoad);
    }
    Spread::presumed(0.1 / rating)
}

/// Which of several fuses may open next, and whether none of them has to.
pub(super) struct NextFuse<T> {
    /// Those that may, in the order given.
    pub(super) may_open: Vec<T>,
    /// Whether all may hold.
    pub(super) may_hold: bool,
}

/// Picks the fuse with the worst share: one that surely opens goes before any that is surely loaded less.
pub(super) fn next_fuse<T: Copy>(shares: &[(T, Range)]) -> NextFuse<T> {
    let surely = |share: &Range| fuse_answer(share.low) == FuseAnswer::Opens;
    let worst = shares.iter().map(|(_, share)| share).filter(|share| surely(share)).map(|share| share.low);
    let worst = worst.fold(0.0, f64::max);
    let may_open = shares
        .iter()
        .filter(|(_, share)| fuse_answer(share.high) != FuseAnswer::Holds && share.high >= worst)
        .map(|(fuse, _)| *fuse)
        .collect();
    NextFuse { may_open, may_hold: worst == 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_fuse_goes_first() {
        let at = Range::exactly;
        let next = next_fuse(&[("a", at(1.4)), ("b", at(6.0)), ("c", at(1.0))]);
        assert_eq!((next.may_open, next.may_hold), (vec!["b"], false));
        let next = next_fuse(&[("a", at(1.2)), ("b", at(1.1))]);
        assert_eq!((next.may_open, next.may_hold), (vec!["a"], true));
        let next = next_fuse(&[("a", Range::between(1.0, 1.4)), ("b", Range::between(1.36, 2.0))]);
        assert_eq!((next.may_open, next.may_hold), (vec!["a", "b"], false));
    }
}
