//! What each answer of a test would say: the rules that would apply, the `shows` that would hold or fail, and from that
//! the chance of each answer under each hypothesis.

use crate::book::{Book, ConditionRef, Conclusion, FaultId, RuleId};
use crate::job::{Entry, EntryId, Job};
use crate::reasoning::cells::{Cell, Limits, cells};
use crate::reasoning::choice::is_decided;
use crate::reasoning::heard::stands;
use crate::reasoning::likelihood::{Claim, Odds, Table, chance_of};
use crate::reasoning::{Facts, Judgement, Truth};

use super::candidates::Candidate;

/// A test with its answers.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Outlook {
    /// Its answers.
    pub(crate) cells: Vec<Cell>,
    /// What the book and the entries so far say of them.
    pub(crate) table: Table,
}

/// Asks what the answers of tests would say in a job.
pub(crate) struct Asking<'a> {
    pub(crate) book: &'a Book,
    pub(crate) job: &'a Job,
    /// By rule: whether it applies already.
    applied: Vec<bool>,
}

impl<'a> Asking<'a> {
    pub(crate) fn of(book: &'a Book, job: &'a Job, judgement: &Judgement) -> Self {
        let mut applied = vec![false; book.rules.len()];
        for rule in &judgement.evidence.applied {
            if let Some(mark) = applied.get_mut(rule.rule.place()) {
                *mark = true;
            }
        }
        Self { book, job, applied }
    }

    /// The outlook of a test.
    pub(crate) fn outlook(&self, candidate: &Candidate) -> Outlook {
        let facts = Facts::of(self.book, self.job, self.job.epoch(), |_: EntryId| true);
        let cells = cells(&facts, candidate.indication, &candidate.setup, Limits::Known);
        let entries: Vec<Entry> = cells.iter().map(|cell| self.entry(candidate, cell)).collect();
        let mut facts = facts.with_supposed(&entries);
        let (rules, shows) = self.concerned(candidate);
        let claim = |(fault, nth): &(FaultId, usize)| Claim {
            fault: *fault,
            nth: *nth,
            chance: chance_of(self.book, *fault, *nth),
            truths: Vec::with_capacity(cells.len()),
        };
        let mut table = Table { claims: shows.iter().map(claim).collect(), applied: Vec::with_capacity(cells.len()) };
        for nth in 0..cells.len() {
            facts.suppose(nth);
            let applies = |rule: &RuleId| is_decided(&facts, &self.book.rule(*rule).condition, true);
            table.applied.push(rules.iter().copied().filter(applies).collect());
            for claim in &mut table.claims {
                let condition = self.book.fault(claim.fault).shows.get(claim.nth).map(|shows| &shows.condition);
                claim.truths.push(condition.map_or(Truth::Unknown, |condition| stands(&facts, condition)));
            }
            facts.forget();
        }
        Outlook { cells, table }
    }

    fn entry(&self, candidate: &Candidate, cell: &Cell) -> Entry {
        Entry {
            indication: candidate.indication,
            value: cell.value(),
            said: String::new(),
            setup: candidate.setup.clone(),
            epoch: self.job.epoch(),
            line: 0,
        }
    }

    /// The rules that don't apply yet and the `shows` that an entry of the test can bear on.
    fn concerned(&self, candidate: &Candidate) -> (Vec<RuleId>, Vec<(FaultId, usize)>) {
        let (mut rules, mut shows) = (Vec::new(), Vec::new());
        let uses = self.book.uses_of(candidate.indication).map_or(&[][..], |uses| &uses.conditions);
        for which in uses {
            let slots = self.book.condition(*which).map_or(&[][..], |condition| &condition.slots);
            let bears = slots.iter().any(|slot| slot.indication == candidate.indication && slot.demand.holds(&candidate.setup));
            match which {
                ConditionRef::Rule(rule) if bears && !self.applied.get(rule.place()).copied().unwrap_or(false) => rules.push(*rule),
                ConditionRef::Shows(fault, n) if bears => shows.push((*fault, *n)),
                _ => {}
            }
        }
        (rules, shows)
    }

    /// The chance of each answer if these faults are there; none for what the book doesn't cover.
    pub(crate) fn row(&self, outlook: &Outlook, set: &[FaultId]) -> Vec<f64> {
        let row = outlook.table.row(self.book, set, Odds::Counted);
        // A hypothesis without room for any answer is one that is in conflict already: nothing is expected of it.
        if row.iter().sum::<f64>() > 0.0 { row } else { outlook.table.row(self.book, &[], Odds::Counted) }
    }

    /// Faults that rules would prove.
    pub(crate) fn proves(&self, applied: &[RuleId]) -> Vec<FaultId> {
        let conclusions = applied.iter().flat_map(|rule| &self.book.rule(*rule).conclusions);
        let mut proved: Vec<FaultId> = conclusions
            .filter_map(|conclusion| match conclusion {
                Conclusion::Implies(faults) => Some(faults.iter().copied()),
                _ => None,
            })
            .flatten()
            .collect();
        proved.sort_unstable();
        proved.dedup();
        proved
    }
}

