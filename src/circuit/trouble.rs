//! Why a circuit can't be reckoned, in shop words.
//!
//! Why: a circuit that can't be solved says nothing about any fault, and its author must learn why. It must not know where it is shown.

use crate::book::{Book, IndicationId};

use super::network::{NetworkProblem, SpreadProblem};

/// Why a circuit can't be reckoned.
#[derive(Clone, PartialEq, Debug)]
pub enum Trouble {
    /// A battery's voltage is neither entered nor bounded in the book.
    NoVolts(IndicationId),
    /// An element has a value that no part has.
    Value(String, SpreadProblem),
    /// The network has no answer.
    Network(NetworkProblem),
}

impl Trouble {
    /// What is wrong, with the fix: lower case, no full stop.
    pub fn words(&self, book: &Book) -> String {
        match self {
            Trouble::NoVolts(reading) => {
                let name = &book.indication(*reading).name;
                format!("`{name}` is not known; enter it, or give it a `tolerance` or a `from … to …` in the book")
            }
            Trouble::Value(element, problem) => format!("`{element}`: {problem}"),
            Trouble::Network(problem) => problem.to_string(),
        }
    }
}

impl From<NetworkProblem> for Trouble {
    fn from(problem: NetworkProblem) -> Self {
        Trouble::Network(problem)
    }
}
