//! Tests that stand beside an entry: a comparison of two readings, or a tolerance that names another reading, decides
//! nothing while the two were taken under different setups. Then the other one is on offer under the setup of the entry,
//! whatever was taken of it elsewhere. What that is worth is reckoned as of any test.

use std::collections::BTreeSet;

use crate::book::setup::{Term, can_affect, is_change};
use crate::book::{Asked, Comparison, Condition, IndicationId, Node, Slot, SlotIx, Test};
use crate::job::{Entry, EntryId};
use crate::reasoning::Facts;

/// How a test is asked for so that it stands beside an entry.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Beside {
    /// Of what.
    pub(super) indication: IndicationId,
    /// Under the setup of the entry.
    pub(super) asked: Asked,
    /// The entry, if one of the test stands under another setup already.
    pub(super) again: Option<EntryId>,
}

/// Every test that would stand beside an entry, sorted.
pub(super) fn all(facts: &Facts<'_>) -> BTreeSet<Beside> {
    let mut found = BTreeSet::new();
    let conditions = facts.book.conditions().map(|(_, condition)| condition);
    for condition in conditions.filter(|condition| condition.slots.len() > 1 && facts.touches(condition)) {
        walk(facts, condition, &condition.node, &mut found);
    }
    found
}

fn walk(facts: &Facts<'_>, condition: &Condition, node: &Node, found: &mut BTreeSet<Beside>) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| walk(facts, condition, part, found)),
        Node::Not(inner) | Node::Finding(_, inner, _) => walk(facts, condition, inner, found),
        Node::Answer(..) | Node::Signal(_) => {}
        Node::Compare(comparison) => {
            let slots = slots(comparison);
            for one in &slots {
                for other in slots.iter().filter(|other| *other != one) {
                    if let (Some(one), Some(other)) = (condition.slot(*one), condition.slot(*other)) {
                        found.extend(lacking(facts, comparison, one, other));
                    }
                }
            }
        }
    }
}

/// The slots of a comparison, those of its tolerance lines included.
pub(super) fn slots(comparison: &Comparison) -> Vec<SlotIx> {
    let mut slots = comparison.slots.clone();
    if let Test::Tolerance(_, lines) = &comparison.test {
        for slot in lines.iter().flat_map(|line| &line.slots) {
            if !slots.contains(slot) {
                slots.push(*slot);
            }
        }
    }
    slots
}

/// What the second slot lacks beside the entries of the first.
fn lacking(facts: &Facts<'_>, comparison: &Comparison, one: &Slot, other: &Slot) -> Vec<Beside> {
    if one.indication == other.indication {
        return Vec::new();
    }
    let fitting = |slot: &Slot| -> Vec<(EntryId, &Entry)> {
        let all = facts.entries(slot.indication).iter().filter_map(|id| Some((*id, facts.entry(*id)?)));
        all.filter(|(_, entry)| facts.fits(slot, entry, &comparison.loose)).collect()
    };
    let taken = fitting(other);
    let alone = fitting(one).into_iter().filter(|(_, entry)| !taken.iter().any(|(_, o)| facts.same_setup(entry, o)));
    alone
        .filter_map(|(id, entry)| {
            let asked = asked(facts, entry, other)?;
            Some(Beside { indication: other.indication, asked, again: (!taken.is_empty()).then_some(id) })
        })
        .collect()
}

/// A slot under the setup of an entry; none if it can't be had there.
fn asked(facts: &Facts<'_>, entry: &Entry, slot: &Slot) -> Option<Asked> {
    let book = facts.book;
    let mut demand = slot.demand.clone();
    for id in book.setting_ids() {
        let both = can_affect(book, id, entry.indication) && can_affect(book, id, slot.indication);
        if !is_change(book, id) || both {
            demand.narrow(Term { setting: id, allowed: entry.setup.mask(id) });
        }
    }
    (!demand.is_impossible()).then(|| Asked { demand, words: slot.words.clone(), loose: Vec::new() })
}
