//! Why a table of numbers can't be planned, in words.
//!
//! It knows the numbers only by their place; the caller, who knows the names, may word it anew.

use std::fmt;

/// Why a problem can't be planned. Numbers count from 0, as in the lists handed in.
#[derive(Debug, Clone, PartialEq)]
pub enum Refused {
    /// The list of weights is empty.
    NoHypothesis,
    /// A weight is negative, infinite or not a number.
    Weight {
        /// Whose weight it is.
        hypothesis: usize,
        /// The weight handed in.
        found: f64,
    },
    /// All weights are 0, or so large that their sum is infinite.
    Total {
        /// The sum found.
        found: f64,
    },
    /// A cost is negative, infinite or not a number.
    Cost {
        /// Whose cost it is.
        test: usize,
        /// The cost handed in.
        found: f64,
    },
    /// A test has more or fewer rows than there are hypotheses.
    Rows {
        /// The test.
        test: usize,
        /// How many rows it has.
        found: usize,
        /// How many hypotheses there are.
        expected: usize,
    },
    /// A row has more or fewer entries than the test has answers.
    Answers {
        /// The test.
        test: usize,
        /// The row.
        hypothesis: usize,
        /// How many entries the row has.
        found: usize,
        /// How many answers the test has.
        expected: usize,
    },
    /// A chance is negative, infinite or not a number.
    Chance {
        /// The test.
        test: usize,
        /// The row.
        hypothesis: usize,
        /// The chance handed in.
        found: f64,
    },
    /// The chances of a row do not add up to 1.
    Row {
        /// The test.
        test: usize,
        /// The row.
        hypothesis: usize,
        /// Their sum.
        found: f64,
    },
    /// A cost that depends on the test before is negative, infinite or not a number.
    Setup {
        /// The test taken before; none: the vehicle as it stands.
        previous: Option<usize>,
        /// The test whose cost it is.
        test: usize,
        /// The cost handed in.
        found: f64,
    },
}

impl std::error::Error for Refused {}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoHypothesis => write!(f, "no hypothesis to tell apart, expected at least one"),
            Self::Weight { hypothesis, found } => {
                write!(f, "the weight of hypothesis {hypothesis} is {found}, expected a number that is 0 or more")
            }
            Self::Total { found } => write!(f, "the weights add up to {found}, expected a finite number above 0"),
            Self::Cost { test, found } => {
                write!(f, "the cost of test {test} is {found}, expected a number that is 0 or more")
            }
            Self::Rows { test, found, expected } => {
                write!(f, "test {test} has {found} rows, expected {expected}, one for each hypothesis")
            }
            Self::Answers { test, hypothesis, found, expected } => write!(
                f,
                "test {test} gives {found} chances for hypothesis {hypothesis}, expected {expected}, one for each answer"
            ),
            Self::Chance { test, hypothesis, found } => write!(
                f,
                "test {test} has the chance {found} for hypothesis {hypothesis}, expected a number from 0 to 1"
            ),
            Self::Row { test, hypothesis, found } => {
                write!(f, "the chances of test {test} for hypothesis {hypothesis} add up to {found}, expected 1")
            }
            Self::Setup { previous: Some(previous), test, found } => write!(
                f,
                "the cost of test {test} after test {previous} is {found}, expected a number that is 0 or more"
            ),
            Self::Setup { previous: None, test, found } => write!(
                f,
                "the cost of test {test} as the vehicle stands is {found}, expected a number that is 0 or more"
            ),
        }
    }
}
