//! `wire resistance(length, area[, temperature])`: resistance of a copper conductor.
//!
//! Source: IEC 60028:1925, annealed copper standard: 1/58 ohm·mm²/m at 20 degC, 0.00393 per K at constant
//! mass. Real wire lies 2 to 14 % above it for lay and nominal area. An area may be given in mm² or AWG.

use super::call::{Body, Function, Gives, Outcome, Parameter, Range, Wants};
use crate::units::{Bound, Dimension, Exact, Interval};

pub(super) const ROW: Function = Function {
    name: "wire resistance",
    parameters: &[
        Parameter::new("length", Wants::Amount(Dimension::LENGTH)),
        Parameter::new("area", Wants::Amount(Dimension::AREA)),
        Parameter { name: "temperature", wants: Wants::Amount(Dimension::TEMPERATURE), default: Some((29_315, 100)) },
    ],
    gives: Gives::Always(Dimension::RESISTANCE),
    range: "copper; length from 0, area above 0, -50 degC to 200 degC; 20 degC if no temperature is given",
    source: "IEC 60028:1925",
    body: Body::Three(evaluate),
};

fn evaluate(length: &Interval, area: &Interval, temperature: &Interval) -> Outcome {
    let zero = Exact::zero();
    let from_zero = Interval { low: Bound::Closed(zero.clone()), high: Bound::Unbounded };
    Range { argument: "length", valid: from_zero, unit: "m" }.admits(length)?;
    let sized = Range { argument: "area", valid: Interval::above(zero), unit: "mm²" };
    sized.admits(area)?;
    let kelvins = Interval::between(hundredths(22_315), hundredths(47_315));
    Range { argument: "temperature", valid: kelvins, unit: "degC" }.admits(temperature)?;

    // length over 58e6 S/m times the area, and 1 + 0.00393·(t − 20)
    let conductance = area.scale(&Exact::from_int(58_000_000));
    let cold = length.div(&conductance).ok_or_else(|| sized.problem(area))?;
    let above_20 = temperature.sub(&Interval::point(hundredths(29_315)));
    let growth = above_20.scale(&(hundredths(393) * Exact::pow10(-3))).add(&Interval::point(Exact::one()));
    Ok(cold.mul(&growth))
}

fn hundredths(count: i64) -> Exact {
    Exact::from_int(count) * Exact::pow10(-2)
}
