//! Which of some entries that quarrel is most likely wrong, and so is to be taken again first.
//!
//! By Bayes' rule over *just this one is wrong*: how easily it is misread, times how likely all other entries are if it
//! had been any other answer. So an entry that the rest speaks against comes before one that fits them, one close to a
//! limit before one far off, and one that no other answer would reconcile is innocent, however cheap. Time only breaks
//! ties. Where no single entry can be to blame, the one that stands in most of the smallest sets comes first.

use std::cmp::Ordering;

use crate::book::{Book, IndicationId};
use crate::job::{Entry, EntryId, EntryValue, Job};
use crate::units::{Exact, Interval};

use super::cells::{Cell, Limits, cells};
use super::conflict::Conflict;
use super::evidence::{Evidence, gather};
use super::facts::Facts;
use super::heard::{Tables, hear};
use super::judge::{Position, disagree, stance};
use super::quarrels;
use super::weights;

/// How often an entry is wrong: misread, mistyped, taken at the wrong pin (common practice, no source).
const SLIPS: f64 = 0.05;
/// The same of one that lies within its own uncertainty of another answer (common practice, no source).
const SLIPS_CLOSE: f64 = 0.25;
/// With more sets of faults left than these, their weights are not asked.
const MOST_WEIGHED: usize = 5_000;
/// How often it is asked whether some entries quarrel, where no single one is to blame.
const MOST_CHECKS: usize = 300;

/// Suspicions closer than this, relatively, are the same.
const SAME: f64 = 1e-9;

/// The entry of a conflict to take again first; none if only complaints quarrel.
pub fn retake(book: &Book, job: &Job, conflict: &Conflict) -> Option<EntryId> {
    let evidence = gather(book, job);
    let mut tables = Tables::default();
    let blame = |id: &EntryId| (*id, suspicion(job, *id, &Asking { book, evidence: &evidence }, &mut tables));
    let mut suspects: Vec<(EntryId, f64)> = conflict.entries.iter().map(blame).collect();
    if suspects.iter().all(|(_, suspicion)| *suspicion <= 0.0) {
        let all = quarrels::search(book, job, &evidence, MOST_CHECKS);
        for (id, suspicion) in &mut suspects {
            let sets = all.sets.iter().filter(|set| set.entries.contains(id)).count();
            *suspicion = sets as f64 * slips(book, job, *id);
        }
    }
    suspects.into_iter().reduce(|a, b| if ahead(book, job, &b, &a) { b } else { a }).map(|(id, _)| id)
}

/// For each of some values of an entry: whether the quarrels would be at an end if it had been that.
pub fn reconciles(book: &Book, job: &Job, id: EntryId, values: &[EntryValue]) -> Vec<bool> {
    let Some(entry) = job.entry(id) else { return vec![false; values.len()] };
    let evidence = gather(book, job);
    let (asking, mut tables) = (Asking { book, evidence: &evidence }, Tables::default());
    let mut changed = job.clone();
    let mut ends = |value: &EntryValue| {
        if let Some(place) = changed.entries.get_mut(id) {
            place.value = value.clone();
        }
        asking.likelihood(&changed, entry.indication, &mut tables) > 0.0
    };
    values.iter().map(&mut ends).collect()
}

/// Whether one suspect is taken again before another: the likelier wrong, then the sooner taken, then the later.
fn ahead(book: &Book, job: &Job, one: &(EntryId, f64), other: &(EntryId, f64)) -> bool {
    let takes = |id: EntryId| {
        let entry = job.entry(id);
        let takes = entry.and_then(|entry| book.indication(entry.indication).steps.takes.clone());
        takes.unwrap_or_else(Exact::zero)
    };
    if (one.1 - other.1).abs() > SAME * one.1.max(other.1) {
        return one.1 > other.1;
    }
    match takes(one.0).cmp(&takes(other.0)) {
        Ordering::Equal => one.0 > other.0,
        order => order == Ordering::Less,
    }
}

/// How likely it is that just this entry is wrong, up to a factor that is the same for all; 0 if no other answer of it
/// would end the quarrel.
fn suspicion(job: &Job, id: EntryId, asking: &Asking<'_>, tables: &mut Tables) -> f64 {
    let book = asking.book;
    let Some(entry) = job.entry(id) else { return 0.0 };
    let others: Vec<Cell> = answers(book, job, id).into_iter().filter(|cell| !cell.meets(&entry.value)).collect();
    let mut changed = job.clone();
    let mut sum = 0.0;
    for cell in &others {
        if let Some(place) = changed.entries.get_mut(id) {
            place.value = cell.value();
        }
        sum += asking.likelihood(&changed, entry.indication, tables);
    }
    slips(book, job, id) * sum / others.len().max(1) as f64
}

/// What is asked about.
struct Asking<'a> {
    book: &'a Book,
    /// What all entries say.
    evidence: &'a Evidence,
}

impl Asking<'_> {
    /// How likely the entries of a job are together, up to a factor, one of that reading being another; 0 if they quarrel.
    fn likelihood(&self, job: &Job, other: IndicationId, tables: &mut Tables) -> f64 {
        let book = self.book;
        let evidence = self.evidence.with_other(book, job, other);
        let (verdicts, outcome) = stance(book, &evidence);
        if disagree(&verdicts, outcome) {
            return 0.0;
        }
        let sets = Position::of(book, &evidence).take_sets_for_weights();
        if sets.len() > MOST_WEIGHED {
            return 1.0;
        }
        let hearing = hear(&Facts::of(book, job, job.epoch(), |_| true), &evidence, tables);
        weights::likelihood(book, &evidence, &hearing, &sets)
    }
}

/// How easily an entry is misread.
fn slips(book: &Book, job: &Job, id: EntryId) -> f64 {
    let Some(entry) = job.entry(id) else { return SLIPS };
    let wide = widened(entry);
    let near = |cell: &Cell| !cell.meets(&entry.value) && wide.as_ref().is_some_and(|wide| cell.meets(wide));
    if answers(book, job, id).iter().any(near) { SLIPS_CLOSE } else { SLIPS }
}

/// A reading with twice its uncertainty; none of what has no two ends.
fn widened(entry: &Entry) -> Option<EntryValue> {
    let EntryValue::Interval(read) = &entry.value else { return None };
    let half = read.width()?.half();
    let around = Interval::around(Exact::zero(), half);
    Some(EntryValue::Interval(read.add(&around)))
}

fn answers(book: &Book, job: &Job, id: EntryId) -> Vec<Cell> {
    let Some(entry) = job.entry(id) else { return Vec::new() };
    let facts = Facts::of(book, job, job.epoch(), |other| other != id);
    cells(&facts, entry.indication, &entry.setup, Limits::Known)
}
