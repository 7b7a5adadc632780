//! What can be wrong with a network, each said in shop words with the fix.
//!
//! Why: one variant, one spot, one wording. It must not know rulebooks: the caller adds the place in the text.

use std::fmt;

/// Why a network can't be built or reckoned.
#[derive(Clone, Debug, PartialEq)]
pub enum NetworkProblem {
    /// A point or part number of another network.
    Foreign,
    /// Two parts of one name.
    NameTaken {
        /// The name.
        name: String,
    },
    /// A part that begins and ends at one point.
    SameEnds {
        /// The part.
        part: String,
        /// The point.
        point: String,
    },
    /// A rating or a relay voltage that no part has.
    BadRating {
        /// The part.
        part: String,
        /// What it was given.
        found: f64,
    },
    /// A relay that would drop out at or above its pull-in voltage.
    RelayLimits {
        /// The relay.
        relay: String,
        /// Pull-in, volts.
        pull_in: f64,
        /// Drop-out, volts.
        drop_out: f64,
    },
    /// A relay with neither 87 nor 87a.
    NoContact {
        /// The relay.
        relay: String,
    },
    /// A defect that this kind of part can't have.
    WrongKind {
        /// The part.
        part: String,
        /// Its kind.
        found: &'static str,
        /// The kinds that can.
        expected: &'static str,
    },
    /// Both probes on one point.
    SamePoint {
        /// The point.
        point: String,
    },
    /// Sources in a loop without any resistance, or shorted by parts of 0 ohm.
    NothingLimits {
        /// The sources.
        sources: Vec<String>,
        /// The part that closes the loop.
        closed_by: String,
    },
    /// The current through one of several 0-ohm parts side by side.
    Undivided {
        /// The part.
        part: String,
    },
    /// More combinations of relay, fuse and diode positions than are followed.
    TooManyOutcomes {
        /// How many are followed.
        limit: usize,
    },
    /// Diodes that find no steady position.
    NeverSettles,
}

impl fmt::Display for NetworkProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NetworkProblem::Foreign => {
                write!(f, "a point or part of another circuit was named; name one of this circuit")
            }
            NetworkProblem::NameTaken { name } => {
                write!(f, "two parts are called `{name}`; give one of them another name")
            }
            NetworkProblem::SameEnds { part, point } => {
                write!(f, "`{part}` begins and ends at `{point}`; name two different points")
            }
            NetworkProblem::BadRating { part, found } => {
                write!(f, "`{part}` has the rating {found}, expected a number above 0")
            }
            NetworkProblem::RelayLimits { relay, pull_in, drop_out } => write!(
                f,
                "relay `{relay}` pulls in at {pull_in} V and drops out at {drop_out} V, expected the drop-out voltage below the other"
            ),
            NetworkProblem::NoContact { relay } => {
                write!(f, "relay `{relay}` has no contact; say where its 87 or 87a leads")
            }
            NetworkProblem::WrongKind { part, found, expected } => {
                write!(f, "`{part}` is a {found}, expected {expected}")
            }
            NetworkProblem::SamePoint { point } => {
                write!(f, "both probes are on `{point}`; name two different points")
            }
            NetworkProblem::NothingLimits { sources, closed_by } => write!(
                f,
                "nothing limits the current of {} in the loop that `{closed_by}` closes; give the source an internal resistance (`behind … mohm`)",
                listed(sources)
            ),
            NetworkProblem::Undivided { part } => write!(
                f,
                "the current through `{part}` can't be told, it shares it with another part of 0 ohm; give both a resistance"
            ),
            NetworkProblem::TooManyOutcomes { limit } => write!(
                f,
                "the relays, fuses and diodes of this circuit may end in more than {limit} ways; narrow the ranges of their supply or split the circuit"
            ),
            NetworkProblem::NeverSettles => {
                write!(f, "the diodes of this circuit find no steady state; check which way round they stand")
            }
        }
    }
}

impl std::error::Error for NetworkProblem {}

/// Names in backticks, joined as in a sentence.
fn listed(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => "a source".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
