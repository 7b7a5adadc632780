//! `voltage drop(current, resistance)`: the voltage lost in a conductor or contact.
//!
//! Source: Ohm's law (G. S. Ohm, *Die galvanische Kette*, 1827). The current must flow while the drop is
//! measured: without it there is none, whatever the resistance.

use super::call::{Body, Function, Gives, Outcome, Parameter, Wants};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "voltage drop",
    parameters: &[
        Parameter::new("current", Wants::Amount(Dimension::CURRENT)),
        Parameter::new("resistance", Wants::Amount(Dimension::RESISTANCE)),
    ],
    gives: Gives::Always(Dimension::VOLTAGE),
    range: "direct current, all values",
    source: "Ohm's law, 1827",
    body: Body::Two(evaluate),
};

fn evaluate(current: &Interval, resistance: &Interval) -> Outcome {
    Ok(current.mul(resistance))
}
