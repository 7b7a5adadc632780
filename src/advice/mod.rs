//! What to do next: which test is worth most for the minutes it takes, in which order to measure, what to repair.
//! Knows verdicts and weights, no words.

mod candidates;
pub mod next;
mod outlook;
pub mod reach;

pub use next::{Advice, AnswerOutcome, HandOver, Note, Purpose, RepairAdvice, TestAdvice, advise};
