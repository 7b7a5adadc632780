//! An exact number: a fraction of whole numbers of any size.
//!
//! Decimal text is taken as written, so 0.1 + 0.2 is 0.3 and a limit of 12.0 V is met exactly. The
//! only ways to lose exactness are [`Exact::to_f64`] and the text of a fraction that never ends.
//!
//! Must not know: units, intervals, what the number is the measure of.

mod arithmetic;
mod parse;
mod text;

#[cfg(test)]
mod tests;

use dashu_ratio::RBig;

pub use parse::NumberProblem;

/// An exact fraction of whole numbers; it has no unit of its own.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Exact(RBig);

/// The largest power of ten, up or down, that [`Exact::pow10`] makes.
const MOST_PLACES: i32 = 1000;

/// The most machine words above or below the line of a number that is worked with.
const MOST_WORDS: usize = 64;

impl Default for Exact {
    /// Zero.
    fn default() -> Exact {
        Exact::zero()
    }
}

impl Exact {
    /// Nought.
    pub fn zero() -> Exact {
        Exact(RBig::ZERO)
    }

    /// One.
    pub fn one() -> Exact {
        Exact(RBig::ONE)
    }

    /// A whole number.
    pub fn from_int(whole: i64) -> Exact {
        Exact(RBig::from(whole))
    }

    /// `above` / `below`; `None` if `below` is 0.
    pub fn ratio(above: i64, below: i64) -> Option<Exact> {
        if below == 1 {
            return Some(Exact::from_int(above));
        }
        Exact::from_int(above).checked_div(&Exact::from_int(below))
    }

    /// The same of longer ones, as [`Exact::to_fraction`] gives them.
    pub fn fraction(above: i128, below: i128) -> Option<Exact> {
        if below == 0 { None } else { Some(Exact(RBig::from(above) / RBig::from(below))) }
    }

    /// The exact value of a binary floating-point number; `None` for "not a number" and infinity.
    pub fn from_f64(value: f64) -> Option<Exact> {
        RBig::try_from(value).ok().map(Exact)
    }

    /// The nearest binary floating-point number; infinite if the number is too large for one.
    pub fn to_f64(&self) -> f64 {
        self.0.to_f64().value()
    }

    /// Ten to this power, held within ±1000 so that no number can fill the memory.
    pub fn pow10(exponent: i32) -> Exact {
        let places = exponent.clamp(-MOST_PLACES, MOST_PLACES);
        let power = ten_to(places.unsigned_abs());
        if places < 0 { Exact(RBig::ONE / power) } else { Exact(power) }
    }

    /// Whether it takes more than about a thousand digits: sums of what people type never do, powers of powers would
    /// fill the memory.
    pub fn is_unwieldy(&self) -> bool {
        self.0.numerator().as_sign_words().1.len() > MOST_WORDS || self.0.denominator().as_words().len() > MOST_WORDS
    }

    /// Numerator and denominator in lowest terms, the denominator above 0; `None` if one needs more than 128 bits.
    pub fn to_fraction(&self) -> Option<(i128, i128)> {
        let above = i128::try_from(self.0.numerator().clone()).ok()?;
        let below = i128::try_from(self.0.denominator().clone()).ok()?;
        Some((above, below))
    }

    /// Whether it is nought.
    pub fn is_zero(&self) -> bool {
        self.0.is_zero()
    }

    /// Whether it is less than nought.
    pub fn is_negative(&self) -> bool {
        self.0 < RBig::ZERO
    }

    /// The number without its sign.
    pub fn abs(&self) -> Exact {
        if self.is_negative() { -self } else { self.clone() }
    }

    /// `self` / `divisor`, exactly; `None` if the divisor is 0.
    pub fn checked_div(&self, divisor: &Exact) -> Option<Exact> {
        if divisor.is_zero() { None } else { Some(Exact(&self.0 / &divisor.0)) }
    }

    /// Half of it.
    pub fn half(&self) -> Exact {
        Exact(&self.0 / RBig::from(2))
    }

    /// The nearest number with this many digits after the point, ties away from nought.
    pub fn rounded(&self, decimals: u32) -> Exact {
        let power = ten_to(decimals.min(MOST_PLACES.unsigned_abs()));
        let whole = text::nearest_whole(&(&self.0 * &power));
        Exact(whole / power)
    }
}

/// Ten to a power that is not negative, by squaring.
fn ten_to(places: u32) -> RBig {
    if let Some(small) = 10_i64.checked_pow(places) {
        return RBig::from(small);
    }
    let (mut left, mut square, mut product) = (places, RBig::from(10), RBig::ONE);
    while left > 0 {
        if left % 2 == 1 {
            product *= &square;
        }
        square = &square * &square;
        left /= 2;
    }
    product
}
