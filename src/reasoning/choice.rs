//! Choosing one entry for each slot so that a condition is decided. A choice must hang together: entries of one
//! comparison share one setup, and all of them agree on every state that matters to both, unless their atoms are
//! apart on it. The choice may leave slots empty that don't decide the result.

use std::sync::Arc;

use crate::book::{
    Comparison, Condition, Mask, Node, SettingId, SignalTest, SlotIx, Test, ToleranceLine, ToleranceSide, Value,
};
use crate::job::{EntryId, EntryValue};
use crate::units::{Bound, Exact, Interval};

use super::facts::Facts;
use super::range::{Filled, Values, side_of_nought};
use super::signals;
use super::truth::Truth;
use super::walk::{Goal, Ground, Walk};

/// The most steps of one search. A condition that needs more is left unknown.
const MOST_STEPS: usize = 200_000;

/// One entry for each slot that decides.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Choice {
    /// By slot; none where the slot doesn't decide. Shared, for verdicts and reasons name the same choices.
    pub slots: Arc<[Option<EntryId>]>,
}

impl Choice {
    /// The choice of these entries, by slot.
    pub fn of(slots: &[Option<EntryId>]) -> Self {
        Self { slots: slots.into() }
    }

    /// Whether it rests on an entry for which `is` holds.
    pub fn rests_on(&self, is: impl Fn(EntryId) -> bool) -> bool {
        self.slots.iter().flatten().any(|id| is(*id))
    }

    /// The entries, sorted, each once.
    pub fn entries(&self) -> Vec<EntryId> {
        entries(&self.slots)
    }

    /// The entry in a slot.
    pub fn get(&self, slot: SlotIx) -> Option<EntryId> {
        chosen(&self.slots, slot)
    }
}

/// The entry in a slot of some.
pub(crate) fn chosen(slots: &[Option<EntryId>], slot: SlotIx) -> Option<EntryId> {
    slots.get(slot.place()).copied().flatten()
}

/// The entries in some slots, sorted, each once.
fn entries(slots: &[Option<EntryId>]) -> Vec<EntryId> {
    let mut all: Vec<EntryId> = slots.iter().flatten().copied().collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The smallest choice that makes a condition true (or false), the earliest entries if several.
pub fn decide(facts: &Facts<'_>, condition: &Condition, want: bool) -> Option<Choice> {
    search(facts, condition, want, Wanted::Smallest).into_iter().next()
}

/// Whether some choice makes it so.
pub fn is_decided(facts: &Facts<'_>, condition: &Condition, want: bool) -> bool {
    !search(facts, condition, want, Wanted::Any).is_empty()
}

/// Every smallest choice, the earliest entries first.
pub fn all_smallest(facts: &Facts<'_>, condition: &Condition, want: bool) -> Vec<Choice> {
    search(facts, condition, want, Wanted::EverySmallest)
}

/// True, false or unknown. Where some choices say so and others the opposite, true counts.
pub fn truth(facts: &Facts<'_>, condition: &Condition) -> Truth {
    if is_decided(facts, condition, true) {
        Truth::True
    } else if is_decided(facts, condition, false) {
        Truth::False
    } else {
        Truth::Unknown
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    Any,
    Smallest,
    EverySmallest,
}

fn search(facts: &Facts<'_>, condition: &Condition, want: bool, wanted: Wanted) -> Vec<Choice> {
    if !could_be(facts, condition, &condition.node, want) {
        return Vec::new();
    }
    let mut search =
        Search { ground: Ground::new(facts, condition), best: Vec::new(), size: usize::MAX, steps: 0, wanted };
    search.walk(want);
    search.best.sort_by_cached_key(Choice::entries);
    search.best.dedup();
    search.best
}

/// Whether every comparison that it takes has some entry at all: the cheap question that most conditions of a large book
/// fail.
fn could_be(facts: &Facts<'_>, condition: &Condition, node: &Node, want: bool) -> bool {
    let entered = |slot: &SlotIx| condition.slot(*slot).is_some_and(|slot| !facts.entries(slot.indication).is_empty());
    match (node, want) {
        (Node::Not(inner), _) => could_be(facts, condition, inner, !want),
        (Node::Finding(_, inner, _), _) => could_be(facts, condition, inner, want),
        (Node::All(parts), true) | (Node::Any(parts), false) => {
            parts.iter().all(|part| could_be(facts, condition, part, want))
        }
        (Node::All(parts), false) | (Node::Any(parts), true) => {
            parts.iter().any(|part| could_be(facts, condition, part, want))
        }
        (Node::Answer(slot, ..), _) => entered(slot),
        (Node::Compare(comparison), _) => comparison.slots.iter().all(entered),
        (Node::Signal(test), _) => test.slots.iter().all(entered),
    }
}

struct Search<'a, 'f> {
    ground: Ground<'a, 'f>,
    best: Vec<Choice>,
    size: usize,
    steps: usize,
    wanted: Wanted,
}

impl Search<'_, '_> {
    fn holds(&self, subject: &Value, test: &Test) -> Truth {
        holds(self.ground.facts, &self.ground.slots, subject, test)
    }

    fn go_on_if(&mut self, truth: Truth, want: bool, next: Option<&Goal<'_>>) {
        if truth.decided() == Some(want) {
            self.go_on(next);
        }
    }
}

impl<'a, 'f: 'a> Walk<'a, 'f> for Search<'a, 'f> {
    fn ground(&self) -> &Ground<'a, 'f> {
        &self.ground
    }

    fn ground_mut(&mut self) -> &mut Ground<'a, 'f> {
        &mut self.ground
    }

    fn step(&mut self) -> bool {
        self.steps += 1;
        self.steps <= MOST_STEPS && (self.wanted != Wanted::Any || self.best.is_empty())
    }

    fn promises(&self) -> bool {
        self.size == usize::MAX || entries(&self.ground.slots).len() <= self.size
    }

    fn answer(&mut self, slot: SlotIx, mask: Mask, want: bool, next: Option<&Goal<'_>>) {
        let entry = self.ground.chosen(slot).and_then(|id| self.ground.facts.entry(id));
        if let Some(EntryValue::Answer(given)) = entry.map(|e| &e.value)
            && (given & mask != 0) == want
        {
            self.go_on(next);
        }
    }

    fn test(&mut self, comparison: &Comparison, test: &Test, want: bool, next: Option<&Goal<'_>>) {
        self.go_on_if(self.holds(&comparison.subject, test), want, next);
    }

    fn tolerance(
        &mut self,
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[&ToleranceLine],
        want: bool,
        next: Option<&Goal<'_>>,
    ) {
        let truth = tolerance_truth(lines, side, |test| self.holds(&comparison.subject, test));
        self.go_on_if(truth, want, next);
    }

    fn signal(&mut self, test: &SignalTest, want: bool, next: Option<&Goal<'_>>) {
        let truth = signals::truth(self.ground.facts, self.ground.condition, &self.ground.slots, test);
        self.go_on_if(truth, want, next);
    }

    fn arrived(&mut self) {
        let size = entries(&self.ground.slots).len();
        match self.wanted {
            Wanted::Any => self.best.push(Choice::of(&self.ground.slots)),
            Wanted::Smallest => {
                let better = self
                    .best
                    .first()
                    .is_none_or(|best| (size, entries(&self.ground.slots)) < (self.size, best.entries()));
                if better {
                    self.best = vec![Choice::of(&self.ground.slots)];
                    self.size = size;
                }
            }
            Wanted::EverySmallest => {
                if size < self.size {
                    self.best.clear();
                    self.size = size;
                }
                if size == self.size && self.best.len() < 1_000 {
                    self.best.push(Choice::of(&self.ground.slots));
                }
            }
        }
    }
}

/// The tolerance lines that apply to the chosen entries: those that hold and name most.
pub(crate) fn lines_that_hold<'l>(
    facts: &Facts<'_>,
    condition: &Condition,
    choice: &[Option<EntryId>],
    comparison: &Comparison,
    lines: &'l [ToleranceLine],
) -> Vec<&'l ToleranceLine> {
    let mut subject = Vec::new();
    comparison.subject.collect_slots(&mut subject);
    let entries: Vec<_> = subject
        .iter()
        .filter_map(|slot| Some((condition.slot(*slot)?, facts.entry(chosen(choice, *slot)?)?)))
        .collect();
    let holds = |line: &&ToleranceLine| entries.iter().all(|(_, entry)| line.demand.holds(&entry.setup));
    let most = lines.iter().filter(holds).map(|line| line.named).max();
    let chosen: Vec<&ToleranceLine> = lines.iter().filter(holds).filter(|line| Some(line.named) == most).collect();
    // A change in place counts only if the atom or the chosen line names it.
    let changes: Vec<SettingId> = chosen.iter().flat_map(|line| line.changes.iter().copied()).collect();
    let named = entries.iter().all(|(slot, entry)| facts.fits(slot, entry, &changes));
    if named { chosen } else { Vec::new() }
}

/// One tolerance test against tied lines: in tolerance is in all of them, out is out of any.
pub(crate) fn tolerance_truth(
    lines: &[&ToleranceLine],
    side: ToleranceSide,
    mut holds: impl FnMut(&Test) -> Truth,
) -> Truth {
    let mut within = |line: &ToleranceLine| holds(&Test::Between(line.low.clone(), line.high.clone()));
    match side {
        ToleranceSide::In => lines.iter().fold(Truth::True, |all, line| all.and(within(line))),
        ToleranceSide::Out => !lines.iter().fold(Truth::True, |all, line| all.and(within(line))),
        ToleranceSide::Below => {
            lines.iter().fold(Truth::False, |any, line| any.or(holds(&Test::Below(line.low.clone()))))
        }
        ToleranceSide::Above => {
            lines.iter().fold(Truth::False, |any, line| any.or(holds(&Test::Above(line.high.clone()))))
        }
    }
}

/// A comparison under a choice; tolerance tests are resolved to their lines before.
pub(crate) fn holds(facts: &Facts<'_>, choice: &[Option<EntryId>], subject: &Value, test: &Test) -> Truth {
    if let Value::Slot(slot) = subject
        && let Some(EntryValue::Interval(interval)) =
            chosen(choice, *slot).and_then(|id| facts.entry(id)).map(|e| &e.value)
        && let Some(truth) = against_constants(interval, test)
    {
        return truth;
    }
    test_values(&values(facts, choice), subject, test)
}

/// What stands in the slots under a choice.
pub(crate) fn values<'a>(facts: &'a Facts<'_>, choice: &[Option<EntryId>]) -> Values<'a> {
    let filled = |id: &Option<EntryId>| id.and_then(|id| Filled::entry(id, facts.entry(id)?));
    Values { slots: choice.iter().map(filled).collect(), around: &facts.job.surroundings }
}

/// One reading against numbers: the common test, decided without a sum. `None` where a limit is no plain number.
fn against_constants(interval: &Interval, test: &Test) -> Option<Truth> {
    let below = |x: &Exact| match (&interval.high, &interval.low) {
        (Bound::Closed(high), _) if high < x => Some(true),
        (Bound::Open(high), _) if high <= x => Some(true),
        (_, Bound::Closed(low) | Bound::Open(low)) if low >= x => Some(false),
        _ => None,
    };
    let above = |x: &Exact| match (&interval.low, &interval.high) {
        (Bound::Closed(low), _) if low > x => Some(true),
        (Bound::Open(low), _) if low >= x => Some(true),
        (_, Bound::Closed(high) | Bound::Open(high)) if high <= x => Some(false),
        _ => None,
    };
    let not = |truth: Option<bool>| truth.map(|t| !t);
    Some(match test {
        Test::Below(x) => below(x.as_constant()?).into(),
        Test::Above(x) => above(x.as_constant()?).into(),
        Test::AtLeast(x) => not(below(x.as_constant()?)).into(),
        Test::AtMost(x) => not(above(x.as_constant()?)).into(),
        Test::Between(x, y) => Truth::from(not(below(x.as_constant()?))).and(not(above(y.as_constant()?)).into()),
        Test::Outside(x, y) => Truth::from(below(x.as_constant()?)).or(above(y.as_constant()?).into()),
        Test::Band(low, high) => {
            let low: Truth = low.as_ref().map_or(Some(true), |x| not(below(x))).into();
            low.and(high.as_ref().map_or(Some(true), below).into())
        }
        Test::Tolerance(..) => return None,
    })
}

/// A comparison over intervals.
pub(crate) fn test_values(values: &Values<'_>, subject: &Value, test: &Test) -> Truth {
    let less = |limit: &Value| side_of_nought(&Value::difference(subject.clone(), limit.clone()), values);
    let above_end = |end: &Option<crate::units::Exact>| end.as_ref().map(|e| Value::Constant(e.clone()));
    match test {
        Test::Below(x) => less(x).and_then(|d| d.less_than_zero()).into(),
        Test::Above(x) => less(x).and_then(|d| d.greater_than_zero()).into(),
        Test::AtLeast(x) => less(x).and_then(|d| d.at_least_zero()).into(),
        Test::AtMost(x) => less(x).and_then(|d| d.at_most_zero()).into(),
        Test::Between(x, y) => {
            let low: Truth = less(x).and_then(|d| d.at_least_zero()).into();
            low.and(less(y).and_then(|d| d.at_most_zero()).into())
        }
        Test::Outside(x, y) => {
            let low: Truth = less(x).and_then(|d| d.less_than_zero()).into();
            low.or(less(y).and_then(|d| d.greater_than_zero()).into())
        }
        Test::Band(low, high) => {
            let low: Truth = above_end(low).map_or(Some(true), |x| less(&x).and_then(|d| d.at_least_zero())).into();
            low.and(above_end(high).map_or(Some(true), |x| less(&x).and_then(|d| d.less_than_zero())).into())
        }
        Test::Tolerance(..) => Truth::Unknown,
    }
}
