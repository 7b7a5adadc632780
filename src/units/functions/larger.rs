//! `larger(one, other)`: the larger of two values of the same kind.
//!
//! Source: interval analysis, Moore, *Interval Analysis* (1966): both ends by the larger of the two.

use super::call::{Body, Function, Gives, Outcome, Parameter, Wants};
use crate::units::{Bound, Interval};

pub(super) const ROW: Function = Function {
    name: "larger",
    parameters: &[Parameter::new("first value", Wants::Any), Parameter::new("second value", Wants::LikeFirst)],
    gives: Gives::LikeFirst,
    range: "all values of one kind",
    source: "Moore, Interval Analysis, 1966",
    body: Body::Two(evaluate),
};

pub(super) fn evaluate(one: &Interval, other: &Interval) -> Outcome {
    // the larger is low only where both are, so its low end is the tighter of the two; high the looser
    let above = |interval: &Interval| Interval { low: interval.low.clone(), high: Bound::Unbounded };
    let both = above(one).intersection(&above(other));
    let low = both.map_or(Bound::Unbounded, |interval| interval.low);
    Ok(Interval { low, high: one.hull(other).high })
}
