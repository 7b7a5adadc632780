//! Which repair first: of what is proved; and where no test separates what is left, by probability over cost (after
//! Kadane & Simon 1977 and Heckerman, Breese & Rommelse 1995), by odds over cost where several faults may be there.

use crate::book::{Book, FaultId};
use crate::reasoning::{Judgement, Outcome, Verdict};

use super::next::{Advice, HandOver};
use super::reach;

/// Seconds that a repair is taken to last where the book says nothing.
pub const USUAL_REPAIR_SECONDS: f64 = 1800.0;

/// A repair to make.
#[derive(Clone, PartialEq, Debug)]
pub struct RepairAdvice {
    /// Of which fault.
    pub fault: FaultId,
    /// How likely it is that this is what is wrong: an estimate.
    pub weight: f64,
    /// How long it takes.
    pub seconds: f64,
    /// Whether the book says so; else [`USUAL_REPAIR_SECONDS`] is assumed.
    pub timed: bool,
}

/// Adds repairs: of what is proved; of what is left where no test is on offer.
pub(super) fn add(book: &Book, judgement: &Judgement, advice: &mut Advice, count: usize) {
    let proved: Vec<FaultId> = judgement.with(Verdict::Proved).collect();
    let measured = advice.steps.is_empty() && matches!(judgement.outcome, Outcome::Open | Outcome::OnlyOneLeft);
    let left = || {
        judgement.verdicts.iter().filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft)).map(|v| v.fault)
    };
    let faults = if proved.is_empty() && measured { left().collect() } else { proved };
    let awaits = |fault: &FaultId| judgement.evidence.repair_of(*fault).is_some_and(|repair| repair.verified.is_none());
    let mut all: Vec<RepairAdvice> =
        faults.into_iter().filter(|fault| !awaits(fault)).map(|fault| repair(book, judgement, fault)).collect();
    all.sort_by(|a, b| pays(book, b).total_cmp(&pays(book, a)));
    for repair in all {
        match reach::stop_caution(book, &book.fault(repair.fault).steps) {
            Some(caution) => advice.hand_over.push(HandOver::Repair(repair.fault, caution)),
            None if advice.repairs.len() < count.max(1) => advice.repairs.push(repair),
            None => {}
        }
    }
}

fn repair(book: &Book, judgement: &Judgement, fault: FaultId) -> RepairAdvice {
    let takes = book.fault(fault).steps.takes.as_ref();
    let weight = judgement.of(fault).map_or(0.0, |v| v.weight);
    let seconds = takes.map_or(USUAL_REPAIR_SECONDS, |takes| takes.to_f64().max(0.0));
    RepairAdvice { fault, weight, seconds, timed: takes.is_some() }
}

/// Probability over cost; odds over cost where several faults may be there at once.
fn pays(book: &Book, repair: &RepairAdvice) -> f64 {
    let likely = if book.at_once == 1 { repair.weight } else { repair.weight / (1.0 - repair.weight).max(1e-9) };
    likely / repair.seconds.max(1.0)
}
