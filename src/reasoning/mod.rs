//! From entries to verdicts, each with its proof as data. Three values, coherent choices, hypotheses, conflicts.
//! Knows nothing of text or terminals; [`crate::output`] words what is found here.

pub mod alike;
pub mod cells;
pub mod choice;
pub mod circuits;
pub mod conflict;
pub mod describe;
pub mod evidence;
pub mod facts;
pub mod heard;
pub mod history;
pub mod hitting_sets;
pub mod hypotheses;
pub mod joined;
pub mod judge;
pub mod likelihood;
pub(crate) mod polynomial;
pub mod quarrels;
pub mod quickxplain;
pub(crate) mod range;
mod recall;
mod roots;
mod said;
pub(crate) mod signals;
mod sound;
pub mod suspects;
pub mod truth;
pub(crate) mod walk;
pub mod weights;

pub use choice::Choice;
pub use circuits::CircuitSays;
pub use conflict::Conflict;
pub use evidence::{Applied, Complained, Disturbed, Evidence, FailedShows, Repaired, Selection};
pub use facts::Facts;
pub use judge::{FaultVerdict, Judgement, Outcome, Reason, Verdict, judge};
pub use recall::Recall;
pub use truth::Truth;
