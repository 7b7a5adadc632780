//! What to do next: which test is worth most for the minutes it takes, in which order to measure, what to repair.
//! Knows verdicts and weights, no words.

mod advisor;
mod aims;
mod beside;
mod bundles;
mod candidates;
mod coupled;
mod foretold;
pub mod how_sure;
mod meaning;
pub mod next;
pub mod order;
mod outlook;
pub mod planner;
mod pool;
mod proof;
pub mod reach;
mod recipe;
pub mod repair_order;
pub mod repairs;
pub mod repeats;
mod sound;
mod stopping;
mod worth;

pub use next::{Advice, Aim, AnswerOutcome, HandOver, Note, Purpose, TestAdvice, advise};
pub use repairs::RepairAdvice;
pub use repeats::Repeat;
