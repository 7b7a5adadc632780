//! `state of charge(rested voltage)` of a 12 V battery, `state of charge 24 V(…)` of a pair in series.
//!
//! Source: the open-circuit table of the battery trade (BCI type) for flooded lead-acid at about 25 degC,
//! from memory; its rounded form 12.6, 12.4, 12.2, 12.0 V is printed on public pages. A straight line
//! between its rows. Rest at least 2 h after charging. AGM reads 0.1 to 0.2 V higher. 10 % of charge is
//! only about 80 mV, so a ±1 % meter cannot place it better than ±15 %.

use super::call::{Body, Function, Gives, Outcome, Parameter, Range, Wants};
use crate::units::{Bound, Dimension, Exact, Interval};

pub(super) const ROW: Function = Function {
    name: "state of charge",
    parameters: &[Parameter::new("rested voltage", Wants::Amount(Dimension::VOLTAGE))],
    gives: Gives::Always(Dimension::NONE),
    range: "flooded lead-acid battery of 12 V at rest, 9 V to 13 V; 0 % below the table, 100 % above it",
    source: "open-circuit table of the battery trade (BCI type), from memory",
    body: Body::One(single),
};

/// Two such batteries in series, taken to be alike.
pub(super) const PAIR: Function = Function {
    name: "state of charge 24 V",
    range: "two flooded lead-acid batteries of 12 V in series at rest, 18 V to 26 V; read each by itself too",
    body: Body::One(pair),
    ..ROW
};

/// Hundredths of a volt and the charge in percent, flat to full.
const TABLE: [(i64, i64); 5] = [(1189, 0), (1206, 25), (1224, 50), (1245, 75), (1265, 100)];

fn single(voltage: &Interval) -> Outcome {
    charge(voltage, &Exact::one())
}

fn pair(voltage: &Interval) -> Outcome {
    charge(voltage, &Exact::from_int(2))
}

/// Share of full charge; the voltage is that of so many batteries in series.
fn charge(voltage: &Interval, batteries: &Exact) -> Outcome {
    let valid = Interval::between(Exact::from_int(9) * batteries, Exact::from_int(13) * batteries);
    Range { argument: "rested voltage", valid, unit: "V" }.admits(voltage)?;
    let at = |end: &Bound, beyond: Exact| {
        let each = end.value().and_then(|value| value.checked_div(batteries));
        Bound::Closed(each.map_or(beyond, |volts| share(&volts)))
    };
    Ok(Interval { low: at(&voltage.low, Exact::zero()), high: at(&voltage.high, Exact::one()) })
}

/// Share of full charge of one battery by straight lines between the rows of the table.
fn share(volts: &Exact) -> Exact {
    let hundredths = volts * Exact::from_int(100);
    let mut below: Option<(i64, i64)> = None;
    for (row_volts, row_percent) in TABLE {
        if hundredths < Exact::from_int(row_volts) {
            let on_line = below.and_then(|(volts, percent)| {
                let slope = Exact::ratio(row_percent - percent, row_volts - volts)?;
                Some(Exact::from_int(percent) + (hundredths - Exact::from_int(volts)) * slope)
            });
            return on_line.map_or_else(Exact::zero, |percent| percent * Exact::pow10(-2));
        }
        below = Some((row_volts, row_percent));
    }
    Exact::one()
}
