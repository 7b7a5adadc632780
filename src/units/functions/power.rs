//! `power(voltage, current)`: what a load takes, or a bad contact turns into heat.
//!
//! Source: Joule's law (J. P. Joule, Phil. Mag. 19 (1841) 260) with Ohm's: P = V·I for direct current.

use super::call::{Body, Function, Gives, Outcome, Parameter, Wants};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "power",
    parameters: &[
        Parameter::new("voltage", Wants::Amount(Dimension::VOLTAGE)),
        Parameter::new("current", Wants::Amount(Dimension::CURRENT)),
    ],
    gives: Gives::Always(Dimension::POWER),
    range: "direct current, all values",
    source: "Joule's law, 1841",
    body: Body::Two(evaluate),
};

fn evaluate(voltage: &Interval, current: &Interval) -> Outcome {
    Ok(voltage.mul(current))
}
