//! `superheat(refrigerant, line temperature, suction pressure)`: how far vapour is above its boiling point.
//!
//! Source: by definition the line temperature less the saturation temperature at the pressure there.

use super::{
    call::{Body, Fluid, Function, Gives, Outcome, Parameter, Wants},
    saturation_temperature,
};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "superheat",
    parameters: &[
        Parameter::new("refrigerant", Wants::Refrigerant),
        Parameter::new("line temperature", Wants::Amount(Dimension::TEMPERATURE)),
        Parameter::new("suction pressure", Wants::Pressure),
    ],
    gives: Gives::Always(Dimension::TEMPERATURE_DIFFERENCE),
    range: "pressures that belong to -45 degC and up; below 0 K the line holds liquid or the readings quarrel",
    source: "definition; saturation as in `saturation temperature`",
    body: Body::FluidTwo(evaluate),
};

fn evaluate(fluid: Fluid, line: &Interval, suction: &Interval) -> Outcome {
    saturation_temperature::evaluate(fluid, suction).map(|saturated| line.sub(&saturated))
}
