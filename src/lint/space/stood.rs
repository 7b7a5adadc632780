//! Entries with a setup each that the vehicle can be brought to: what a condition can come to on them.

use crate::book::setup::{closure, is_change};
use crate::book::{
    Book, Comparison, Condition, Demand, IndicationKind, Mask, Node, SettingId, Setup, SlotIx, Term, Test,
    ToleranceLine,
};
use crate::job::{Entry, EntryValue, Job};
use crate::reasoning::Facts;
use crate::units::Interval;

use super::formula::{Formula, Seen, formula};
use super::system::{Domain, Var};

/// The most ways in which the entries at hand are laid to the slots of one condition.
const MOST_FILLS: usize = 32;
/// The most tolerance lines for which a setup of their own is tried.
const MOST_LINES: usize = 8;

/// The most ways in which entries for several conditions are put together.
const MOST_JOINED: usize = 16;

/// What stands in the slots of a condition.
pub(crate) type Fill = Vec<Option<Var>>;

/// A book with what is asked of it again and again.
pub(crate) struct Space<'b> {
    /// The book.
    pub(crate) book: &'b Book,
    facts: Facts<'b>,
}

/// Entries of unknown value.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Stood {
    /// By unknown; their values mean nothing.
    pub(crate) entries: Vec<Entry>,
    /// How they stand in the slots of the condition that they were made for.
    pub(crate) fill: Fill,
}

impl Stood {
    /// What is known of the values: only what is physically possible.
    pub(crate) fn domains(&self, book: &Book) -> Vec<Domain> {
        self.entries.iter().map(|entry| domain(book, entry)).collect()
    }
}

impl Stood {
    /// The entries of both; how they stand in any slots is left out.
    fn with(&self, more: &Stood) -> Stood {
        let mut entries = self.entries.clone();
        entries.extend(more.entries.iter().filter(|entry| !self.entries.contains(entry)).cloned());
        Stood { entries, fill: Vec::new() }
    }
}

fn domain(book: &Book, entry: &Entry) -> Domain {
    match &book.indication(entry.indication).kind {
        IndicationKind::Observation(observation) => Domain::Answers(every(observation.answers.len())),
        IndicationKind::Reading(reading) => Domain::Number(match &reading.range {
            Some((low, high)) => Interval { low: low.clone(), high: high.clone() },
            None => Interval::everything(),
        }),
    }
}

/// The set of that many answers.
pub(crate) fn every(answers: usize) -> Mask {
    if answers >= 64 { Mask::MAX } else { (1 << answers) - 1 }
}

/// A condition with the entries in its slots.
struct View<'v, 'b> {
    space: &'v Space<'b>,
    entries: &'v [Entry],
    condition: &'v Condition,
    fill: &'v [Option<Var>],
}

impl View<'_, '_> {
    fn entry(&self, slot: SlotIx) -> Option<&Entry> {
        self.entries.get(self.var(slot)?)
    }
}

impl Seen for View<'_, '_> {
    fn var(&self, slot: SlotIx) -> Option<Var> {
        self.fill.get(slot.place()).copied().flatten()
    }

    fn compares(&self, comparison: &Comparison) -> bool {
        let facts = &self.space.facts;
        let fits = |slot: &SlotIx| match (self.condition.slot(*slot), self.entry(*slot)) {
            (Some(place), Some(entry)) => facts.fits(place, entry, &comparison.loose),
            _ => false,
        };
        comparison.slots.iter().all(fits) && self.share_setup(comparison.slots.iter())
    }

    fn lines<'l>(&self, comparison: &Comparison, lines: &'l [ToleranceLine]) -> Vec<&'l ToleranceLine> {
        let mut slots = Vec::new();
        comparison.subject.collect_slots(&mut slots);
        let entries: Vec<_> =
            slots.iter().filter_map(|slot| Some((self.condition.slot(*slot)?, self.entry(*slot)?))).collect();
        let holds = |line: &&ToleranceLine| entries.iter().all(|(_, entry)| line.demand.holds(&entry.setup));
        let most = lines.iter().filter(holds).map(|line| line.named).max();
        let chosen: Vec<&ToleranceLine> = lines.iter().filter(holds).filter(|line| Some(line.named) == most).collect();
        let changes: Vec<SettingId> = chosen.iter().flat_map(|line| line.changes.iter().copied()).collect();
        let named = entries.iter().all(|(slot, entry)| self.space.facts.fits(slot, entry, &changes));
        let together = comparison.slots.iter().chain(chosen.iter().flat_map(|line| &line.slots));
        if named && self.share_setup(together) { chosen } else { Vec::new() }
    }
}

impl View<'_, '_> {
    fn share_setup<'s>(&self, slots: impl Iterator<Item = &'s SlotIx>) -> bool {
        let entries: Vec<&Entry> = slots.filter_map(|slot| self.entry(*slot)).collect();
        entries
            .iter()
            .enumerate()
            .all(|(n, one)| entries.iter().skip(n + 1).all(|other| self.space.facts.same_setup(one, other)))
    }
}

impl<'b> Space<'b> {
    /// Of a book; the job is an empty one of that book.
    pub(crate) fn new(book: &'b Book, empty: &'b Job) -> Self {
        Self { book, facts: Facts::of(book, empty, 0, |_| false) }
    }

    /// The same where only some of the entries are there.
    pub(crate) fn formula_by(&self, condition: &Condition, entries: &[Entry], vars: &[Var], want: bool) -> Formula {
        let fills = self.fills(condition, entries);
        Formula::any(fills.into_iter().map(|fill| {
            let fill: Fill = fill.into_iter().map(|var| var.filter(|var| vars.contains(var))).collect();
            self.filled(condition, entries, &fill, want)
        }))
    }

    /// The same with the entries laid to the slots.
    pub(crate) fn filled(&self, condition: &Condition, entries: &[Entry], fill: &Fill, want: bool) -> Formula {
        formula(&View { space: self, entries, condition, fill }, &condition.node, want)
    }

    /// The ways to lay entries to slots.
    fn fills(&self, condition: &Condition, entries: &[Entry]) -> Vec<Fill> {
        let loose = loosened(condition);
        let mut all: Vec<Fill> = vec![Vec::new()];
        for (place, slot) in condition.slots.iter().enumerate() {
            let loose = loose.get(place).map_or(&[][..], Vec::as_slice);
            let fitting = |fill: &Fill| {
                let each = entries.iter().enumerate();
                let fitting = each.filter(|(_, entry)| {
                    self.facts.fits(slot, entry, loose) && self.agrees(condition, entries, fill, (place, entry))
                });
                let mut vars: Vec<Option<Var>> = fitting.map(|(var, _)| Some(var)).collect();
                if vars.is_empty() {
                    vars.push(None);
                }
                vars
            };
            let longer = all.iter().flat_map(|fill| {
                let each = fitting(fill).into_iter();
                each.map(move |var| fill.iter().copied().chain([var]).collect())
            });
            all = longer.take(MOST_FILLS).collect();
        }
        all
    }

    /// Whether an entry agrees with those laid before it on every state that matters to both.
    fn agrees(&self, condition: &Condition, entries: &[Entry], fill: &Fill, new: (usize, &Entry)) -> bool {
        let Some(slot) = condition.slots.get(new.0) else { return false };
        let laid = condition.slots.iter().zip(fill).filter_map(|(other, var)| Some((other, entries.get((*var)?)?)));
        laid.into_iter().all(|laid| self.facts.disagreement((slot, new.1), laid).is_none())
    }

    /// Entries for every slot of a condition, in ways that let others be true on the same entries where that can be.
    pub(crate) fn stand(&self, condition: &Condition, others: &[&Condition]) -> Vec<Stood> {
        let mut all: Vec<Stood> = Vec::new();
        let with_lines = std::iter::once(None).chain(self.line_demands(condition, others).into_iter().map(Some));
        let both: [&[&Condition]; 2] = [others, &[]];
        for extra in with_lines {
            // With what the others ask where that can be, and without.
            for others in both.iter().take(if others.is_empty() { 1 } else { 2 }) {
                let placer = Placer { space: self, condition, others, extra: extra.as_ref() };
                let found = [Manner::Together, Manner::Alike, Manner::Bare].into_iter().find_map(|m| placer.placed(m));
                all.extend(found.filter(|stood| !all.contains(stood)));
            }
        }
        all
    }

    /// Entries for every slot of several conditions, in ways that let all of them be so.
    pub(crate) fn stand_all(&self, conditions: &[&Condition]) -> Vec<Stood> {
        let mut all = vec![Stood { entries: Vec::new(), fill: Vec::new() }];
        for (place, condition) in conditions.iter().enumerate() {
            let others: Vec<&Condition> =
                conditions.iter().enumerate().filter(|(n, _)| *n != place).map(|(_, other)| *other).collect();
            let own = self.stand(condition, &others);
            let longer = all.iter().flat_map(|stood| own.iter().map(|more| stood.with(more)));
            all = longer.take(MOST_JOINED).collect();
        }
        all
    }

    fn line_demands(&self, condition: &Condition, others: &[&Condition]) -> Vec<Demand> {
        let mut all: Vec<Demand> = Vec::new();
        for one in std::iter::once(&condition).chain(others) {
            each_comparison(&one.node, &mut |comparison| {
                if let Test::Tolerance(_, lines) = &comparison.test {
                    let new = lines.iter().map(|line| line.demand.clone()).filter(|demand| !demand.terms.is_empty());
                    all.extend(new);
                }
            });
        }
        let mut once: Vec<Demand> = Vec::new();
        for demand in all {
            if !once.contains(&demand) && once.len() < MOST_LINES {
                once.push(demand);
            }
        }
        once
    }
}

/// How freely setups are chosen.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Manner {
    /// One setup for all.
    Together,
    /// A setup for each comparison, with the states of the others where they don't hinder.
    Alike,
    /// A setup for each comparison that names only its own.
    Bare,
}

struct Placer<'p, 'b> {
    space: &'p Space<'b>,
    condition: &'p Condition,
    others: &'p [&'p Condition],
    extra: Option<&'p Demand>,
}

impl Placer<'_, '_> {
    fn placed(&self, manner: Manner) -> Option<Stood> {
        let slots = &self.condition.slots;
        let groups = if manner == Manner::Together { vec![(0..slots.len()).collect()] } else { groups(self.condition) };
        let mut stood = Stood { entries: Vec::new(), fill: vec![None; slots.len()] };
        for group in groups {
            let setup = self.setup(&group, manner)?;
            for place in group {
                let slot = slots.get(place)?;
                let entry = blank(slot.indication, &setup);
                let loose = loosened(self.condition);
                if !self.space.facts.fits(slot, &entry, loose.get(place)?) {
                    return None;
                }
                let known = stood.entries.iter().position(|other| *other == entry);
                let var = known.unwrap_or(stood.entries.len());
                if known.is_none() {
                    stood.entries.push(entry);
                }
                *stood.fill.get_mut(place)? = Some(var);
            }
        }
        let coherent = (0..slots.len()).all(|place| {
            let before: Fill = stood.fill.iter().take(place).copied().collect();
            let entry = stood.fill.get(place).copied().flatten().and_then(|var| stood.entries.get(var));
            entry.is_some_and(|entry| self.space.agrees(self.condition, &stood.entries, &before, (place, entry)))
        });
        coherent.then_some(stood)
    }

    fn setup(&self, group: &[usize], manner: Manner) -> Option<Setup> {
        let book = self.space.book;
        let mut terms: Vec<Term> = Vec::new();
        for slot in group.iter().filter_map(|place| self.condition.slots.get(*place)) {
            terms.extend(&slot.demand.terms);
        }
        if closure(&book.settings, &terms).is_impossible() {
            return None;
        }
        let asked: Vec<&[Term]> = self.asked_besides(group);
        for more in self.extra.iter().map(|demand| demand.terms.as_slice()).chain(asked) {
            add_where_possible(book, &mut terms, more);
        }
        if manner == Manner::Alike {
            let states = self.condition.slots.iter().flat_map(|slot| &slot.demand.terms);
            let states: Vec<Term> = states.filter(|term| !is_change(book, term.setting)).copied().collect();
            for state in &states {
                add_where_possible(book, &mut terms, std::slice::from_ref(state));
            }
        }
        reach(book, &closure(&book.settings, &terms))
    }

    /// What other conditions ask of the same readings.
    fn asked_besides(&self, group: &[usize]) -> Vec<&[Term]> {
        let own: Vec<_> = group.iter().filter_map(|p| self.condition.slots.get(*p)).map(|s| s.indication).collect();
        let slots = self.others.iter().flat_map(|other| &other.slots);
        slots.filter(|slot| own.contains(&slot.indication)).map(|slot| slot.demand.terms.as_slice()).collect()
    }
}

fn add_where_possible(book: &Book, terms: &mut Vec<Term>, more: &[Term]) {
    let before = terms.len();
    terms.extend(more);
    if closure(&book.settings, terms).is_impossible() {
        terms.truncate(before);
    }
}

/// An entry of unknown value.
pub(crate) fn blank(indication: crate::book::IndicationId, setup: &Setup) -> Entry {
    Entry::supposed(indication, EntryValue::Answer(0), setup.clone(), 0)
}

/// A setup that meets a demand, reached from the start; none where setting up does not come to it.
pub(crate) fn reach(book: &Book, demand: &Demand) -> Option<Setup> {
    let mut setup = Setup::normal(&book.settings);
    for _ in 0..=book.settings.len() * 2 {
        let Some(term) = demand.terms.iter().find(|term| setup.mask(term.setting) & term.allowed == 0) else { break };
        setup.set(book, term.setting, book.setting(term.setting).lowest(term.allowed));
    }
    demand.holds(&setup).then_some(setup)
}

/// The slots that must share a setup, for they stand in one comparison.
fn groups(condition: &Condition) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = (0..condition.slots.len()).map(|place| vec![place]).collect();
    each_comparison(&condition.node, &mut |comparison| {
        let mut slots: Vec<usize> = comparison.slots.iter().map(|slot| slot.place()).collect();
        if let Test::Tolerance(_, lines) = &comparison.test {
            slots.extend(lines.iter().flat_map(|line| &line.slots).map(|slot| slot.place()));
        }
        let (mut joined, apart): (Vec<Vec<usize>>, Vec<Vec<usize>>) =
            groups.drain(..).partition(|group| group.iter().any(|place| slots.contains(place)));
        let mut one: Vec<usize> = joined.drain(..).flatten().collect();
        one.sort_unstable();
        groups = apart;
        if !one.is_empty() {
            groups.push(one);
        }
    });
    groups.sort();
    groups
}

/// Visits every comparison of a condition.
pub(crate) fn each_comparison<'n>(node: &'n Node, visit: &mut dyn FnMut(&'n Comparison)) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| each_comparison(part, visit)),
        Node::Not(inner) | Node::Finding(_, inner, _) => each_comparison(inner, visit),
        Node::Answer(..) | Node::Signal(_) => {}
        Node::Compare(comparison) => visit(comparison),
    }
}

/// The changes that tolerance tests allow besides, by slot.
pub(crate) fn loosened(condition: &Condition) -> Vec<Vec<SettingId>> {
    let mut loose = vec![Vec::new(); condition.slots.len()];
    each_comparison(&condition.node, &mut |comparison| {
        if matches!(comparison.test, Test::Tolerance(..)) {
            for slot in &comparison.slots {
                if let Some(list) = loose.get_mut(slot.place()) {
                    list.extend(comparison.loose.iter().copied());
                }
            }
        }
    });
    loose
}
