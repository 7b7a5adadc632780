//! Values of a book's circuit as the network takes them, and the usual ones where the book gives none.
//!
//! Why: a range may rule a fault out, a single value may not; this is where the two part. Where the book says nothing of a part, a usual range is
//! taken, wide enough for any sound one; a book that wants it narrower says so. It must not know setups or faults.

use crate::book::circuits::{Emf, Load, Ohms, Quantity, Taken};
use crate::book::{Book, Circuit, Node, Test, ToleranceLine};
use crate::units::functions::{self, Argument, Surroundings};
use crate::units::{Dimension, Exact, Interval};

use super::network::{Range, Relay, Spread, SpreadProblem};

/// A usual range, taken where the book gives no value: least, usual, most.
pub type Usual = (f64, f64, f64);

/// Internal resistance of a battery with its posts, ohm (common practice, no source).
pub const USUAL_INTERNAL_OHM: Usual = (0.005, 0.02, 0.05);
/// Resistance of a sound connector, ohm: up to 0.1 V at 10 A (voltage-drop limits of check-values.md section 2).
pub const USUAL_CONNECTOR_OHM: Usual = (1e-6, 0.002, 0.01);
/// Resistance of a sound closed switch, ohm: up to 0.3 V at 6 A (voltage-drop limits of check-values.md section 2).
pub const USUAL_SWITCH_OHM: Usual = (1e-6, 0.01, 0.05);
/// Voltage that a sound fuse drops at its rating, volts (from memory, blade fuse data sheets give 0.05 V to 0.15 V; widened).
pub const USUAL_FUSE_VOLTS: Usual = (0.03, 0.1, 0.2);
/// Forward voltage of a diode, volts (silicon from a few mA to several A, from memory).
pub const USUAL_DIODE_VOLTS: Usual = (0.4, 0.7, 1.1);
/// Resistance on top of a diode's forward voltage, ohm (from memory).
pub const USUAL_DIODE_OHM: Usual = (1e-3, 0.01, 0.05);
/// What two points that touch may have between them, ohm: least, usual (algorithms.md section 7), most. What has more is a load.
pub const SHORT_OHM: (f64, f64, f64) = (1e-6, 0.01, 0.1);
/// A copper wire has from this share of its reckoned resistance …
pub const WIRE_LEAST: f64 = 0.95;
/// … up to this one: real wire lies 2 % to 14 % above the formula for lay and nominal section (IEC 60228 against IEC 60028), and 40 K warmer
/// than the air adds 16 % (common practice, no source).
pub const WIRE_MOST: f64 = 1.32;
/// Coil voltage at which a relay has surely pulled in, and surely dropped out, where the system voltage isn't clear: of 24 V and of 12 V
/// relays the harder (mini ISO relay data sheets: 16 V, 1.5 V).
pub const UNCLEAR_RELAY_LIMITS: (f64, f64) = (16.0, 1.5);
/// Coil resistance of 12 V relays, ohm (60 ohm to 110 ohm is the band to accept at 20 degC, common practice, no source; a hot one has more).
pub const USUAL_COIL_12_OHM: Usual = (55.0, 85.0, 140.0);
/// Coil resistance of 24 V relays, ohm (220 ohm to 360 ohm likewise).
pub const USUAL_COIL_24_OHM: Usual = (200.0, 255.0, 460.0);

/// A range as the network takes it: stated if its author gave a range, presumed if a single value.
pub(super) fn spread(quantity: &Quantity) -> Result<Spread, SpreadProblem> {
    let nominal = quantity.nominal.to_f64();
    if nominal == 0.0 && !quantity.ranged {
        return Spread::exactly(0.0);
    }
    if quantity.ranged {
        let (low, high) = (below(&quantity.low), above(&quantity.high));
        Spread::new(low, nominal.clamp(low, high), high)
    } else {
        Spread::presumed(nominal)
    }
}

/// The nearest number that is not above an exact one; 0 stays 0.
fn below(exact: &Exact) -> f64 {
    let near = exact.to_f64();
    if near == 0.0 { near } else { near.next_down() }
}

/// The nearest number that is not below an exact one; 0 stays 0.
fn above(exact: &Exact) -> f64 {
    let near = exact.to_f64();
    if near == 0.0 { near } else { near.next_up() }
}

/// A range of volts or ohms with its middle.
pub(super) fn over(range: Range) -> Result<Spread, SpreadProblem> {
    let low = range.low.max(0.0);
    Spread::new(low, low / 2.0 + range.high / 2.0, range.high)
}

/// The value, or the usual range.
pub(super) fn or_usual(quantity: Option<&Quantity>, (least, usual, most): Usual) -> Result<Spread, SpreadProblem> {
    quantity.map_or_else(|| Spread::new(least, usual, most), spread)
}

/// A fuse's resistance, or the usual range for its rating in ampere.
pub(super) fn fuse(quantity: Option<&Quantity>, rating: f64) -> Result<Spread, SpreadProblem> {
    let (least, usual, most) = USUAL_FUSE_VOLTS;
    or_usual(quantity, (least / rating, usual / rating, most / rating))
}

/// The resistance of a plain conductor at the air's temperature in K (20 degC if it isn't known).
pub(super) fn ohms(ohms: &Ohms, warmth: Option<f64>) -> Result<Spread, SpreadProblem> {
    match ohms {
        Ohms::Given(quantity) => spread(quantity),
        Ohms::Usual => or_usual(None, USUAL_CONNECTOR_OHM),
        Ohms::Copper { length, area } => {
            let cold = copper(length, area, warmth).ok_or(SpreadProblem::NotAValue(f64::NAN))?;
            Spread::new(cold * WIRE_LEAST, cold, cold * WIRE_MOST)
        }
    }
}

/// `wire resistance` of the language's functions; a temperature outside its range counts as 20 degC.
fn copper(length: &Exact, area: &Exact, warmth: Option<f64>) -> Option<f64> {
    let value = |exact: &Exact, dimension| Argument::Value { interval: Interval::point(exact.clone()), dimension };
    let function = functions::find("wire resistance")?;
    let (length, area) = (value(length, Dimension::LENGTH), value(area, Dimension::AREA));
    let mut arguments = vec![length, area];
    let around = Surroundings::default();
    if let Some(kelvin) = warmth.and_then(Exact::from_f64) {
        arguments.push(value(&kelvin, Dimension::TEMPERATURE));
        if let Ok(found) = function.evaluate(&arguments, &around) {
            return found.centre().map(|ohm| ohm.to_f64());
        }
        arguments.pop();
    }
    function.evaluate(&arguments, &around).ok()?.centre().map(|ohm| ohm.to_f64())
}

/// The resistance of a load that takes this at this many volts, over its share of time if it is pulsed.
pub(super) fn load(takes: &Taken, volts: &Exact, duty: Option<&Quantity>) -> Result<Spread, SpreadProblem> {
    let volts = volts.to_f64();
    let (quantity, ohm): (&Quantity, fn(f64, f64) -> f64) = match takes {
        Taken::Current(current) => (current, |volts, ampere| volts / ampere),
        Taken::Power(power) => (power, |volts, watt| volts * volts / watt),
    };
    let share = |pick: fn(&Quantity) -> &Exact| duty.map_or(1.0, |duty| pick(duty).to_f64());
    let nominal = ohm(volts, quantity.nominal.to_f64()) / share(|duty| &duty.nominal);
    let ranged = quantity.ranged && duty.is_none_or(|duty| duty.ranged);
    if !ranged {
        return Spread::presumed(nominal);
    }
    let low = (ohm(volts, quantity.high.to_f64()) / share(|duty| &duty.high)).next_down();
    let high = (ohm(volts, quantity.low.to_f64()) / share(|duty| &duty.low)).next_up();
    Spread::new(low, nominal.clamp(low, high), high)
}

/// Which load holds under a setup, by number: of those that hold the one that names most, else the first.
pub(super) fn chosen(loads: &[Load], stalled: bool, holds: impl Fn(&Load) -> bool) -> Option<usize> {
    let fitting = |load: &Load| load.stalled == stalled && holds(load);
    let most = loads.iter().filter(|load| fitting(load)).map(|load| load.setup.len()).max();
    let named = loads.iter().position(|load| fitting(load) && Some(load.setup.len()) == most);
    named.or_else(|| loads.iter().position(|load| load.stalled == stalled))
}

/// Voltage of the system, if one battery alone says it: the relays' usual limits hang on it.
pub(super) fn system_volts(book: &Book, circuit: &Circuit) -> Option<f64> {
    let mut batteries = circuit.elements.iter().filter_map(|element| match &element.kind {
        crate::book::circuits::ElementKind::Battery { emf, .. } => Some(emf),
        _ => None,
    });
    let (first, None) = (batteries.next()?, batteries.next()) else { return None };
    let volts = match first {
        Emf::Given(quantity) => quantity.nominal.to_f64(),
        Emf::Read(reading) => {
            let lines = tolerance_lines(book, *reading);
            let (low, high) =
                lines.iter().find_map(|line| Some((line.low.as_constant()?, line.high.as_constant()?)))?;
            (low + high).half().to_f64()
        }
    };
    Some(if volts <= 18.0 {
        12.0
    } else if volts <= 36.0 {
        24.0
    } else {
        48.0
    })
}

/// The tolerance lines of a reading, resolved.
pub(crate) fn tolerance_lines(book: &Book, reading: crate::book::IndicationId) -> &[ToleranceLine] {
    match book.tolerance_test(reading).map(|test| &test.node) {
        Some(Node::Compare(comparison)) => match &comparison.test {
            Test::Tolerance(_, lines) => lines,
            _ => &[],
        },
        _ => &[],
    }
}

/// Pull-in and drop-out voltage where the book gives none.
pub(super) fn relay_limits(system: Option<f64>) -> (f64, f64) {
    system.map_or(UNCLEAR_RELAY_LIMITS, Relay::usual_limits)
}
