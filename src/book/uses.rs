//! Where each reading or observation is asked for: which conditions name it, and what their atoms demand.

use super::condition::{Condition, Node, Slot, Test};
use super::ids::{ComplaintId, FaultId, IndicationId, RuleId, SettingId};
use super::model::Book;
use super::setup::{Demand, Setup, Term, matches};
use super::value::SlotIx;

/// Which condition of the book.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ConditionRef {
    /// That of a rule.
    Rule(RuleId),
    /// The nth `shows` of a fault.
    Shows(FaultId, usize),
    /// The nth `verify` of a fault.
    Verify(FaultId, usize),
    /// `gone when` of a complaint.
    Gone(ComplaintId),
}

/// One way in which an atom asks for an indication.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Asked {
    /// What the setup must be.
    pub demand: Demand,
    /// Changes allowed besides.
    pub loose: Vec<SettingId>,
    /// The setup words themselves: those of the atom and of the indication's `needs`.
    pub words: Vec<Term>,
}

impl Asked {
    /// Whether it is this slot, with its indication's needs and these changes allowed besides.
    fn is(&self, slot: &Slot, needs: &[Term], loose: &[SettingId]) -> bool {
        self.demand == slot.demand
            && self.loose == loose
            && slot.words.iter().all(|word| self.words.contains(word))
            && self.words.iter().all(|word| slot.words.contains(word) || needs.contains(word))
    }
}

/// So many earlier ways of asking are looked at before another is taken down; those alike are put together in the end.
const MOST_COMPARED: usize = 8;

/// All uses of one indication.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Uses {
    /// The distinct ways in which it is asked for, sorted.
    pub asked: Vec<Asked>,
    /// The conditions that name it, in book order.
    pub conditions: Vec<ConditionRef>,
}

impl Uses {
    /// Whether some atom can match an entry taken under that setup.
    pub fn any_matches(&self, book: &Book, indication: IndicationId, setup: &Setup) -> bool {
        self.asked.iter().any(|asked| matches(book, &asked.demand, indication, setup, &asked.loose))
    }
}

impl Book {
    /// Every condition that a verdict can rest on, in book order.
    pub fn conditions(&self) -> impl Iterator<Item = (ConditionRef, &Condition)> {
        let rules =
            self.rules.iter().enumerate().map(|(place, rule)| (ConditionRef::Rule(RuleId::at(place)), &rule.condition));
        let faults = self.faults.iter().enumerate().flat_map(|(place, fault)| {
            let id = FaultId::at(place);
            let shows =
                fault.shows.iter().enumerate().map(move |(n, shows)| (ConditionRef::Shows(id, n), &shows.condition));
            let verify =
                fault.verify.iter().enumerate().map(move |(n, condition)| (ConditionRef::Verify(id, n), condition));
            shows.chain(verify)
        });
        let gone = self.complaints.iter().enumerate().filter_map(|(place, complaint)| {
            complaint.gone.as_ref().map(|condition| (ConditionRef::Gone(ComplaintId::at(place)), condition))
        });
        rules.chain(faults).chain(gone)
    }

    /// The condition of that reference.
    pub fn condition(&self, which: ConditionRef) -> Option<&Condition> {
        match which {
            ConditionRef::Rule(id) => self.rules.get(id.place()).map(|rule| &rule.condition),
            ConditionRef::Shows(id, n) => self.faults.get(id.place())?.shows.get(n).map(|shows| &shows.condition),
            ConditionRef::Verify(id, n) => self.faults.get(id.place())?.verify.get(n),
            ConditionRef::Gone(id) => self.complaints.get(id.place())?.gone.as_ref(),
        }
    }

    /// The uses of an indication.
    pub fn uses_of(&self, indication: IndicationId) -> Option<&Uses> {
        self.uses.get(indication.place())
    }
}

/// Gathers the uses of all indications.
pub(super) fn gather(book: &Book) -> Vec<Uses> {
    let mut all = vec![Uses::default(); book.indications.len()];
    for (which, condition) in book.conditions() {
        let mut loose: Vec<Vec<SettingId>> = vec![Vec::new(); condition.slots.len()];
        loosen(&condition.node, &mut loose);
        for (place, slot) in condition.slots.iter().enumerate() {
            let Some(uses) = all.get_mut(slot.indication.place()) else { continue };
            let loose = loose.get(place).map_or(&[][..], Vec::as_slice);
            let needs = &book.indication(slot.indication).needs;
            let before = uses.asked.iter().rev().take(MOST_COMPARED);
            if !before.into_iter().any(|known| known.is(slot, needs, loose)) {
                let mut words: Vec<Term> = slot.words.iter().chain(needs).copied().collect();
                words.sort_unstable();
                words.dedup();
                uses.asked.push(Asked { demand: slot.demand.clone(), loose: loose.to_vec(), words });
            }
            if uses.conditions.last() != Some(&which) {
                uses.conditions.push(which);
            }
        }
    }
    for uses in &mut all {
        uses.asked.sort();
        uses.asked.dedup();
    }
    all
}

/// The changes that tolerance tests allow besides, by slot.
fn loosen(node: &Node, loose: &mut [Vec<SettingId>]) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| loosen(part, loose)),
        Node::Not(inner) | Node::Finding(_, inner, _) => loosen(inner, loose),
        Node::Answer(..) => {}
        Node::Signal(test) => {
            for SlotIx(place) in &test.slots {
                if let Some(list) = loose.get_mut(*place as usize) {
                    list.extend(test.loose.iter().copied());
                }
            }
        }
        Node::Compare(comparison) => {
            if let Test::Tolerance(..) = comparison.test {
                for SlotIx(place) in &comparison.slots {
                    if let Some(list) = loose.get_mut(*place as usize) {
                        list.extend(comparison.loose.iter().copied());
                    }
                }
            }
        }
    }
}
