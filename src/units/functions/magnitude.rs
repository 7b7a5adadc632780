//! `magnitude(value)`: a value without its sign, for readings whose leads may be swapped.
//!
//! Source: interval analysis, Moore, *Interval Analysis* (1966).

use super::{
    call::{Body, Function, Gives, Outcome, Parameter, Wants},
    larger,
};
use crate::units::{Bound, Exact, Interval};

pub(super) const ROW: Function = Function {
    name: "magnitude",
    parameters: &[Parameter::new("value", Wants::Size)],
    gives: Gives::LikeFirst,
    range: "all values but temperatures",
    source: "Moore, Interval Analysis, 1966",
    body: Body::One(evaluate),
};

fn evaluate(value: &Interval) -> Outcome {
    let turned = value.neg();
    if value.contains(&Exact::zero()) {
        let high = value.hull(&turned).high;
        return Ok(Interval { low: Bound::Closed(Exact::zero()), high });
    }
    // all on one side of 0: the turned or the unturned one, whichever is larger
    larger::evaluate(value, &turned)
}
