//! Numbers as typed to exact values in base units.

use crate::problem::Problem;
use crate::syntax::tree::{AccuracyWords, Name, Number};
use crate::units::{Accuracy, Dimension, Exact, Unit};

/// A number in base units.
#[derive(Clone, Debug)]
pub struct Amount {
    /// In base units.
    pub base: Exact,
    /// As typed, in its own unit.
    pub typed: Exact,
    /// What it measures.
    pub dimension: Dimension,
    /// Its unit, if one was typed.
    pub unit: Option<&'static Unit>,
}

/// The unit of that spelling.
///
/// # Errors
/// The unit is not known; the problem stands at it.
pub fn unit(name: &Name) -> Result<&'static Unit, Problem> {
    Unit::find(&name.text).map_err(|problem| {
        Problem::error("units/unknown", name.span, problem.to_string()).help(problem.fix().unwrap_or_else(|| {
            "units are written as on the meter: V, mV, A, ohm, kohm, degC, kPa gauge, s, min".into()
        }))
    })
}

/// Digits to an exact number.
///
/// # Errors
/// Too many digits, or none.
pub fn digits(number: &Number) -> Result<Exact, Problem> {
    Exact::parse(&number.digits)
        .map_err(|problem| Problem::error("units/number", number.span, problem.to_string()).help_if(problem.fix()))
}

/// A number with its unit.
///
/// # Errors
/// What is wrong with digits or unit.
pub fn amount(number: &Number) -> Result<Amount, Problem> {
    let typed = digits(number)?;
    let Some(name) = &number.unit else {
        return Ok(Amount { base: typed.clone(), typed, dimension: Dimension::NONE, unit: None });
    };
    in_unit(typed, unit(name)?, name)
}

/// A typed number taken in a unit that stands elsewhere.
///
/// # Errors
/// The unit can't take that number.
pub fn in_unit(typed: Exact, unit: &'static Unit, name: &Name) -> Result<Amount, Problem> {
    unit.accepts(&typed).map_err(|why| Problem::error("units/number", name.span, why))?;
    Ok(Amount { base: unit.to_base(&typed), typed, dimension: unit.dimension, unit: Some(unit) })
}

/// A number that must have no unit.
///
/// # Errors
/// It has one, or its digits are wrong.
pub fn plain(number: &Number) -> Result<Exact, Problem> {
    if let Some(unit) = &number.unit {
        return Err(Problem::error(
            "units/unexpected",
            unit.span,
            format!("no unit is expected here, found `{}`", unit.text),
        )
        .help("write the number alone"));
    }
    digits(number)
}

/// A time in seconds.
///
/// # Errors
/// It is no time.
pub fn seconds(number: &Number) -> Result<Exact, Problem> {
    let amount = amount(number)?;
    let time = Unit::find("s").map(|s| s.dimension).unwrap_or(Dimension::NONE);
    if amount.dimension != time || amount.unit.is_none() {
        let place = number.unit.as_ref().map_or(number.span, |unit| unit.span);
        return Err(Problem::error("units/not-a-time", place, "a time is needed here")
            .help("write for example `3 min` or `40 s`"));
    }
    if amount.base.is_negative() {
        return Err(Problem::error("units/number", number.span, "a time can't be negative"));
    }
    Ok(amount.base)
}

/// The width of a `±` or a meter's digit, in base units, for a reading of that dimension.
///
/// # Errors
/// The unit doesn't fit the reading.
pub fn width(number: &Number, dimension: Dimension) -> Result<Exact, Problem> {
    let typed = digits(number)?;
    let Some(name) = &number.unit else {
        return Err(Problem::error("units/missing", number.span, format!("`{}` has no unit", number.digits))
            .help("write the unit behind it"));
    };
    let unit = unit(name)?;
    let fits = unit.dimension == dimension || unit.dimension == dimension.difference();
    if !fits {
        let found = unit.dimension.a_noun();
        let wanted = dimension.difference().a_noun();
        return Err(Problem::error("units/mismatch", name.span, format!("expected {wanted}, found {found}")));
    }
    Ok(unit.width_to_base(&typed).abs())
}

/// A meter's accuracy line for readings of that dimension.
///
/// # Errors
/// A number or unit of it is wrong.
pub fn accuracy(words: &AccuracyWords, dimension: Dimension) -> Result<Accuracy, Problem> {
    let or_zero = |number: &Option<Number>| number.as_ref().map_or(Ok(Exact::zero()), digits);
    let percent = or_zero(&words.percent)?;
    let digit = words.digit.as_ref().map(|number| width(number, dimension)).transpose()?;
    let counts = match (&words.count, &words.digit) {
        (Some(count), _) => digits(count)?,
        (None, Some(_)) => Exact::one(),
        (None, None) => Exact::zero(),
    };
    Ok(Accuracy { percent, counts, digit })
}
