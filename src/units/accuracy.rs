//! What a meter's data sheet promises: a share of the reading and some counts of the last digit.
//!
//! Source: the form ±(percent of reading + counts of the last digit) common to handheld meters; the
//! interval reading ± limit of error is the conservative use of it (JCGM 100:2008, 4.3.7).
//!
//! Must not know: which meter, which reading, what it is compared with.

use super::{Exact, Unit};

/// The accuracy line of a meter: `0.5 % + 2 digits of 0.01 V`.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Accuracy {
    /// Percent of the reading: 0.5 for 0.5 %.
    pub percent: Exact,
    /// How many of the last digit.
    pub counts: Exact,
    /// What the last digit is worth, in base units; `None` if that of the reading as typed counts.
    pub digit: Option<Exact>,
}

impl Accuracy {
    /// The limit of error in base units: |reading|·percent/100 + counts·digit. Without a `digit` the counts
    /// add nothing: give it by [`Accuracy::with_digit`] first.
    ///
    /// The reading must be an amount whose nought is the meter's own, as of V, ohm or gauge pressure. For
    /// a temperature take [`Accuracy::half_width_in`]: 1 % of 25 degC is 0.25 K, not 1 % of 298 K.
    pub fn half_width(&self, reading_base: &Exact) -> Exact {
        let share = reading_base.abs() * &self.percent * Exact::pow10(-2);
        match &self.digit {
            Some(digit) => share + &self.counts * digit,
            None => share,
        }
    }

    /// The limit of error in base units for a number as shown by a meter in this unit, whatever the
    /// unit's nought.
    pub fn half_width_in(&self, unit: &Unit, number: &Exact) -> Exact {
        self.half_width(&unit.width_to_base(number))
    }

    /// The same line with the worth of the last digit filled in, in base units, where it has none.
    pub fn with_digit(&self, digit_base: &Exact) -> Accuracy {
        Accuracy { digit: Some(self.digit.clone().unwrap_or_else(|| digit_base.clone())), ..self.clone() }
    }
}
