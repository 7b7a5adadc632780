//! Which repair first: of what is proved; and where no test separates what is left, by probability over cost (after
//! Kadane & Simon 1977 and Heckerman, Breese & Rommelse 1995), by odds over cost where several faults may be there.

use crate::book::{Book, FaultId};
use crate::reasoning::{Judgement, Outcome, Verdict};

use super::next::{Advice, HandOver};
use super::reach;
use super::repair_order::{Assume, Part, by_worth};

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

/// Adds repairs: of what is proved; of what is left where no test is on offer, or only one is left; and one that may be
/// cheaper than the best test, which tells `best` bits a second.
pub(super) fn add(book: &Book, judgement: &Judgement, advice: &mut Advice, count: usize, best: f64) {
    let proved: Vec<FaultId> = judgement.with(Verdict::Proved).collect();
    let unmeasured = advice.steps.is_empty() && judgement.outcome == Outcome::Open;
    let awaits = |fault: &FaultId| judgement.evidence.repair_of(*fault).is_some_and(|repair| repair.verified.is_none());
    let left: Vec<RepairAdvice> = judgement
        .verdicts
        .iter()
        .filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft) && !awaits(&v.fault))
        .map(|v| repair(book, judgement, v.fault))
        .collect();
    advice.instead = left.iter().find(|repair| pays_more(book, &left, repair, best)).cloned();
    let all: Vec<RepairAdvice> = match proved.is_empty() {
        false => {
            proved.into_iter().filter(|fault| !awaits(fault)).map(|fault| repair(book, judgement, fault)).collect()
        }
        true if unmeasured || judgement.outcome == Outcome::OnlyOneLeft => left,
        true => Vec::new(),
    };
    for at in by_worth(&parts(book, &all), if book.at_once == 1 { Assume::OneFault } else { Assume::Several }) {
        let Some(repair) = all.get(at).cloned() else { continue };
        match reach::stop_caution(book, &book.fault(repair.fault).steps) {
            Some(caution) => advice.hand_over.push(HandOver::Repair(repair.fault, caution)),
            None if advice.repairs.len() < count => advice.repairs.push(repair),
            None => {}
        }
    }
}

/// Whether a repair of several faults left, taken as a test that says *mended* or *not mended*, tells more for its time
/// than the best test. Only one that is likelier than all others together is put forward.
fn pays_more(book: &Book, left: &[RepairAdvice], repair: &RepairAdvice, best: f64) -> bool {
    let all: f64 = left.iter().map(|repair| repair.weight).sum();
    let likely = repair.weight / all;
    if left.len() < 2 || book.at_once > 1 || best <= 0.0 || !likely.is_finite() || likely <= 0.5 || likely >= 1.0 {
        return false;
    }
    let fault = book.fault(repair.fault);
    if fault.verify.is_empty() || reach::stop_caution(book, &fault.steps).is_some() {
        return false;
    }
    let bits = -likely * likely.log2() - (1.0 - likely) * (1.0 - likely).log2();
    bits / with_verification(book, repair).max(1.0) > best
}

fn repair(book: &Book, judgement: &Judgement, fault: FaultId) -> RepairAdvice {
    let takes = book.fault(fault).steps.takes.as_ref();
    let weight = judgement.of(fault).map_or(0.0, |v| v.weight);
    let seconds = takes.map_or(USUAL_REPAIR_SECONDS, |takes| takes.to_f64().max(0.0));
    RepairAdvice { fault, weight, seconds, timed: takes.is_some() }
}

/// What trying a repair costs: the repair and the tests that verify it, in seconds.
fn with_verification(book: &Book, repair: &RepairAdvice) -> f64 {
    let slots = book.fault(repair.fault).verify.iter().flat_map(|condition| &condition.slots);
    let mut tests: Vec<_> = slots.map(|slot| slot.indication).collect();
    tests.sort_unstable();
    tests.dedup();
    tests.iter().map(|id| reach::seconds(&book.indication(*id).steps).0).fold(repair.seconds, |sum, one| sum + one)
}

/// Repairs as parts that may be at fault: trying one costs the repair and its verification.
fn parts(book: &Book, repairs: &[RepairAdvice]) -> Vec<Part> {
    let part = |repair: &RepairAdvice| Part {
        probability: repair.weight.clamp(0.0, 1.0),
        inspect: with_verification(book, repair).max(1.0),
        repair: 0.0,
    };
    repairs.iter().map(part).collect()
}
