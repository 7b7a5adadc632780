//! `smaller(one, other)`: the smaller of two values of the same kind.
//!
//! Source: as `larger`, with all signs turned.

use super::{
    call::{Body, Function, Gives, Outcome, Parameter, Wants},
    larger,
};
use crate::units::Interval;

pub(super) const ROW: Function = Function {
    name: "smaller",
    parameters: &[Parameter::new("first value", Wants::Any), Parameter::new("second value", Wants::LikeFirst)],
    gives: Gives::LikeFirst,
    range: "all values of one kind",
    source: "Moore, Interval Analysis, 1966",
    body: Body::Two(evaluate),
};

fn evaluate(one: &Interval, other: &Interval) -> Outcome {
    larger::evaluate(&one.neg(), &other.neg()).map(|interval| interval.neg())
}
