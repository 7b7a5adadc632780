//! `saturation pressure(refrigerant, temperature)`, also as `dew pressure` and `bubble pressure`: the
//! pressure over liquid refrigerant, so also of a system at rest that holds liquid.
//!
//! Source: the vapour-pressure equations in `call/fluid.rs`.

use super::call::{Body, Fluid, Function, Gives, Outcome, Parameter, Wants, rising};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "saturation pressure",
    parameters: &[
        Parameter::new("refrigerant", Wants::Refrigerant),
        Parameter::new("temperature", Wants::Amount(Dimension::TEMPERATURE)),
    ],
    gives: Gives::Always(Dimension::ABSOLUTE_PRESSURE),
    range: "R-134a -45 degC to 100 degC, R-1234yf -45 degC to 94 degC; dew and bubble point are the same",
    source: "Tillner-Roth and Baehr 1994 (R-134a); Richter, McLinden and Lemmon 2011 (R-1234yf)",
    body: Body::FluidOne(evaluate),
};

/// The same by the name of its first drop.
pub(super) const DEW: Function = Function { name: "dew pressure", ..ROW };

/// The same by the name of its first bubble.
pub(super) const BUBBLE: Function = Function { name: "bubble pressure", ..ROW };

fn evaluate(fluid: Fluid, temperature: &Interval) -> Outcome {
    rising(temperature, &fluid.temperatures(), |kelvin| fluid.pressure(kelvin))
}
