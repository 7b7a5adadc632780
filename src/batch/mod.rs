//! Many jobs against one book. Jobs that ask the same questions share a [`Layout`]: its columns are readings and
//! observations, each under one setup. Which entry may stand in which comparison, and which entries hang together, then
//! hangs on the layout alone, so it is worked out once, by the rules that [`crate::reasoning`] goes by; a condition becomes
//! a list of plain comparisons of whole numbers ([`flat::Plan`]), and a job a row of whole numbers. Nothing is rounded:
//! what can't be said that way is judged by [`crate::reasoning::judge()`] instead, and counted.
//!
//! It knows nothing of files; `cli/batch.rs` reads and writes.

mod cell;
mod compile;
mod fixed;
pub mod flat;
mod foretelling;
mod layout;
mod prove;
mod row;
mod sums;

pub use flat::{Plan, Standing};
pub use layout::{Column, Layout};
pub use row::{BadRow, Given, Judged, Way, judge_job};
