//! A proof as data: for a condition and a choice of entries, each atom that decides it, with the values that were
//! compared; and for an undecided condition, why each atom is undecided.

use crate::book::setup::unnamed_change;
use crate::book::{
    Comparison, Condition, FindingId, IndicationId, Node, SettingId, SignalTest, Slot, SlotIx, Term, Test,
    ToleranceSide, Value,
};
use crate::job::signal::{Answer, Doubt};
use crate::job::{EntryId, EntryValue};
use crate::source::Span;
use crate::units::{Exact, Interval, Unit};

use super::choice::{Choice, decide, holds, lines_that_hold, tolerance_truth, values};
use super::facts::Facts;
use super::joined::{self, Joining};
use super::range::{Env, is_finite, range};
use super::signals::{self, Told};
use super::truth::Truth;

/// One atom of a condition, as the entries leave it.
#[derive(Clone, PartialEq, Debug)]
pub struct Atom {
    /// Its words in the book.
    pub span: Span,
    /// True, false, unknown.
    pub truth: Truth,
    /// The entries that decide it, in order of its slots.
    pub entries: Vec<EntryId>,
    /// For a comparison: the value of its subject.
    pub subject: Option<Interval>,
    /// For a comparison: the values of its limits, lower first.
    pub limits: Vec<Interval>,
    /// The unit that both are shown in.
    pub unit: Option<&'static Unit>,
    /// For a tolerance test: which side is asked for.
    pub tolerance: Option<ToleranceSide>,
    /// Why it is unknown.
    pub undecided: Option<Undecided>,
    /// For a recorded signal: what the log says.
    pub log: Option<Answer>,
    /// For a comparison: how the widths came about that are joined by root sum square.
    pub joinings: Vec<(IndicationId, Joining)>,
}

/// Why an atom is unknown.
#[derive(Clone, PartialEq, Debug)]
pub enum Undecided {
    /// Nothing was entered for it.
    NoEntry(IndicationId),
    /// Entries were made, none under the setup that it asks for; the last of them, and what its setup lacks.
    OtherSetup(IndicationId, EntryId, Vec<Term>),
    /// The limit lies inside the uncertainty; by how much it reaches over, in base units, and the half width that
    /// would settle it.
    TooClose {
        /// The half width of what was read.
        half_width: Exact,
        /// The half width below which it would be decided.
        wanted: Exact,
    },
    /// The limit lies inside an interval that has no middle.
    TooWide,
    /// Entries of one comparison were taken under different setups.
    DifferentSetups(EntryId, EntryId, SettingId),
    /// No tolerance line fits the setup.
    NoTolerance,
    /// A divisor may be 0, or a function has no result there.
    NoValue,
    /// The log doesn't tell.
    Log(Doubt),
    /// A single reading can't tell what happens over time.
    SingleReading,
    /// Not all of it is of one log, or the limits are not.
    NotOneLog,
}

/// A condition as the entries leave it.
#[derive(Clone, PartialEq, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "made once a line and walked by reference; boxing would only blur the pattern"
)]
pub enum Step {
    /// One atom.
    Atom(Atom),
    /// A finding, with what it means.
    Finding(FindingId, Truth, Vec<Step>),
    /// Alternatives, of which some decide.
    Any(Truth, Vec<Step>),
    /// Turned by `not`; the truth is that of the whole.
    Not(Truth, Vec<Step>),
}

impl Step {
    /// The truth of the step.
    pub fn truth(&self) -> Truth {
        match self {
            Step::Atom(atom) => atom.truth,
            Step::Finding(_, truth, _) | Step::Any(truth, _) | Step::Not(truth, _) => *truth,
        }
    }
}

/// The atoms that decide a condition under a choice; atoms that the choice leaves out are left out.
pub fn proof(facts: &Facts<'_>, condition: &Condition, choice: &Choice) -> Vec<Step> {
    let walk = Walk { facts, condition, choice: Some(choice) };
    let mut steps = walk.steps(&condition.node);
    steps.retain(|step| step.truth() != Truth::Unknown);
    steps
}

/// Every atom of a condition, each decided by itself where it can be, with the reason where it can't.
pub fn survey(facts: &Facts<'_>, condition: &Condition) -> Vec<Step> {
    Walk { facts, condition, choice: None }.steps(&condition.node)
}

struct Walk<'a, 'f> {
    facts: &'a Facts<'f>,
    condition: &'a Condition,
    /// The choice to follow; without one each atom is decided by itself.
    choice: Option<&'a Choice>,
}

impl Walk<'_, '_> {
    fn steps(&self, node: &Node) -> Vec<Step> {
        match node {
            Node::All(parts) => parts.iter().flat_map(|part| self.steps(part)).collect(),
            Node::Any(parts) => {
                let mut inside: Vec<Vec<Step>> = parts.iter().map(|part| self.steps(part)).collect();
                let each = inside.iter().map(|steps| all(steps));
                let truth = each.fold(Truth::False, Truth::or);
                if self.choice.is_some() && truth == Truth::True {
                    inside.retain(|steps| all(steps) == Truth::True);
                }
                vec![Step::Any(truth, inside.into_iter().flatten().collect())]
            }
            // `is not yes` is one atom to whoever reads it.
            Node::Not(inner) if self.says_not(inner) => {
                let mut inside = self.steps(inner);
                for step in &mut inside {
                    if let Step::Atom(atom) = step {
                        atom.truth = !atom.truth;
                    }
                }
                inside
            }
            Node::Not(inner) => {
                let inside = self.steps(inner);
                vec![Step::Not(!all(&inside), inside)]
            }
            Node::Finding(id, inner, _) => {
                let inside = self.steps(inner);
                vec![Step::Finding(*id, all(&inside), inside)]
            }
            Node::Answer(slot, mask, span) => vec![Step::Atom(self.answer(node, *slot, *mask, *span))],
            Node::Compare(comparison) => vec![Step::Atom(self.comparison(node, comparison))],
            Node::Signal(test) => vec![Step::Atom(self.signal(node, test))],
        }
    }

    /// Whether the words of an answer hold the `not` themselves.
    fn says_not(&self, node: &Node) -> bool {
        let Node::Answer(_, _, span) = node else { return false };
        self.facts.book.sources.slice(*span).split_whitespace().any(|word| word == "not")
    }

    /// The choice that decides one atom: the one followed, or one of its own.
    fn choice_for(&self, node: &Node) -> Option<Choice> {
        if let Some(choice) = self.choice {
            return Some(choice.clone());
        }
        let alone = Condition { node: node.clone(), slots: self.condition.slots.clone(), span: self.condition.span };
        decide(self.facts, &alone, true).or_else(|| decide(self.facts, &alone, false))
    }

    fn answer(&self, node: &Node, slot: SlotIx, mask: u64, span: Span) -> Atom {
        let choice = self.choice_for(node);
        let id = choice.as_ref().and_then(|choice| choice.get(slot));
        let given = id.and_then(|id| self.facts.entry(id)).map(|entry| &entry.value);
        let truth = match given {
            Some(EntryValue::Answer(given)) => Truth::from(given & mask != 0),
            _ => Truth::Unknown,
        };
        let undecided = if truth == Truth::Unknown { self.missing(&[slot], &[]) } else { None };
        Atom {
            span,
            truth,
            entries: id.into_iter().collect(),
            subject: None,
            limits: Vec::new(),
            unit: None,
            tolerance: None,
            undecided,
            log: None,
            joinings: Vec::new(),
        }
    }

    /// A condition on a recorded signal.
    fn signal(&self, node: &Node, test: &SignalTest) -> Atom {
        let choice = self.choice_for(node).or_else(|| self.near_slots(&test.slots, &test.loose));
        let mut atom = Atom {
            span: test.span,
            truth: Truth::Unknown,
            entries: Vec::new(),
            subject: None,
            limits: Vec::new(),
            unit: test.what.comparison.unit,
            tolerance: None,
            undecided: None,
            log: None,
            joinings: Vec::new(),
        };
        let Some(choice) = choice else {
            atom.undecided = self.missing(&test.slots, &test.loose);
            return atom;
        };
        atom.entries = test.slots.iter().filter_map(|slot| choice.get(*slot)).collect();
        atom.entries.dedup();
        match signals::told(self.facts, self.condition, &choice.slots, test) {
            Told::Answer(answer) => {
                atom.truth = answer.holds.into();
                atom.undecided = answer.doubt.filter(|_| answer.holds.is_none()).map(Undecided::Log);
                atom.log = Some(answer.clone());
            }
            Told::Single(truth) => {
                atom.truth = truth;
                atom.undecided = (truth == Truth::Unknown).then_some(Undecided::SingleReading);
            }
            Told::NotOneLog => atom.undecided = Some(Undecided::NotOneLog),
        }
        atom
    }

    fn comparison(&self, node: &Node, comparison: &Comparison) -> Atom {
        let choice = self.choice_for(node).or_else(|| self.near_choice(comparison));
        let mut atom = Atom {
            span: comparison.span,
            truth: Truth::Unknown,
            entries: Vec::new(),
            subject: None,
            limits: Vec::new(),
            unit: comparison.unit,
            tolerance: None,
            undecided: None,
            log: None,
            joinings: Vec::new(),
        };
        if let Test::Tolerance(side, _) = &comparison.test {
            atom.tolerance = Some(*side);
        }
        match choice {
            Some(choice) => self.fill(&mut atom, comparison, &choice),
            None => atom.undecided = self.missing(&comparison.slots, &comparison.loose),
        }
        if atom.truth == Truth::Unknown && atom.undecided.is_none() {
            atom.undecided = Some(self.too_close(&atom));
        }
        atom
    }

    fn fill(&self, atom: &mut Atom, comparison: &Comparison, choice: &Choice) {
        let mut slots = comparison.slots.clone();
        let mut limits: Vec<Value> = Vec::new();
        if let Test::Tolerance(side, lines) = &comparison.test {
            let chosen = lines_that_hold(self.facts, self.condition, &choice.slots, comparison, lines);
            slots.extend(chosen.iter().flat_map(|line| line.slots.iter().copied()));
            atom.truth = if chosen.is_empty() {
                Truth::Unknown
            } else {
                tolerance_truth(&chosen, *side, |test| holds(self.facts, &choice.slots, &comparison.subject, test))
            };
            limits.extend(chosen.iter().flat_map(|line| [line.low.clone(), line.high.clone()]));
        } else {
            atom.truth = holds(self.facts, &choice.slots, &comparison.subject, &comparison.test);
            limits.extend(limits_of(&comparison.test));
        }
        atom.entries = slots.iter().filter_map(|slot| choice.get(*slot)).collect();
        atom.entries.dedup();
        let empty = slots.iter().any(|slot| choice.get(*slot).is_none());
        atom.subject = self.value(choice, &comparison.subject);
        atom.limits = limits.iter().filter_map(|limit| self.value(choice, limit)).collect();
        let sides = std::iter::once(&comparison.subject).chain(&limits);
        atom.joinings = sides.flat_map(|value| self.joinings(choice, value)).collect();
        atom.joinings.dedup();
        if atom.truth == Truth::Unknown {
            atom.undecided = if empty {
                self.missing(&slots, &comparison.loose)
            } else if matches!(comparison.test, Test::Tolerance(..)) && limits.is_empty() {
                Some(Undecided::NoTolerance)
            } else if atom.subject.is_none() || atom.limits.len() < limits.len() {
                Some(Undecided::NoValue)
            } else {
                None
            };
        }
    }

    fn value(&self, choice: &Choice, value: &Value) -> Option<Interval> {
        range(value, &values(self.facts, &choice.slots))
    }

    /// How the widths came about that are joined in a value.
    fn joinings(&self, choice: &Choice, value: &Value) -> Vec<(IndicationId, Joining)> {
        let values = values(self.facts, &choice.slots);
        let env = Env::of(&values);
        let told = |part: &Value| match part {
            Value::Joined(inner, asked, reading) => Some((*reading, joined::join(inner, *asked, &env)?)),
            _ => None,
        };
        value.joined().into_iter().filter_map(told).collect()
    }

    /// A choice that fills the comparison without deciding it: the latest entries that fit and share one setup.
    fn near_choice(&self, comparison: &Comparison) -> Option<Choice> {
        let mut slots = comparison.slots.clone();
        if let Test::Tolerance(_, lines) = &comparison.test {
            slots.extend(lines.iter().flat_map(|line| line.slots.iter().copied()));
        }
        self.near(&slots, &comparison.slots, &comparison.loose)
    }

    fn near_slots(&self, slots: &[SlotIx], loose: &[SettingId]) -> Option<Choice> {
        self.near(slots, slots, loose)
    }

    /// The latest entries that fit and share one setup; none where one of those needed has none.
    fn near(&self, slots: &[SlotIx], needed: &[SlotIx], loose: &[SettingId]) -> Option<Choice> {
        let mut filled = vec![None; self.condition.slots.len()];
        let mut chosen: Vec<EntryId> = Vec::new();
        for slot in slots {
            let place = self.condition.slot(*slot)?;
            let fitting = self.facts.entries(place.indication).iter().rev().find(|id| {
                let entry = self.facts.entry(**id);
                entry.is_some_and(|entry| {
                    let alike =
                        |other: &EntryId| self.facts.entry(*other).is_some_and(|o| self.facts.same_setup(entry, o));
                    self.facts.fits(place, entry, loose) && chosen.iter().all(alike)
                })
            });
            let needed = needed.contains(slot);
            match fitting {
                Some(id) => {
                    chosen.push(*id);
                    if let Some(cell) = filled.get_mut(slot.place()) {
                        *cell = Some(*id);
                    }
                }
                None if needed => return None,
                None => {}
            }
        }
        Some(Choice::of(&filled))
    }

    /// What is missing for an atom: an entry, an entry under the right setup, or entries under one setup.
    fn missing(&self, slots: &[SlotIx], loose: &[SettingId]) -> Option<Undecided> {
        let mut fitting: Vec<EntryId> = Vec::new();
        for slot in slots {
            let place = self.condition.slot(*slot)?;
            let entries = self.facts.entries(place.indication);
            let Some(last) = entries.last() else { return Some(Undecided::NoEntry(place.indication)) };
            let fits = |id: &&EntryId| self.facts.entry(**id).is_some_and(|entry| self.facts.fits(place, entry, loose));
            match entries.iter().rev().find(fits) {
                Some(id) => fitting.push(*id),
                None => return Some(Undecided::OtherSetup(place.indication, *last, self.lacking(place, *last, loose))),
            }
        }
        for (place, a) in fitting.iter().enumerate() {
            for b in fitting.iter().skip(place + 1) {
                let (Some(first), Some(second)) = (self.facts.entry(*a), self.facts.entry(*b)) else { continue };
                if let Some(setting) = self.facts.setup_difference(first, second) {
                    return Some(Undecided::DifferentSetups(*a, *b, setting));
                }
            }
        }
        None
    }

    /// What the setup of an entry lacks for a slot: terms that don't hold, else a change that must be put back.
    fn lacking(&self, slot: &Slot, entry: EntryId, loose: &[SettingId]) -> Vec<Term> {
        let (book, Some(entry)) = (self.facts.book, self.facts.entry(entry)) else { return Vec::new() };
        let unmet = |term: &&Term| entry.setup.mask(term.setting) & term.allowed == 0;
        let terms: Vec<Term> = slot.demand.terms.iter().filter(unmet).cloned().collect();
        if !terms.is_empty() {
            return terms;
        }
        let change = unnamed_change(book, &slot.demand, slot.indication, &entry.setup, loose);
        change.map(|setting| Term { setting, allowed: 1 << book.setting(setting).inactive }).into_iter().collect()
    }

    fn too_close(&self, atom: &Atom) -> Undecided {
        let subject = atom.subject.as_ref().filter(|interval| is_finite(interval));
        let (Some(subject), Some(centre)) = (subject, subject.and_then(Interval::centre)) else {
            return Undecided::TooWide;
        };
        let distances = atom.limits.iter().filter_map(Interval::centre).map(|limit| (&centre - &limit).abs());
        let half_width = subject.width().map(|width| width.half()).unwrap_or_default();
        match distances.min() {
            Some(wanted) => Undecided::TooClose { half_width, wanted },
            None => Undecided::TooWide,
        }
    }
}

fn all(steps: &[Step]) -> Truth {
    steps.iter().map(Step::truth).fold(Truth::True, Truth::and)
}

fn limits_of(test: &Test) -> Vec<Value> {
    let end = |end: &Option<Exact>| end.as_ref().map(|e| Value::Constant(e.clone()));
    match test {
        Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x) => vec![x.clone()],
        Test::Between(x, y) | Test::Outside(x, y) => vec![x.clone(), y.clone()],
        Test::Band(low, high) => [end(low), end(high)].into_iter().flatten().collect(),
        Test::Tolerance(..) => Vec::new(),
    }
}
