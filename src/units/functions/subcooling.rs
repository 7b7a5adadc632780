//! `subcooling(refrigerant, liquid pressure, line temperature)`: how far liquid is below its boiling point.
//!
//! Source: by definition the saturation temperature at the pressure there less the line temperature.

use super::{
    call::{Body, Fluid, Function, Gives, Outcome, Parameter, Wants},
    saturation_temperature,
};
use crate::units::{Dimension, Interval};

pub(super) const ROW: Function = Function {
    name: "subcooling",
    parameters: &[
        Parameter::new("refrigerant", Wants::Refrigerant),
        Parameter::new("liquid pressure", Wants::Pressure),
        Parameter::new("line temperature", Wants::Amount(Dimension::TEMPERATURE)),
    ],
    gives: Gives::Always(Dimension::TEMPERATURE_DIFFERENCE),
    range: "pressures that belong to -45 degC and up; below 0 K the line holds vapour or the readings quarrel",
    source: "definition; saturation as in `saturation temperature`",
    body: Body::FluidTwo(evaluate),
};

fn evaluate(fluid: Fluid, liquid: &Interval, line: &Interval) -> Outcome {
    saturation_temperature::evaluate(fluid, liquid).map(|saturated| saturated.sub(line))
}
