//! Values that no part can have, each said with the fix.
//!
//! Why: one variant, one spot, one wording. It must not know which part was meant.

use std::fmt;

use super::spread::GREATEST_VALUE;

/// A value that no part can have.
#[derive(Clone, Debug, PartialEq)]
pub enum SpreadProblem {
    /// Negative, above [`super::GREATEST_VALUE`], or no number.
    NotAValue(f64),
    /// A tolerance or a duty that is no share of a whole.
    NotAShare(f64),
    /// The low end lies above the high one, or the nominal outside both.
    Reversed {
        /// The low end given.
        low: f64,
        /// The nominal given.
        nominal: f64,
        /// The high end given.
        high: f64,
    },
    /// A current or a power of 0, which says nothing about a resistance.
    NoLoad,
}

impl fmt::Display for SpreadProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SpreadProblem::NotAValue(found) if *found < 0.0 => {
                write!(
                    f,
                    "found the value {found}, expected 0 or more; swap the ends of the part for the other polarity"
                )
            }
            SpreadProblem::NotAValue(found) => {
                write!(
                    f,
                    "found the value {found}, expected a number up to {GREATEST_VALUE:e}; leave the part out if it does not conduct"
                )
            }
            SpreadProblem::NotAShare(found) => {
                write!(f, "found the share {found}, expected 0 to 1 (0 % to 100 %)")
            }
            SpreadProblem::Reversed { low, nominal, high } => {
                write!(
                    f,
                    "found {nominal} in a range from {low} to {high}, expected the smaller end first and the value between"
                )
            }
            SpreadProblem::NoLoad => {
                write!(f, "found a load of 0, expected the current or the power that it takes when it works")
            }
        }
    }
}

impl std::error::Error for SpreadProblem {}
