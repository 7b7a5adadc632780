//! Every way in which the columns of a layout could decide a condition. This walks a condition just as
//! [`crate::reasoning::choice`] does for one job, with one entry a column whose value is not known yet; where that search asks
//! what a value is, this one notes the comparison and goes on.

use crate::book::{Comparison, Condition, Mask, Node, SettingId, SlotIx, Test, ToleranceLine, ToleranceSide, Value};
use crate::job::EntryId;
use crate::reasoning::Facts;
use crate::reasoning::choice::lines_that_hold;
use crate::units::Exact;

use super::compile::Weigher;
use super::fixed::Side;

/// The most steps of one condition; one that needs more is left to the ordinary judge.
const MOST_STEPS: usize = 20_000;
/// The most ways of one condition.
const MOST_WAYS: usize = 256;

/// One comparison that must hold.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Need {
    /// A cell is at least that.
    Cell(u32, i64),
    /// These columns decide it in a way that whole numbers can't tell.
    Hard(Vec<u32>),
    /// It never holds.
    Never,
}

/// The comparisons that make a condition so, all together.
pub(super) type Way = Vec<Need>;

/// Every way to make a condition true (or false). None where there are too many.
pub(super) fn ways(
    facts: &Facts<'_>,
    condition: &Condition,
    want: bool,
    weigher: &mut Weigher<'_>,
) -> Option<Vec<Way>> {
    let slots = vec![None; condition.slots.len()];
    let mut prover = Prover { facts, condition, weigher, slots, needs: Vec::new(), ways: Vec::new(), steps: 0 };
    prover.prove(Some(&Goal { part: Part::Node(&condition.node), want, next: None }));
    let whole = prover.steps <= MOST_STEPS && prover.ways.len() <= MOST_WAYS;
    whole.then_some(prover.ways)
}

struct Goal<'g> {
    part: Part<'g>,
    want: bool,
    next: Option<&'g Goal<'g>>,
}

#[derive(Clone, Copy)]
enum Part<'g> {
    Node(&'g Node),
    Each(&'g [Node]),
}

struct Prover<'a, 'f, 'w> {
    facts: &'a Facts<'f>,
    condition: &'a Condition,
    weigher: &'a mut Weigher<'w>,
    slots: Vec<Option<EntryId>>,
    needs: Way,
    ways: Vec<Way>,
    steps: usize,
}

impl Prover<'_, '_, '_> {
    fn done(&self) -> bool {
        self.steps > MOST_STEPS || self.ways.len() > MOST_WAYS
    }

    fn prove(&mut self, goal: Option<&Goal<'_>>) {
        self.steps += 1;
        if self.done() {
            return;
        }
        let Some(goal) = goal else {
            if !self.ways.contains(&self.needs) {
                self.ways.push(self.needs.clone());
            }
            return;
        };
        match goal.part {
            Part::Each([]) => self.prove(goal.next),
            Part::Each([first, rest @ ..]) => {
                let rest = Goal { part: Part::Each(rest), want: goal.want, next: goal.next };
                self.prove(Some(&Goal { part: Part::Node(first), want: goal.want, next: Some(&rest) }));
            }
            Part::Node(node) => self.node(node, goal.want, goal.next),
        }
    }

    fn node(&mut self, node: &Node, want: bool, next: Option<&Goal<'_>>) {
        match (node, want) {
            (Node::Not(inner), _) => self.prove(Some(&Goal { part: Part::Node(inner), want: !want, next })),
            (Node::Finding(_, inner, _), _) => self.prove(Some(&Goal { part: Part::Node(inner), want, next })),
            (Node::All(parts), true) | (Node::Any(parts), false) => {
                self.prove(Some(&Goal { part: Part::Each(parts), want, next }));
            }
            (Node::All(parts), false) | (Node::Any(parts), true) => {
                for part in parts {
                    self.prove(Some(&Goal { part: Part::Node(part), want, next }));
                }
            }
            (Node::Answer(slot, mask, _), _) => self.fill(&[*slot], &[], &[], &mut |prover| {
                for way in prover.answers(*slot, *mask, want) {
                    prover.with(way, next);
                }
            }),
            (Node::Compare(comparison), _) => self.compare(comparison, want, next),
            // What a log shows is no whole number.
            (Node::Signal(test), _) => self.fill(&test.slots, &test.slots, &test.loose, &mut |prover| {
                let columns = test.slots.iter().filter_map(|slot| prover.column(*slot)).collect();
                prover.with(vec![Need::Hard(columns)], next);
            }),
        }
    }

    /// Goes on with some needs more.
    fn with(&mut self, needs: Way, next: Option<&Goal<'_>>) {
        if needs.contains(&Need::Never) {
            return;
        }
        let before = self.needs.len();
        for need in needs {
            if !self.needs.contains(&need) {
                self.needs.push(need);
            }
        }
        self.prove(next);
        self.needs.truncate(before);
    }

    /// The runs of answers that will do.
    fn answers(&self, slot: SlotIx, mask: Mask, want: bool) -> Vec<Way> {
        let Some(column) = self.column(slot) else { return Vec::new() };
        let count =
            self.condition.slot(slot).and_then(|slot| self.facts.book.indication(slot.indication).observation());
        let count = count.map_or(0, |observation| observation.answers.len().min(64));
        let will_do = |answer: usize| answer < count && (mask & (1 << answer) != 0) == want;
        let starts = (0..count).filter(|n| will_do(*n) && (*n == 0 || !will_do(n - 1)));
        starts
            .map(|first| {
                let last = (first..count).take_while(|n| will_do(*n)).last().unwrap_or(first);
                let place = |answer: usize| 2 * i64::try_from(answer).unwrap_or(0);
                vec![Need::Cell(2 * column, place(first)), Need::Cell(2 * column + 1, -place(last))]
            })
            .collect()
    }

    fn column(&self, slot: SlotIx) -> Option<u32> {
        self.slots.get(slot.place()).copied().flatten().map(|id| id.0)
    }

    fn compare(&mut self, comparison: &Comparison, want: bool, next: Option<&Goal<'_>>) {
        let slots = &comparison.slots;
        self.fill(slots, slots, &comparison.loose, &mut |prover| match &comparison.test {
            Test::Tolerance(side, lines) => prover.tolerance(comparison, *side, lines, want, next),
            test => {
                for way in prover.test(&comparison.subject, test, want) {
                    prover.with(way, next);
                }
            }
        });
    }

    fn tolerance(
        &mut self,
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[ToleranceLine],
        want: bool,
        next: Option<&Goal<'_>>,
    ) {
        let chosen = lines_that_hold(self.facts, self.condition, &self.slots, comparison, lines);
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
        self.fill(&slots, &together, &comparison.loose, &mut |prover| {
            for way in prover.against_lines(&comparison.subject, side, &chosen, want) {
                prover.with(way, next);
            }
        });
    }

    /// In tolerance is within all lines, out is out of any; below and above are so of any.
    fn against_lines(
        &mut self,
        subject: &Value,
        side: ToleranceSide,
        lines: &[&ToleranceLine],
        want: bool,
    ) -> Vec<Way> {
        let within = |line: &ToleranceLine| Test::Between(line.low.clone(), line.high.clone());
        let (tests, all): (Vec<(Test, bool)>, bool) = match (side, want) {
            (ToleranceSide::In, true) | (ToleranceSide::Out, false) => {
                (lines.iter().map(|line| (within(line), true)).collect(), true)
            }
            (ToleranceSide::In, false) | (ToleranceSide::Out, true) => {
                (lines.iter().map(|line| (within(line), false)).collect(), false)
            }
            (ToleranceSide::Below, _) => {
                (lines.iter().map(|line| (Test::Below(line.low.clone()), want)).collect(), !want)
            }
            (ToleranceSide::Above, _) => {
                (lines.iter().map(|line| (Test::Above(line.high.clone()), want)).collect(), !want)
            }
        };
        let each: Vec<Vec<Way>> = tests.iter().map(|(test, want)| self.test(subject, test, *want)).collect();
        if all { all_of(&each) } else { each.into_iter().flatten().collect() }
    }

    /// The ways to make one comparison so.
    fn test(&mut self, subject: &Value, test: &Test, want: bool) -> Vec<Way> {
        let value = |limit: &Exact| Value::Constant(limit.clone());
        // Each limit with what is asked of the subject if it is to hold, and if it is to fail.
        let limits: Vec<(Value, Side, Side)> = match test {
            Test::Below(x) => vec![(x.clone(), Side::Less, Side::AtLeast)],
            Test::AtLeast(x) => vec![(x.clone(), Side::AtLeast, Side::Less)],
            Test::Above(x) => vec![(x.clone(), Side::More, Side::AtMost)],
            Test::AtMost(x) => vec![(x.clone(), Side::AtMost, Side::More)],
            Test::Between(x, y) => vec![(x.clone(), Side::AtLeast, Side::Less), (y.clone(), Side::AtMost, Side::More)],
            // Outside holds where one of the two fails to be within.
            Test::Outside(x, y) => vec![(x.clone(), Side::AtLeast, Side::Less), (y.clone(), Side::AtMost, Side::More)],
            Test::Band(low, high) => {
                let low = low.iter().map(|x| (value(x), Side::AtLeast, Side::Less));
                low.chain(high.iter().map(|x| (value(x), Side::Less, Side::AtLeast))).collect()
            }
            Test::Tolerance(..) => return Vec::new(),
        };
        let within = want != matches!(test, Test::Outside(..));
        let each: Vec<Vec<Way>> = limits
            .into_iter()
            .map(|(limit, holds, fails)| {
                let sum = Value::difference(subject.clone(), limit);
                self.weigher.ways(&self.slots, &sum, if within { holds } else { fails })
            })
            .collect();
        if within { all_of(&each) } else { each.into_iter().flatten().collect() }
    }

    fn fill(&mut self, slots: &[SlotIx], together: &[SlotIx], loose: &[SettingId], go_on: &mut dyn FnMut(&mut Self)) {
        let Some((slot, rest)) = slots.split_first() else {
            go_on(self);
            return;
        };
        let Some(place) = self.condition.slot(*slot) else { return };
        if let Some(id) = self.slots.get(slot.place()).copied().flatten() {
            let fits = self.facts.entry(id).is_some_and(|entry| self.facts.fits(place, entry, loose));
            if fits && self.shares_setup(*slot, id, together) {
                self.fill(rest, together, loose, go_on);
            }
            return;
        }
        for id in self.facts.entries(place.indication).to_vec() {
            self.steps += 1;
            if self.done() {
                return;
            }
            let Some(entry) = self.facts.entry(id) else { continue };
            if !self.facts.fits(place, entry, loose)
                || !self.shares_setup(*slot, id, together)
                || !self.hangs_together(*slot, id)
            {
                continue;
            }
            self.put(*slot, Some(id));
            self.fill(rest, together, loose, go_on);
            self.put(*slot, None);
        }
    }

    fn put(&mut self, slot: SlotIx, id: Option<EntryId>) {
        if let Some(cell) = self.slots.get_mut(slot.place()) {
            *cell = id;
        }
    }

    fn shares_setup(&self, slot: SlotIx, id: EntryId, together: &[SlotIx]) -> bool {
        let Some(entry) = self.facts.entry(id) else { return false };
        together.iter().filter(|other| **other != slot).all(|other| {
            let chosen = self.slots.get(other.place()).copied().flatten().and_then(|id| self.facts.entry(id));
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

/// One way of each, joined.
fn all_of(each: &[Vec<Way>]) -> Vec<Way> {
    each.iter().fold(vec![Vec::new()], |joined: Vec<Way>, ways| {
        joined
            .iter()
            .flat_map(|so_far| ways.iter().map(move |way| so_far.iter().chain(way).cloned().collect()))
            .collect()
    })
}
