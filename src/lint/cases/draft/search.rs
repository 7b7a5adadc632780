//! The search for a job that makes a rule apply: ways of its condition, setups for each, then entry by entry, each
//! test checked as soon as all that it compares is entered. Values close to a limit are tried first, sound ones
//! before others; a job without a conflict is better than one with.

use crate::book::{Book, Condition, FaultId, IndicationId, IndicationKind, RuleId};
use crate::job::{EntryValue, Job};
use crate::lint::cases::coverage::alone;
use crate::reasoning::choice::is_decided;
use crate::reasoning::{Facts, Judgement, judge};

use super::Why;
use super::stands::{Manner, Stand, stands};
use super::values::{Candidate, Spot, candidates};
use super::ways::{Way, ways};
use super::words::{read, setup_lines};

/// The most entries that are tried for one way of a condition.
const MOST_TRIED: usize = 2_500;
/// The most for one rule.
const MOST_IN_ALL: usize = 10_000;
/// The most jobs in conflict that are passed over for a better one.
const MOST_CONFLICTS: usize = 6;
/// Conditions of more tests than this are left alone.
const MOST_TESTS: usize = 200;

/// A job that makes a rule apply.
pub(super) struct Found {
    /// Its lines.
    pub(super) lines: Vec<String>,
    /// What it comes to.
    pub(super) judgement: Judgement,
    /// Faults to be spoken of besides those of the rule.
    pub(super) also: Vec<FaultId>,
}

/// Finds a job that makes a rule apply.
pub(super) fn search(book: &Book, rule: RuleId) -> Result<Found, Why> {
    let condition = &book.rule(rule).condition;
    let (ways, mut cut) = ways(condition);
    let mut search = Search { book, rule, tried: 0, conflicts: 0, best: None };
    let mut stood = false;
    for manner in [Manner::Alike, Manner::Bare] {
        for way in &ways {
            if way.len() > MOST_TESTS || search.tried > MOST_IN_ALL {
                cut = true;
                continue;
            }
            let Some(stands) = stands(book, condition, way, manner) else { continue };
            stood = true;
            let Some(plan) = plan(book, condition, way, &stands) else { continue };
            let most = search.tried + MOST_TRIED;
            if search.go_on(&plan, &Job::new(book), &mut Vec::new(), most) && search.is_settled() {
                return search.best.ok_or(Why::NoEntries);
            }
            cut |= search.tried > most;
        }
    }
    search.best.ok_or(match (cut, stood) {
        (true, _) => Why::OutOfBudget,
        (false, true) => Why::NoEntries,
        (false, false) => Why::NoSetup,
    })
}

/// What is done next.
enum Task {
    /// The vehicle is set up.
    Set(Vec<String>),
    /// Something is read; then these tests must be so.
    Read(IndicationId, Vec<(Condition, bool)>),
}

fn plan(book: &Book, condition: &Condition, way: &Way<'_>, stands: &[Stand]) -> Option<Vec<Task>> {
    let mut plan = Vec::new();
    for stand in stands {
        plan.push(Task::Set(setup_lines(book, &stand.steps)?));
        for (place, id) in stand.readings.iter().enumerate() {
            let due = way.iter().filter(|literal| {
                let slots = literal.slots();
                let places = slots.iter().filter_map(|slot| {
                    let indication = condition.slot(*slot)?.indication;
                    stand.readings.iter().position(|reading| *reading == indication)
                });
                slots.iter().all(|slot| stand.slots.contains(slot)) && places.max() == Some(place)
            });
            plan.push(Task::Read(*id, due.map(|literal| (alone(condition, literal.node), literal.want)).collect()));
        }
    }
    Some(plan)
}

struct Search<'b> {
    book: &'b Book,
    rule: RuleId,
    tried: usize,
    conflicts: usize,
    best: Option<Found>,
}

impl Search<'_> {
    fn is_settled(&self) -> bool {
        self.conflicts > MOST_CONFLICTS || self.best.as_ref().is_some_and(|found| found.judgement.conflicts.is_empty())
    }

    /// Goes on from a job; whether to stop.
    fn go_on(&mut self, plan: &[Task], job: &Job, lines: &mut Vec<String>, most: usize) -> bool {
        match plan.split_first() {
            None => self.solved(job, lines),
            Some((Task::Set(setup), rest)) => {
                let mut job = job.clone();
                for line in setup {
                    let entered = read(line).and_then(|statement| job.enter(self.book, statement, line).ok());
                    if entered.is_none() {
                        return false;
                    }
                }
                let before = lines.len();
                lines.extend(setup.iter().cloned());
                let stop = self.go_on(rest, &job, lines, most);
                lines.truncate(before);
                stop
            }
            Some((Task::Read(id, due), rest)) => {
                for candidate in self.fitting(job, *id, due) {
                    if self.tried > most {
                        return true;
                    }
                    lines.push(candidate.line);
                    let stop = self.go_on(rest, &candidate.job, lines, most);
                    lines.pop();
                    if stop {
                        return true;
                    }
                }
                false
            }
        }
    }

    /// What may be entered so that the tests that are due come out as wanted, the best first.
    fn fitting(&mut self, job: &Job, id: IndicationId, due: &[(Condition, bool)]) -> Vec<Candidate> {
        let book = self.book;
        let all = candidates(book, job, id);
        self.tried += all.len();
        let fits = |candidate: &Candidate| {
            let facts = Facts::of(book, &candidate.job, candidate.job.epoch(), |_| true);
            due.iter().all(|(condition, want)| is_decided(&facts, condition, *want))
        };
        let fitting: Vec<bool> = all.iter().map(fits).collect();
        let fails = |at: Option<usize>| at.and_then(|at| fitting.get(at)) == Some(&false);
        let ranked = all.into_iter().enumerate().filter(|(at, _)| fitting.get(*at) == Some(&true));
        let ranked = ranked.map(|(at, candidate)| {
            // Beside a value that would not do: it tries the limit.
            let beside = candidate.spot == Spot::Edge && (fails(at.checked_sub(1)) || fails(Some(at + 1)));
            let sound = self.is_sound(&candidate.job, id);
            ((!beside, !sound, candidate.spot != Spot::Middle, at), candidate)
        });
        let mut ranked: Vec<_> = ranked.collect();
        ranked.sort_by_key(|(rank, _)| *rank);
        ranked.into_iter().map(|(_, candidate)| candidate).collect()
    }

    /// Whether the last entry is what a sound vehicle shows; true where the book doesn't say.
    fn is_sound(&self, job: &Job, id: IndicationId) -> bool {
        match &self.book.indication(id).kind {
            IndicationKind::Observation(observation) => {
                let given = job.entries.last().map(|entry| &entry.value);
                observation.sound == 0
                    || matches!(given, Some(EntryValue::Answer(mask)) if mask & observation.sound != 0)
            }
            IndicationKind::Reading(_) => {
                let facts = Facts::of(self.book, job, job.epoch(), |_| true);
                self.book.tolerance_test(id).is_none_or(|test| is_decided(&facts, test, false))
            }
        }
    }

    /// Keeps a job that makes the rule apply, if it is better than what there is; whether to stop.
    fn solved(&mut self, job: &Job, lines: &[String]) -> bool {
        let judgement = judge(self.book, job);
        if !judgement.evidence.applied.iter().any(|applied| applied.rule == self.rule) {
            return false;
        }
        let quarrels = !judgement.conflicts.is_empty();
        if self.best.is_none() || !quarrels {
            self.best = Some(Found { lines: lines.to_vec(), judgement, also: Vec::new() });
        }
        self.conflicts += usize::from(quarrels);
        self.is_settled()
    }
}
