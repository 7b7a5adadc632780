//! An exact number as text: the decimals if they end soon, else six digits that count.

use std::{cmp::Ordering, fmt};

use dashu_ratio::RBig;

use super::{Exact, ten_to};

/// Decimals that end within this many places are written in full.
const PLACES: usize = 12;
/// Digits that count in the text of a fraction that does not end.
const COUNTING: i64 = 6;
/// From ten to this power on, and below its ninth negative one, a power of ten is written.
const LARGE: i64 = 21;
const SMALL: i64 = -9;

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = if self.is_negative() { -self.0.clone() } else { self.0.clone() };
        let text = unsigned(&size);
        let sign = if self.is_negative() && text != "0" { "-" } else { "" };
        f.pad(&format!("{sign}{text}"))
    }
}

impl Exact {
    /// Whether its text says it in full: the decimals end within 12 places.
    pub fn is_short(&self) -> bool {
        (&self.0 * ten_to(12)).is_int()
    }
}

/// The text of a number that is not negative.
fn unsigned(size: &RBig) -> String {
    if size.is_zero() {
        return "0".to_owned();
    }
    let exponent = exponent(size);
    if exponent >= LARGE {
        return scientific(size, exponent);
    }
    let shifted = size * ten_to(12);
    if shifted.is_int() {
        return pointed(&shifted, PLACES);
    }
    if exponent < SMALL {
        return scientific(size, exponent);
    }
    let places = u32::try_from(COUNTING - 1 - exponent).unwrap_or(0);
    let whole = nearest_whole(&(size * ten_to(places)));
    pointed(&whole, usize::try_from(places).unwrap_or(0))
}

/// Six digits that count and a power of ten, for numbers that no reading has.
fn scientific(size: &RBig, exponent: i64) -> String {
    let power = ten_to(u32::try_from(exponent.unsigned_abs()).unwrap_or(u32::MAX));
    let lead = if exponent < 0 { size * power } else { size / power };
    let whole = nearest_whole(&(lead * ten_to(5)));
    format!("{}e{exponent}", pointed(&whole, 5))
}

/// The power of ten that the first digit of a positive number stands for: 1 for 12.6, -1 for 0.3.
fn exponent(size: &RBig) -> i64 {
    let digits = |text: String| i64::try_from(text.len()).unwrap_or(i64::MAX);
    let guess = digits(size.numerator().to_string()) - digits(size.denominator().to_string());
    let power = ten_to(u32::try_from(guess.unsigned_abs()).unwrap_or(u32::MAX));
    let order = if guess < 0 { (size * power).cmp(&RBig::ONE) } else { size.cmp(&power) };
    if order == Ordering::Less { guess - 1 } else { guess }
}

/// The nearest whole number, ties away from nought.
pub(super) fn nearest_whole(value: &RBig) -> RBig {
    RBig::from(value.round())
}

/// A whole number written with a point before its last `places` digits and no idle zeros.
fn pointed(whole: &RBig, places: usize) -> String {
    let digits = whole.numerator().to_string();
    let padded = format!("{digits:0>width$}", width = places + 1);
    let (before, after) = padded.split_at(padded.len().saturating_sub(places));
    match after.trim_end_matches('0') {
        "" => before.to_owned(),
        after => format!("{before}.{after}"),
    }
}
