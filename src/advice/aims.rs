//! What each answer of a test does to what the test is taken for: whether a repair is verified then, a complaint gone, a
//! quarrel of entries at an end.

use crate::book::{Book, Condition, ConditionRef};
use crate::job::{Entry, EntryValue};
use crate::reasoning::cells::Cell;
use crate::reasoning::choice::truth;
use crate::reasoning::suspects::reconciles;
use crate::reasoning::{Facts, Truth};

use super::candidates::Candidate;
use super::next::{Aim, Purpose};
use super::outlook::Asking;

/// For each answer of a test; none where it is taken to tell faults apart.
pub(super) fn aims(asking: &Asking<'_>, candidate: &Candidate, cells: &[Cell], purpose: Purpose) -> Vec<Option<Aim>> {
    if let Purpose::Retake(id) = purpose {
        let values: Vec<EntryValue> = cells.iter().map(Cell::value).collect();
        let ends = reconciles(asking.book, asking.job, id, &values);
        return ends.into_iter().map(|ends| Some(if ends { Aim::Reached } else { Aim::Missed })).collect();
    }
    let conditions = conditions(asking.book, purpose);
    if conditions.is_empty() {
        return vec![None; cells.len()];
    }
    let entries: Vec<Entry> = cells.iter().map(|cell| asking.entry(candidate, cell)).collect();
    let mut facts = asking.facts().with_supposed(&entries);
    let mut all = Vec::with_capacity(cells.len());
    for nth in 0..cells.len() {
        facts.suppose(nth);
        all.push(Some(reached(&facts, &conditions)));
        facts.forget();
    }
    all
}

/// What has to hold for what a test is taken for.
fn conditions(book: &Book, purpose: Purpose) -> Vec<&Condition> {
    match purpose {
        Purpose::Verify(fault) => book.fault(fault).verify.iter().collect(),
        Purpose::Gone(complaint) => book.condition(ConditionRef::Gone(complaint)).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn reached(facts: &Facts<'_>, conditions: &[&Condition]) -> Aim {
    let truths: Vec<Truth> = conditions.iter().map(|condition| truth(facts, condition)).collect();
    if truths.contains(&Truth::False) {
        Aim::Missed
    } else if truths.contains(&Truth::Unknown) {
        Aim::Open
    } else {
        Aim::Reached
    }
}
