//! How the vehicle must stand for a way of a condition: readings that may be taken together stand together, the rest
//! one setup after the other, each reached from the one before by as little as is needed.

use crate::book::setup::{can_affect, is_change, matches};
use crate::book::{Book, Condition, Demand, IndicationId, Node, SettingId, Setup, SlotIx, Term, setup::closure};

use super::ways::{Literal, Way};

/// Settings that were set, with the values that they were set to, in order.
pub(in crate::lint) type Steps = Vec<(SettingId, u8)>;

/// One setup with what is read under it.
#[derive(Clone, Debug)]
pub(super) struct Stand {
    /// What is set to come here from the stand before, or from the start.
    pub(super) steps: Steps,
    /// How the vehicle stands then.
    pub(super) setup: Setup,
    /// The slots that are filled under it.
    pub(super) slots: Vec<SlotIx>,
    /// What is read, in the order of the tests.
    pub(super) readings: Vec<IndicationId>,
}

/// How freely setups are chosen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Manner {
    /// A state that one test names is held for all others that it does not hinder.
    Alike,
    /// Each stand names only what its own tests name.
    Bare,
}

/// Tests that share a setup.
#[derive(Clone)]
struct Group {
    slots: Vec<SlotIx>,
    /// The setup words, in the order of the book.
    words: Vec<Term>,
    /// All that is demanded.
    demand: Demand,
    /// Changes that tolerance lines name.
    loose: Vec<SettingId>,
}

/// The stands of a way; none where no setup will do.
pub(super) fn stands(book: &Book, condition: &Condition, way: &Way<'_>, manner: Manner) -> Option<Vec<Stand>> {
    let groups = groups(book, condition, way);
    let shared: Vec<Term> = match manner {
        Manner::Bare => Vec::new(),
        Manner::Alike => {
            let terms = groups.iter().flat_map(|group| group.demand.terms.iter().copied());
            terms.filter(|term| !is_change(book, term.setting)).collect()
        }
    };
    let mut placer = Placer { book, condition, shared, stands: Vec::new() };
    for group in groups {
        placer.place(group)?;
    }
    Some(placer.stands.into_iter().map(|(_, stand)| stand).collect())
}

/// The tests of a way, those together that share a slot.
fn groups(book: &Book, condition: &Condition, way: &Way<'_>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for literal in way {
        let mut group = Group::of(book, condition, literal);
        let (sharing, others): (Vec<Group>, Vec<Group>) =
            groups.into_iter().partition(|other| other.slots.iter().any(|slot| group.slots.contains(slot)));
        for other in sharing.into_iter().rev() {
            group = other.joined(book, &group);
        }
        groups = others;
        groups.push(group);
    }
    groups
}

impl Group {
    fn of(book: &Book, condition: &Condition, literal: &Literal<'_>) -> Self {
        let slots = literal.slots();
        let mut words = Vec::new();
        for slot in slots.iter().filter_map(|slot| condition.slot(*slot)) {
            words.extend(slot.words.iter().chain(&book.indication(slot.indication).needs).copied());
        }
        let mut loose = match literal.node {
            Node::Compare(comparison) => comparison.loose.clone(),
            Node::Signal(test) => test.loose.clone(),
            _ => Vec::new(),
        };
        let mut demands: Vec<Term> = words.clone();
        for line in literal.lines() {
            loose.extend(&line.changes);
            demands.extend(&line.demand.terms);
        }
        demands
            .extend(slots.iter().filter_map(|slot| condition.slot(*slot)).flat_map(|slot| slot.demand.terms.clone()));
        Self { slots, words, demand: closure(&book.settings, &demands), loose }
    }

    fn joined(mut self, book: &Book, other: &Group) -> Self {
        self.slots.extend(other.slots.iter().filter(|slot| !self.slots.contains(slot)).copied().collect::<Vec<_>>());
        self.words.extend(&other.words);
        self.loose.extend(&other.loose);
        let terms: Vec<Term> = self.demand.terms.iter().chain(&other.demand.terms).copied().collect();
        self.demand = closure(&book.settings, &terms);
        self
    }
}

struct Placer<'b> {
    book: &'b Book,
    condition: &'b Condition,
    shared: Vec<Term>,
    stands: Vec<(Group, Stand)>,
}

impl Placer<'_> {
    /// With tests that stand already, if that is possible, else by itself.
    fn place(&mut self, group: Group) -> Option<()> {
        for at in 0..self.stands.len() {
            let Some((other, _)) = self.stands.get(at) else { continue };
            let joined = other.clone().joined(self.book, &group);
            let before = at.checked_sub(1).and_then(|at| self.stands.get(at));
            let from = before.map_or_else(|| Setup::normal(&self.book.settings), |(_, stand)| stand.setup.clone());
            // Later stands are reached from this one: only the last may still be changed in its setup.
            let Some(stand) = self.stand(&joined, &from) else { continue };
            let last = at + 1 == self.stands.len();
            if let Some(place) = self.stands.get_mut(at)
                && (last || stand.setup == place.1.setup)
            {
                *place = (joined, stand);
                return Some(());
            }
        }
        let from =
            self.stands.last().map_or_else(|| Setup::normal(&self.book.settings), |(_, stand)| stand.setup.clone());
        let stand = self.stand(&group, &from)?;
        self.stands.push((group, stand));
        Some(())
    }

    fn stand(&self, group: &Group, from: &Setup) -> Option<Stand> {
        let compatible = |term: &&Term| {
            let values = self.book.setting(term.setting).every_value();
            group.demand.allowed(term.setting) & term.allowed & values != 0
        };
        let shared: Vec<Term> = self.shared.iter().filter(compatible).copied().collect();
        let wide: Vec<Term> = group.words.iter().chain(&shared).copied().collect();
        self.reached(group, from, &wide).or_else(|| self.reached(group, from, &group.words))
    }

    /// The setup reached by setting what is named, then what is demanded besides.
    fn reached(&self, group: &Group, from: &Setup, words: &[Term]) -> Option<Stand> {
        if group.demand.is_impossible() {
            return None;
        }
        let book = self.book;
        let (mut setup, mut steps) = (from.clone(), Steps::new());
        for _ in 0..=book.settings.len() * 2 {
            let unmet = |term: &&Term| setup.mask(term.setting) & term.allowed == 0;
            let step = match self.in_the_way(group, &setup) {
                Some(change) => (change, 0),
                None => match words.iter().chain(&group.demand.terms).find(unmet) {
                    Some(term) => (term.setting, book.setting(term.setting).lowest(self.allowed(group, term))),
                    None => break,
                },
            };
            setup.set(book, step.0, step.1);
            steps.push(step);
        }
        let slots = || group.slots.iter().filter_map(|slot| self.condition.slot(*slot));
        let fits = slots().all(|slot| matches(book, &slot.demand, slot.indication, &setup, &group.loose));
        if !fits || !group.demand.holds(&setup) {
            return None;
        }
        let mut readings: Vec<IndicationId> = Vec::new();
        for slot in slots() {
            if !readings.contains(&slot.indication) {
                readings.push(slot.indication);
            }
        }
        Some(Stand { steps, setup, slots: group.slots.clone(), readings })
    }

    /// The values that will do for a term and for all else that is demanded.
    fn allowed(&self, group: &Group, term: &Term) -> u64 {
        let both = term.allowed & group.demand.allowed(term.setting);
        if both & self.book.setting(term.setting).every_value() == 0 { term.allowed } else { both }
    }

    /// A change in place that no test of the group names and that alters one of its readings.
    fn in_the_way(&self, group: &Group, setup: &Setup) -> Option<SettingId> {
        setup.changes(self.book).find(|change| {
            let named = group.demand.allowed(*change) & 1 == 0 || group.loose.contains(change);
            let slots = group.slots.iter().filter_map(|slot| self.condition.slot(*slot));
            let mut readings = slots.map(|slot| slot.indication);
            !named && readings.any(|reading| can_affect(self.book, *change, reading))
        })
    }
}
