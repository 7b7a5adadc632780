//! What can be wrong with a call, in shop words.

use std::{error::Error, fmt};

/// An argument that lies wholly outside the range for which the function is published.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OutOfRange {
    /// Which argument.
    pub argument: &'static str,
    /// Its value as text, with its unit.
    pub found: String,
    /// The valid range as text, with its unit.
    pub valid: String,
}

/// Why a function can't be called so, or has no result.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum FunctionProblem {
    /// Too many or too few arguments.
    WrongCount {
        /// The function.
        function: &'static str,
        /// How it is called.
        signature: String,
        /// How many arguments there are.
        found: usize,
    },
    /// An argument is not what the parameter takes.
    WrongArgument {
        /// The function.
        function: &'static str,
        /// The parameter.
        parameter: &'static str,
        /// What it takes, in words.
        expected: String,
        /// What it got, in words.
        found: String,
        /// What to write instead, where that is clear.
        fix: Option<String>,
    },
    /// No result is known there.
    OutOfRange {
        /// The function.
        function: &'static str,
        /// Which argument, and the range.
        out: OutOfRange,
    },
}

impl FunctionProblem {
    /// What to write instead, where that is clear.
    pub fn fix(&self) -> Option<String> {
        match self {
            FunctionProblem::WrongCount { signature, .. } => Some(format!("write `{signature}`")),
            FunctionProblem::WrongArgument { fix, .. } => fix.clone(),
            FunctionProblem::OutOfRange { .. } => None,
        }
    }
}

impl fmt::Display for FunctionProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FunctionProblem::WrongCount { function, signature, found } => {
                let noun = if *found == 1 { "value" } else { "values" };
                write!(f, "`{function}` is called as `{signature}`, not with {found} {noun}")
            }
            FunctionProblem::WrongArgument { function, parameter, expected, found, .. } => {
                write!(f, "the {parameter} of `{function}` must be {expected}, not {found}")
            }
            FunctionProblem::OutOfRange { function, out } => {
                write!(f, "`{function}` knows no result: {out}")
            }
        }
    }
}

impl Error for FunctionProblem {}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the {} is {}, its range is {}", self.argument, self.found, self.valid)
    }
}
