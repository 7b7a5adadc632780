//! Functions that only rise or only fall, computed in floating point and rounded outward.
//!
//! Each end is moved outward by at least 1e-9 of itself and at most 1.1e-8, to a decimal of 10 digits:
//! far more than the error of the floating-point steps, far less than any meter shows, and the same on
//! every machine but for the last digit.

use super::{OutOfRange, Range};
use crate::units::{Bound, Exact, Interval};

/// The interval from `f` at its lower to `f` at its upper end, for an `f` that rises.
///
/// An end that lies beyond the valid range gives a result without an end on that side.
pub(in crate::units::functions) fn rising(
    input: &Interval,
    range: &Range,
    f: impl Fn(f64) -> f64,
) -> Result<Interval, OutOfRange> {
    let (low, high) = known_ends(input, range)?;
    Ok(Interval { low: lower(low.map(&f)), high: upper(high.map(&f)) })
}

/// The same for an `f` that falls.
pub(in crate::units::functions) fn falling(
    input: &Interval,
    range: &Range,
    f: impl Fn(f64) -> f64,
) -> Result<Interval, OutOfRange> {
    let (low, high) = known_ends(input, range)?;
    Ok(Interval { low: lower(high.map(&f)), high: upper(low.map(&f)) })
}

/// Both ends of the input where they lie in the range.
fn known_ends(input: &Interval, range: &Range) -> Result<(Option<f64>, Option<f64>), OutOfRange> {
    range.admits(input)?;
    let known = |end: &Bound| end.value().filter(|value| range.valid.contains(value)).map(Exact::to_f64);
    Ok((known(&input.low), known(&input.high)))
}

fn lower(value: Option<f64>) -> Bound {
    value.and_then(|value| moved(value, -WIDENING)).map_or(Bound::Unbounded, Bound::Closed)
}

fn upper(value: Option<f64>) -> Bound {
    value.and_then(|value| moved(value, WIDENING)).map_or(Bound::Unbounded, Bound::Closed)
}

/// Digits that are kept, and by how many of the last of them an end is moved: one more than 1e-9 asks
/// of a number that begins with 9, for the rounding.
const DIGITS: i32 = 10;
const WIDENING: i64 = 11;

/// The value rounded to 10 digits and moved by some of the last; `None` if it is no number.
fn moved(value: f64, steps: i64) -> Option<Exact> {
    let exact = Exact::from_f64(value)?;
    if exact.is_zero() {
        return Some(Exact::from_int(steps) * Exact::pow10(-30));
    }
    // the exponent may be one off next to a power of ten: the step is then ten times finer or coarser
    let lead = exact.abs().to_f64().log10().floor();
    let step = -(lead.clamp(-300.0, 300.0) as i32) + DIGITS - 1;
    let scaled = (exact * Exact::pow10(step)).rounded(0);
    Some((scaled + Exact::from_int(steps)) * Exact::pow10(-step))
}
