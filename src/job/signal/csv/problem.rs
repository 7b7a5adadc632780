//! Why a log can't be read.

use crate::problem::Problem;
use crate::source::Span;

/// A problem with a log; whoever asked for it adds the place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogProblem {
    /// `phase/what-is-wrong`
    pub code: &'static str,
    /// Lower case, no full stop.
    pub message: String,
    /// What to type instead.
    pub help: String,
}

impl LogProblem {
    /// A problem of that code.
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, message: message.into(), help: String::new() }
    }

    /// With what to do about it.
    #[must_use]
    pub fn help(self, help: impl Into<String>) -> Self {
        Self { help: help.into(), ..self }
    }

    /// The same at a place.
    pub fn at(self, span: Span) -> Problem {
        let problem = Problem::error(self.code, span, self.message);
        if self.help.is_empty() { problem } else { problem.help(self.help) }
    }
}
