//! Which tests a condition still waits for: for each way in which it could come true, the slots that nobody filled yet.

use crate::book::{Condition, Node, SlotIx};
use crate::reasoning::Facts;
use crate::reasoning::choice::is_decided;

use super::beside::slots;

/// The most ways that are followed for one condition.
const MOST_WAYS: usize = 12;

/// For each way to make a condition true (or false), the slots that an entry is missing for. A way that an entry
/// speaks against is left out; one that lacks nothing is empty.
pub(crate) fn ways(facts: &Facts<'_>, condition: &Condition, want: bool) -> Vec<Vec<SlotIx>> {
    let mut found = Walk { facts, condition }.node(&condition.node, want);
    found.sort_by(|a, b| a.len().cmp(&b.len()).then(a.cmp(b)));
    found.dedup();
    found
}

struct Walk<'a, 'f> {
    facts: &'a Facts<'f>,
    condition: &'a Condition,
}

impl Walk<'_, '_> {
    fn node(&self, node: &Node, want: bool) -> Vec<Vec<SlotIx>> {
        match (node, want) {
            (Node::Not(inner), _) => self.node(inner, !want),
            (Node::Finding(_, inner, _), _) => self.node(inner, want),
            (Node::All(parts), true) | (Node::Any(parts), false) => self.each(parts, want),
            (Node::All(parts), false) | (Node::Any(parts), true) => {
                let mut found: Vec<Vec<SlotIx>> = parts.iter().flat_map(|part| self.node(part, want)).collect();
                found.truncate(MOST_WAYS);
                found
            }
            (Node::Answer(slot, ..), _) => self.atom(node, &[*slot], want),
            (Node::Compare(comparison), _) => self.atom(node, &slots(comparison), want),
            (Node::Signal(test), _) => self.atom(node, &test.slots, want),
        }
    }

    /// All of them: every way of one joined with every way of the others.
    fn each(&self, parts: &[Node], want: bool) -> Vec<Vec<SlotIx>> {
        let mut found: Vec<Vec<SlotIx>> = vec![Vec::new()];
        for part in parts {
            let ways = self.node(part, want);
            let mut joined = Vec::new();
            for before in &found {
                for way in &ways {
                    let mut both = before.clone();
                    both.extend(way.iter().filter(|slot| !before.contains(slot)));
                    both.sort_unstable();
                    joined.push(both);
                }
            }
            joined.truncate(MOST_WAYS);
            found = joined;
        }
        found
    }

    fn atom(&self, node: &Node, slots: &[SlotIx], want: bool) -> Vec<Vec<SlotIx>> {
        let missing: Vec<SlotIx> = slots.iter().copied().filter(|slot| !self.is_filled(*slot)).collect();
        if !missing.is_empty() {
            return vec![missing];
        }
        let alone = Condition { node: node.clone(), slots: self.condition.slots.clone(), span: self.condition.span };
        if is_decided(self.facts, &alone, want) { vec![Vec::new()] } else { Vec::new() }
    }

    fn is_filled(&self, slot: SlotIx) -> bool {
        let Some(slot) = self.condition.slot(slot) else { return true };
        let mut entries = self.facts.entries(slot.indication).iter().filter_map(|id| self.facts.entry(*id));
        entries.any(|entry| self.facts.fits(slot, entry, &[]))
    }
}
