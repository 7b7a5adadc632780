//! Walking a condition towards true or false, entry by entry: which entries hang together is decided here and nowhere else.
//! Who walks says what a value must be ([`super::choice`] looks at it, a batch notes what to ask of it later).

use crate::book::{
    Comparison, Condition, Mask, Node, SettingId, SignalTest, SlotIx, Test, ToleranceLine, ToleranceSide,
};
use crate::job::EntryId;

use super::choice::lines_that_hold;
use super::facts::Facts;

/// What is still to be made true or false.
pub(crate) struct Goal<'g> {
    part: Part<'g>,
    want: bool,
    next: Option<&'g Goal<'g>>,
}

#[derive(Clone, Copy)]
enum Part<'g> {
    Node(&'g Node),
    /// All of these, each to be as wanted.
    Each(&'g [Node]),
}

/// Where a walk stands.
pub(crate) struct Ground<'a, 'f> {
    /// The entries.
    pub(crate) facts: &'a Facts<'f>,
    /// The condition walked.
    pub(crate) condition: &'a Condition,
    /// The entries chosen so far, by slot.
    pub(crate) slots: Vec<Option<EntryId>>,
}

impl<'a, 'f> Ground<'a, 'f> {
    /// Nothing chosen yet.
    pub(crate) fn new(facts: &'a Facts<'f>, condition: &'a Condition) -> Self {
        Self { facts, condition, slots: vec![None; condition.slots.len()] }
    }

    /// The entry chosen for a slot.
    pub(crate) fn chosen(&self, slot: SlotIx) -> Option<EntryId> {
        self.slots.get(slot.place()).copied().flatten()
    }

    fn put(&mut self, slot: SlotIx, id: Option<EntryId>) {
        if let Some(cell) = self.slots.get_mut(slot.place()) {
            *cell = id;
        }
    }

    fn fits(&self, slot: SlotIx, id: EntryId, loose: &[SettingId]) -> bool {
        let (Some(place), Some(entry)) = (self.condition.slot(slot), self.facts.entry(id)) else { return false };
        self.facts.fits(place, entry, loose)
    }

    /// Whether an entry shares one setup with the entries already chosen for the same comparison.
    fn shares_setup(&self, slot: SlotIx, id: EntryId, together: &[SlotIx]) -> bool {
        let Some(entry) = self.facts.entry(id) else { return false };
        together.iter().filter(|other| **other != slot).all(|other| {
            let chosen = self.chosen(*other).and_then(|id| self.facts.entry(id));
            chosen.is_none_or(|other| self.facts.same_setup(entry, other))
        })
    }

    fn hangs_together(&self, slot: SlotIx, id: EntryId) -> bool {
        let (Some(place), Some(entry)) = (self.condition.slot(slot), self.facts.entry(id)) else { return false };
        self.condition.slots.iter().zip(&self.slots).all(|(other, chosen)| {
            let chosen = chosen.and_then(|id| self.facts.entry(id));
            chosen.is_none_or(|chosen| self.facts.disagreement((place, entry), (other, chosen)).is_none())
        })
    }
}

/// Somebody who walks. The slots of what is asked are filled before it is asked.
pub(crate) trait Walk<'a, 'f: 'a>: Sized {
    /// Where it stands.
    fn ground(&self) -> &Ground<'a, 'f>;
    /// The same, to choose entries.
    fn ground_mut(&mut self) -> &mut Ground<'a, 'f>;
    /// Counts a step; false where the walk is over.
    fn step(&mut self) -> bool;
    /// Whether the choice so far may lead to anything.
    fn promises(&self) -> bool {
        true
    }
    /// All is as wanted.
    fn arrived(&mut self);
    /// An answer that must be one of a mask, or none of it.
    fn answer(&mut self, slot: SlotIx, mask: Mask, want: bool, next: Option<&Goal<'_>>);
    /// A comparison with limits of its own.
    fn test(&mut self, comparison: &Comparison, test: &Test, want: bool, next: Option<&Goal<'_>>);
    /// A comparison with the tolerance lines that apply.
    fn tolerance(
        &mut self,
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[&ToleranceLine],
        want: bool,
        next: Option<&Goal<'_>>,
    );
    /// What a log must show.
    fn signal(&mut self, test: &SignalTest, want: bool, next: Option<&Goal<'_>>);

    /// Walks the whole condition.
    fn walk(&mut self, want: bool) {
        let condition = self.ground().condition;
        self.go_on(Some(&Goal { part: Part::Node(&condition.node), want, next: None }));
    }

    /// Goes on with what is still to be made so.
    fn go_on(&mut self, goal: Option<&Goal<'_>>) {
        if !self.step() {
            return;
        }
        let Some(goal) = goal else {
            self.arrived();
            return;
        };
        match goal.part {
            Part::Each([]) => self.go_on(goal.next),
            Part::Each([first, rest @ ..]) => {
                let rest = Goal { part: Part::Each(rest), want: goal.want, next: goal.next };
                self.go_on(Some(&Goal { part: Part::Node(first), want: goal.want, next: Some(&rest) }));
            }
            Part::Node(node) => self.node(node, goal.want, goal.next),
        }
    }

    /// Makes one node so.
    fn node(&mut self, node: &Node, want: bool, next: Option<&Goal<'_>>) {
        match (node, want) {
            (Node::Not(inner), _) => self.go_on(Some(&Goal { part: Part::Node(inner), want: !want, next })),
            (Node::Finding(_, inner, _), _) => self.go_on(Some(&Goal { part: Part::Node(inner), want, next })),
            (Node::All(parts), true) | (Node::Any(parts), false) => {
                self.go_on(Some(&Goal { part: Part::Each(parts), want, next }));
            }
            (Node::All(parts), false) | (Node::Any(parts), true) => {
                for part in parts {
                    self.go_on(Some(&Goal { part: Part::Node(part), want, next }));
                }
            }
            (Node::Answer(slot, mask, _), _) => {
                self.fill(&[*slot], &[], &[], &mut |walk| walk.answer(*slot, *mask, want, next));
            }
            (Node::Compare(comparison), _) => self.compare(comparison, want, next),
            (Node::Signal(test), _) => {
                self.fill(&test.slots, &test.slots, &test.loose, &mut |walk| walk.signal(test, want, next));
            }
        }
    }

    /// Makes one comparison so.
    fn compare(&mut self, comparison: &Comparison, want: bool, next: Option<&Goal<'_>>) {
        let slots = &comparison.slots;
        self.fill(slots, slots, &comparison.loose, &mut |walk| match &comparison.test {
            Test::Tolerance(side, lines) => walk.against(comparison, *side, lines, want, next),
            test => walk.test(comparison, test, want, next),
        });
    }

    /// Holds a comparison against the tolerance lines that apply to the chosen entries.
    fn against(
        &mut self,
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[ToleranceLine],
        want: bool,
        next: Option<&Goal<'_>>,
    ) {
        let ground = self.ground();
        let chosen = lines_that_hold(ground.facts, ground.condition, &ground.slots, comparison, lines);
        if chosen.is_empty() {
            return;
        }
        let mut slots: Vec<SlotIx> = Vec::new();
        for slot in chosen.iter().flat_map(|line| &line.slots) {
            if !slots.contains(slot) {
                slots.push(*slot);
            }
        }
        let together: Vec<SlotIx> = comparison.slots.iter().chain(&slots).copied().collect();
        self.fill(&slots, &together, &comparison.loose, &mut |walk| {
            walk.tolerance(comparison, side, &chosen, want, next);
        });
    }

    /// Fills empty slots with entries that fit, and goes on with each.
    fn fill(&mut self, slots: &[SlotIx], together: &[SlotIx], loose: &[SettingId], go_on: &mut dyn FnMut(&mut Self)) {
        let Some((slot, rest)) = slots.split_first() else {
            go_on(self);
            return;
        };
        let ground = self.ground();
        let (facts, Some(place)) = (ground.facts, ground.condition.slot(*slot)) else { return };
        if let Some(id) = ground.chosen(*slot) {
            if ground.fits(*slot, id, loose) && ground.shares_setup(*slot, id, together) {
                self.fill(rest, together, loose, go_on);
            }
            return;
        }
        for id in facts.entries(place.indication).iter().copied() {
            if !self.step() {
                return;
            }
            let ground = self.ground_mut();
            if !ground.fits(*slot, id, loose)
                || !ground.shares_setup(*slot, id, together)
                || !ground.hangs_together(*slot, id)
            {
                continue;
            }
            ground.put(*slot, Some(id));
            if self.promises() {
                self.fill(rest, together, loose, go_on);
            }
            self.ground_mut().put(*slot, None);
        }
    }
}
