//! Checks by meaning: what no reader sees line by line, decided over the whole space of entries a book can
//! meet. One check a file. Each finding carries a [`Witness`]: a little job that shows it, held against the real judge
//! before it is handed in. What could not be decided is counted, never passed over in silence.
//!
//! The space has one entry for each reading and each setup that a sentence demands; an entry there lies on one side of
//! every limit. Entries that straddle a limit decide less, never more, so what is found impossible stays so for them.

mod alike_faults;
mod alone;
mod circuit_contradicts;
pub mod claim;
mod complaint_never_explained;
mod dominated_test;
mod fault_never_proved;
mod fault_never_ruled_out;
mod faults_not_told_apart;
mod finding_never_changes;
mod idle_part;
mod idle_test;
mod limit_finer_than_meter;
mod no_fault_left;
mod only_loaded_tells;
mod proof_fits_other_fault;
mod proved_and_ruled_out;
mod redundant_rule;
mod rule_always_applies;
mod rule_never_applies;
pub(crate) mod sides;
pub(crate) mod single;
mod sound_vehicle_proves;
mod speaks;
mod two_faults_proved;

use super::check::Check;
pub use claim::{Claim, Witness};
pub(crate) use idle_part::{left_out, span_of};
pub(crate) use sides::Joint;
pub(crate) use sound_vehicle_proves::soundness;

/// Every check by meaning, in the order of their ids.
pub static CHECKS: &[&Check] = &[
    &circuit_contradicts::CHECK,
    &complaint_never_explained::CHECK,
    &dominated_test::CHECK,
    &fault_never_proved::CHECK,
    &fault_never_ruled_out::CHECK,
    &faults_not_told_apart::CHECK,
    &finding_never_changes::CHECK,
    &idle_part::CHECK,
    &idle_test::CHECK,
    &limit_finer_than_meter::CHECK,
    &no_fault_left::CHECK,
    &only_loaded_tells::CHECK,
    &proof_fits_other_fault::CHECK,
    &proved_and_ruled_out::CHECK,
    &redundant_rule::CHECK,
    &rule_always_applies::CHECK,
    &rule_never_applies::CHECK,
    &sound_vehicle_proves::CHECK,
    &two_faults_proved::CHECK,
];

/// What was asked of a book and not decided, by check.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Survey {
    /// Ids of checks with how many of their questions were left open, in the order of the table; none without any.
    pub open: Vec<(&'static str, usize)>,
}

impl Survey {
    /// Adds questions that a check left open; under several profiles the most count.
    pub(crate) fn add(&mut self, id: &'static str, count: usize) {
        match self.open.iter_mut().find(|(known, _)| *known == id) {
            Some((_, most)) => *most = count.max(*most),
            None if count > 0 => self.open.push((id, count)),
            None => {}
        }
    }

    /// How many questions were left open.
    pub fn total(&self) -> usize {
        self.open.iter().map(|(_, count)| count).sum()
    }
}
