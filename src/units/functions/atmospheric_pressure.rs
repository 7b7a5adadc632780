//! `atmospheric pressure(altitude)`: the pressure of the air outside, as a standard day has it.
//!
//! Source: ISO 2533 (standard atmosphere), lowest layer: 101.325 kPa · (1 − 2.25577e-5·h)^5.25588, h in
//! metres. The weather moves it by up to 5 %; a barometer reading, not corrected to sea level, is better.

use super::call::{Body, Function, Gives, Outcome, Parameter, Range, Wants, falling};
use crate::units::{Dimension, Exact, Interval};

pub(super) const ROW: Function = Function {
    name: "atmospheric pressure",
    parameters: &[Parameter::new("altitude", Wants::Amount(Dimension::LENGTH))],
    gives: Gives::Always(Dimension::ABSOLUTE_PRESSURE),
    range: "-1000 m to 11000 m above the sea",
    source: "ISO 2533",
    body: Body::One(evaluate),
};

fn evaluate(altitude: &Interval) -> Outcome {
    let valid = Interval::between(Exact::from_int(-1000), Exact::from_int(11_000));
    falling(altitude, &Range { argument: "altitude", valid, unit: "m" }, |metres| {
        101_325.0 * (1.0 - 2.255_77e-5 * metres).powf(5.255_88)
    })
}
