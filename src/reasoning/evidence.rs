//! What the entries say: rules that apply, `shows` that fail, complaints, repairs that are verified. Each item keeps
//! the choice of entries that decides it, so a verdict can be explained and checked.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::book::{
    Book, CircuitId, ComplaintId, Conclusion, ConditionRef, FaultId, IndicationId, IndicationKind, RuleId,
};
use crate::job::{EntryId, EntryValue, Job};

use super::choice::{Choice, all_smallest, decide};
use super::circuits::{CircuitSays, Silent, says};
use super::facts::Facts;

/// A rule whose condition is true.
#[derive(Clone, PartialEq, Debug)]
pub struct Applied {
    /// Which rule.
    pub rule: RuleId,
    /// The smallest choice of entries that makes it true, the earliest if several.
    pub choice: Choice,
}

/// A `shows` whose condition is false.
#[derive(Clone, PartialEq, Debug)]
pub struct FailedShows {
    /// Whose.
    pub fault: FaultId,
    /// Which of its `shows`.
    pub nth: usize,
    /// Whether it says in how many cases; then it only counts as odds.
    pub sometimes: bool,
    /// The smallest choice of entries that makes it false, the earliest if several.
    pub choice: Choice,
    /// The entries of every smallest choice (gathered only where several faults may be there at once).
    pub standing: Vec<EntryId>,
}

/// A complaint in force.
#[derive(Clone, PartialEq, Debug)]
pub struct Complained {
    /// Which.
    pub complaint: ComplaintId,
    /// Its line in the job.
    pub line: usize,
    /// The entries by which it is gone, if it is.
    pub gone: Option<Choice>,
}

/// How far a repair is proved.
#[derive(Clone, PartialEq, Debug)]
pub struct Repaired {
    /// Of which fault.
    pub fault: FaultId,
    /// The choices by which each `verify` holds, and the epoch they were taken in; none while it doesn't.
    pub verified: Option<(usize, Vec<Choice>)>,
}

/// Why `no fault present` is ruled out.
#[derive(Clone, PartialEq, Debug)]
pub enum Disturbed {
    /// A reading is out of tolerance.
    OutOfTolerance(EntryId),
    /// An answer is not the sound one.
    NotSound(EntryId),
    /// A complaint is entered and not gone.
    Complaint(ComplaintId),
    /// A rule proves a fault, or one of several.
    Proof(RuleId),
    /// A circuit would show something else if nothing were wrong.
    Circuit(CircuitId, EntryId),
}

/// All that the entries say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Evidence {
    /// Rules that apply, in book order.
    pub applied: Vec<Applied>,
    /// `shows` that fail, in book order.
    pub failed: Vec<FailedShows>,
    /// Complaints in force.
    pub complaints: Vec<Complained>,
    /// Repairs, the latest of each fault.
    pub repairs: Vec<Repaired>,
    /// What circuits say against hypotheses, by circuit, entry, then set of faults.
    pub circuits: Vec<CircuitSays>,
    /// Circuits that can't be reckoned where they should speak.
    pub silent_circuits: Vec<Silent>,
    /// What speaks against a sound vehicle, proofs left out.
    pub disturbed: Vec<Disturbed>,
}

/// What a part of the entries and complaints say.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Selection {
    /// Entries left out.
    pub without_entries: Vec<EntryId>,
    /// Complaints left out, by line.
    pub without_complaints: Vec<usize>,
}

/// Gathers the evidence of a job from scratch.
pub(crate) fn gather(book: &Book, job: &Job) -> Evidence {
    let facts = Facts::of(book, job, job.epoch(), |_| true);
    let conditions = conditions_of(book, facts.seen());
    let decided = decide_all(&facts, &conditions);
    assemble(&facts, decided.iter().flatten(), &Selection::default())
}

/// The conditions that ask for some readings or observations, in book order, each once.
pub(crate) fn conditions_of(book: &Book, indications: impl Iterator<Item = IndicationId>) -> Vec<ConditionRef> {
    let mut conditions: Vec<ConditionRef> =
        indications.filter_map(|id| book.uses_of(id)).flat_map(|uses| uses.conditions.iter().copied()).collect();
    conditions.sort_unstable();
    conditions.dedup();
    conditions
}

/// What some conditions that are decided make of a job.
pub(crate) fn assemble<'f>(
    facts: &Facts<'_>,
    decided: impl Iterator<Item = &'f Found>,
    selection: &Selection,
) -> Evidence {
    let mut evidence = Evidence { repairs: repairs(facts.book, facts.job), ..Evidence::default() };
    for found in decided {
        match found {
            Found::Applied(applied) => evidence.applied.push(applied.clone()),
            Found::Failed(failed) => evidence.failed.push(failed.clone()),
        }
    }
    evidence.complaints = complaints(facts, selection);
    evidence.disturbed = disturbed(facts, &evidence.complaints);
    let said = says(facts);
    evidence.circuits = said.against;
    evidence.silent_circuits = said.silent;
    let unsound =
        evidence.circuits_rule_out(&[]).map(|says| Disturbed::Circuit(says.circuit, says.entry)).collect::<Vec<_>>();
    evidence.disturbed.extend(unsound);
    evidence
}

/// From this many conditions on they are decided on all cores.
const WORTH_SHARING: usize = 1_000;

/// What one condition contributes.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Found {
    /// A rule applies.
    Applied(Applied),
    /// A `shows` fails.
    Failed(FailedShows),
}

impl Found {
    /// Whether it rests on an entry for which `is` holds.
    fn rests_on(&self, is: impl Fn(EntryId) -> bool) -> bool {
        match self {
            Found::Applied(applied) => applied.choice.rests_on(is),
            Found::Failed(failed) => failed.choice.rests_on(&is) || failed.standing.iter().any(|id| is(*id)),
        }
    }

    fn condition(&self) -> ConditionRef {
        match self {
            Found::Applied(applied) => ConditionRef::Rule(applied.rule),
            Found::Failed(failed) => ConditionRef::Shows(failed.fault, failed.nth),
        }
    }
}

/// What each of some conditions comes to, in the same order.
pub(crate) fn decide_all(facts: &Facts<'_>, conditions: &[ConditionRef]) -> Vec<Option<Found>> {
    if conditions.len() >= WORTH_SHARING {
        conditions.par_iter().map(|which| found(facts, *which)).collect()
    } else {
        conditions.iter().map(|which| found(facts, *which)).collect()
    }
}

fn found(facts: &Facts<'_>, which: ConditionRef) -> Option<Found> {
    let book = facts.book;
    let condition = book.condition(which)?;
    match which {
        ConditionRef::Rule(rule) => {
            decide(facts, condition, true).map(|choice| Found::Applied(Applied { rule, choice }))
        }
        ConditionRef::Shows(fault, nth) => {
            let choice = decide(facts, condition, false)?;
            let mut standing = Vec::new();
            if book.at_once > 1 {
                standing = all_smallest(facts, condition, false).iter().flat_map(Choice::entries).collect();
                standing.sort_unstable();
                standing.dedup();
            }
            let sometimes = book.fault(fault).shows.get(nth).and_then(|s| s.chance).is_some_and(|(m, n)| m < n);
            Some(Found::Failed(FailedShows { fault, nth, sometimes, choice, standing }))
        }
        ConditionRef::Verify(..) | ConditionRef::Gone(_) => None,
    }
}

fn complaints(facts: &Facts<'_>, selection: &Selection) -> Vec<Complained> {
    let epoch = facts.job.epoch();
    let mut all: Vec<Complained> = Vec::new();
    for entered in &facts.job.complaints {
        let repeated = all.iter().any(|c| c.complaint == entered.complaint);
        if entered.epoch != epoch || repeated || selection.without_complaints.contains(&entered.line) {
            continue;
        }
        let gone =
            facts.book.complaint(entered.complaint).gone.as_ref().and_then(|condition| decide(facts, condition, true));
        all.push(Complained { complaint: entered.complaint, line: entered.line, gone });
    }
    all
}

fn repairs(book: &Book, job: &Job) -> Vec<Repaired> {
    let mut all: Vec<Repaired> = Vec::new();
    for (place, repair) in job.repairs.iter().enumerate() {
        let verify = &book.fault(repair.fault).verify;
        let holds = |epoch: usize| -> Option<Vec<Choice>> {
            let facts = Facts::of(book, job, epoch, |_| true);
            verify.iter().map(|condition| decide(&facts, condition, true)).collect()
        };
        let verified = if verify.is_empty() {
            None
        } else {
            (place + 1..=job.epoch()).find_map(|epoch| holds(epoch).map(|choices| (epoch, choices)))
        };
        all.retain(|r| r.fault != repair.fault);
        all.push(Repaired { fault: repair.fault, verified });
    }
    all
}

fn disturbed(facts: &Facts<'_>, complaints: &[Complained]) -> Vec<Disturbed> {
    let mut all = Vec::new();
    for id in facts.seen() {
        match &facts.book.indication(id).kind {
            IndicationKind::Reading(_) => {
                all.extend(super::sound::out_of_tolerance(facts, id).map(Disturbed::OutOfTolerance))
            }
            IndicationKind::Observation(observation) if observation.sound != 0 => {
                let indication = facts.book.indication(id);
                let unsound = facts.entries(id).iter().find(|entry| {
                    let Some(entry) = facts.entry(**entry) else { return false };
                    let fits = crate::book::setup::matches(facts.book, &indication.demand, id, &entry.setup, &[]);
                    fits && matches!(entry.value, EntryValue::Answer(given) if given & observation.sound == 0)
                });
                all.extend(unsound.map(|entry| Disturbed::NotSound(*entry)));
            }
            IndicationKind::Observation(_) => {}
        }
    }
    all.extend(super::sound::computed_out_of_tolerance(facts).map(Disturbed::OutOfTolerance));
    all.extend(complaints.iter().filter(|c| c.gone.is_none()).map(|c| Disturbed::Complaint(c.complaint)));
    all
}

impl Evidence {
    /// The evidence that is left without some entries and complaints. With fewer entries there are fewer choices: what
    /// was not decided stays so, and a smallest choice that keeps its entries stays the smallest.
    pub(crate) fn without(&self, book: &Book, job: &Job, selection: &Selection) -> Evidence {
        let left_out: BTreeSet<EntryId> = selection.without_entries.iter().copied().collect();
        let facts = Facts::of(book, job, job.epoch(), |id| !left_out.contains(&id));
        let applied = self.applied.iter().cloned().map(Found::Applied);
        let all = applied.chain(self.failed.iter().cloned().map(Found::Failed));
        let kept: Vec<Found> = all
            .filter_map(|found| match found.rests_on(|id| left_out.contains(&id)) {
                true => self::found(&facts, found.condition()),
                false => Some(found),
            })
            .collect();
        assemble(&facts, kept.iter(), selection)
    }

    /// Each applied rule with its conclusions.
    pub fn conclusions<'a>(&'a self, book: &'a Book) -> impl Iterator<Item = (&'a Applied, &'a Conclusion)> {
        self.applied.iter().flat_map(|applied| book.rule(applied.rule).conclusions.iter().map(move |c| (applied, c)))
    }

    /// The `shows` of a fault that fail.
    pub fn failed_of(&self, fault: FaultId) -> &[FailedShows] {
        let first = self.failed.partition_point(|failed| failed.fault < fault);
        let all = self.failed.get(first..).unwrap_or(&[]);
        all.get(..all.partition_point(|failed| failed.fault == fault)).unwrap_or(&[])
    }

    /// What another value in place of an entry of that reading would make of it; `job` is the job with that value.
    pub(crate) fn with_other(&self, book: &Book, job: &Job, indication: IndicationId) -> Evidence {
        let facts = Facts::of(book, job, job.epoch(), |_| true);
        let asked = book.uses_of(indication).map_or(&[][..], |uses| &uses.conditions);
        let applied = self.applied.iter().cloned().map(Found::Applied);
        let all = applied.chain(self.failed.iter().cloned().map(Found::Failed));
        let mut found: BTreeMap<ConditionRef, Found> =
            all.map(|found| (found.condition(), found)).filter(|(which, _)| !asked.contains(which)).collect();
        found.extend(asked.iter().filter_map(|which| Some((*which, self::found(&facts, *which)?))));
        assemble(&facts, found.values(), &Selection::default())
    }

    /// The repair of a fault, if one was done.
    pub fn repair_of(&self, fault: FaultId) -> Option<&Repaired> {
        self.repairs.iter().find(|repair| repair.fault == fault)
    }
}
