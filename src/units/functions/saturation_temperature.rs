//! `saturation temperature(refrigerant, pressure)`, also as `dew temperature` and `bubble temperature`:
//! at what temperature the refrigerant boils and condenses.
//!
//! Source: the vapour-pressure equations in `call/fluid.rs`, solved for the temperature.

use super::call::{Body, Fluid, Function, Gives, Outcome, Parameter, Wants, rising};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "saturation temperature",
    parameters: &[Parameter::new("refrigerant", Wants::Refrigerant), Parameter::new("pressure", Wants::Pressure)],
    gives: Gives::Always(Dimension::TEMPERATURE),
    range: "R-134a -45 degC to 100 degC, R-1234yf -45 degC to 94 degC; dew and bubble point are the same",
    source: "Tillner-Roth and Baehr 1994 (R-134a); Richter, McLinden and Lemmon 2011 (R-1234yf)",
    body: Body::FluidOne(evaluate),
};

/// The same by the name of its first drop.
pub(super) const DEW: Function = Function { name: "dew temperature", ..ROW };

/// The same by the name of its first bubble.
pub(super) const BUBBLE: Function = Function { name: "bubble temperature", ..ROW };

pub(super) fn evaluate(fluid: Fluid, pressure: &Interval) -> Outcome {
    rising(pressure, &fluid.pressures(), |pascal| fluid.temperature(pascal))
}
