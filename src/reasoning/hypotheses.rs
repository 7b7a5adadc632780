//! Hypotheses: sets of at most k faults that the evidence leaves. With k = 1 these are the faults themselves.

use std::collections::BTreeSet;

use crate::book::{Book, Conclusion, FaultId};
use crate::job::EntryId;

use super::evidence::{Evidence, FailedShows};

/// The most sets that are listed; a book whose count of faults and `at most` would need more is cut there, smallest
/// sets first.
pub const MOST_SETS: usize = 200_000;

/// A set of faults, sorted.
pub type FaultSet = Vec<FaultId>;

/// What the evidence says of hypotheses before any proof is followed.
pub struct Filter<'a> {
    book: &'a Book,
    evidence: &'a Evidence,
    /// Faults that a rule rules out, or that are repaired and verified.
    pub gone: Vec<bool>,
    /// Repaired and not yet verified: open whatever else is said.
    pub awaiting: Vec<bool>,
    one_of: Vec<&'a [FaultId]>,
    listed: Vec<&'a [FaultId]>,
    /// For each fault, the entries by which a plain `shows` of it fails.
    failing: Vec<Vec<EntryId>>,
    /// Sets under which a circuit could not show what was read.
    reckoned_out: BTreeSet<&'a [FaultId]>,
}

impl<'a> Filter<'a> {
    /// The filter of some evidence.
    pub fn new(book: &'a Book, evidence: &'a Evidence) -> Self {
        let count = book.faults.len();
        let mut filter = Self {
            book,
            evidence,
            gone: vec![false; count],
            awaiting: vec![false; count],
            one_of: Vec::new(),
            listed: Vec::new(),
            failing: vec![Vec::new(); count],
            reckoned_out: evidence
                .circuits
                .iter()
                .filter(|says| says.exact)
                .map(|says| says.faults.as_slice())
                .collect(),
        };
        for (_, conclusion) in evidence.conclusions(book) {
            match conclusion {
                Conclusion::RulesOut(faults) => faults.iter().for_each(|fault| mark(&mut filter.gone, *fault)),
                Conclusion::ImpliesOneOf(faults) => filter.one_of.push(faults),
                _ => {}
            }
        }
        for complaint in &evidence.complaints {
            filter.listed.extend(book.complaint(complaint.complaint).may_be.as_deref());
        }
        for failed in evidence.failed.iter().filter(|failed| !failed.sometimes) {
            filter.fails(failed);
        }
        for repair in &evidence.repairs {
            mark(if repair.verified.is_some() { &mut filter.gone } else { &mut filter.awaiting }, repair.fault);
        }
        filter
    }

    fn fails(&mut self, failed: &FailedShows) {
        let entries = if self.book.at_once > 1 { failed.standing.clone() } else { failed.choice.entries() };
        if let Some(list) = self.failing.get_mut(failed.fault.place()) {
            list.extend(entries);
        }
    }

    fn is(marks: &[bool], fault: FaultId) -> bool {
        marks.get(fault.place()).copied().unwrap_or(false)
    }

    /// Whether a set is still possible, proofs not followed.
    pub fn leaves(&self, set: &[FaultId]) -> bool {
        if let [only] = set
            && Self::is(&self.awaiting, *only)
        {
            return true;
        }
        let gone = set.iter().any(|fault| Self::is(&self.gone, *fault) && !Self::is(&self.awaiting, *fault));
        let unexplained =
            self.listed.iter().chain(&self.one_of).any(|list| !set.iter().any(|fault| list.contains(fault)));
        !gone && !unexplained && !self.all_fail(set) && !self.reckoned_out.contains(set)
    }

    /// Whether every member's own `shows` fails by the same entry.
    fn all_fail(&self, set: &[FaultId]) -> bool {
        let mut lists = set.iter().map(|fault| self.failing.get(fault.place()).map_or(&[][..], Vec::as_slice));
        let Some(first) = lists.next() else { return false };
        let rest: Vec<&[EntryId]> = lists.collect();
        first.iter().any(|entry| rest.iter().all(|list| list.contains(entry)))
    }

    /// Every set that is left, smallest first, then in book order.
    pub fn sets(&self) -> Vec<FaultSet> {
        let faults: Vec<FaultId> =
            self.book.fault_ids().filter(|f| !Self::is(&self.gone, *f) || Self::is(&self.awaiting, *f)).collect();
        let mut left = Vec::new();
        for size in 1..=self.book.at_once {
            let mut set = Vec::with_capacity(size);
            self.extend(&faults, size, &mut set, &mut left);
        }
        left
    }

    fn extend(&self, faults: &[FaultId], size: usize, set: &mut FaultSet, left: &mut Vec<FaultSet>) {
        if left.len() >= MOST_SETS {
            return;
        }
        if set.len() == size {
            if self.leaves(set) {
                left.push(set.clone());
            }
            return;
        }
        for (place, fault) in faults.iter().enumerate() {
            set.push(*fault);
            self.extend(faults.get(place + 1..).unwrap_or(&[]), size, set, left);
            set.pop();
        }
    }

    /// The faults that rules prove, each once, in book order.
    pub fn proved(&self) -> Vec<FaultId> {
        let mut proved = Vec::new();
        for (_, conclusion) in self.evidence.conclusions(self.book) {
            if let Conclusion::Implies(faults) = conclusion {
                proved.extend(faults.iter().copied());
            }
        }
        proved.sort_unstable();
        proved.dedup();
        proved
    }
}

fn mark(marks: &mut [bool], fault: FaultId) {
    if let Some(mark) = marks.get_mut(fault.place()) {
        *mark = true;
    }
}

impl Filter<'_> {
    /// The book.
    pub(super) fn book(&self) -> &Book {
        self.book
    }
}
