//! Every smallest set of entries and complaints that can't all be right, and what taking one back would restore.
//!
//! The sets are found as a tree of corrections (Reiter, *A theory of diagnosis from first principles*, AIJ 32, 1987): one
//! smallest set, then for each of its members what still quarrels without that one, and so on. Each set comes of
//! QuickXplain ([`super::quickxplain`]). Counted in checks, so that the result is the same on every machine.

use std::collections::{BTreeSet, VecDeque};

use crate::book::{Book, ComplaintId, FaultId};
use crate::job::{EntryId, Job};

use super::evidence::{Evidence, Selection};
use super::judge::{Judgement, Outcome, Verdict, disagree, stance};
use super::quickxplain::preferred_conflict;

/// How many sets are kept.
pub const MOST_SETS: usize = 100;
/// How often it is asked whether some entries quarrel, before the search is given up.
const MOST_CHECKS: usize = 3_000;
/// How many nodes the tree may have.
const MOST_NODES: usize = 3_000;

/// Entries and complaints that can't all be right; none of them can be spared.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Quarrel {
    /// The entries, earliest first.
    pub entries: Vec<EntryId>,
    /// The complaints, in order of entry.
    pub complaints: Vec<ComplaintId>,
}

/// All that quarrels.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Quarrels {
    /// The sets, by size, then by entries; at most [`MOST_SETS`].
    pub sets: Vec<Quarrel>,
    /// How many were found in all.
    pub found: usize,
    /// Whether there are no others; else the search was given up, and there may be more.
    pub complete: bool,
}

/// What would change if an entry were taken back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Restored {
    /// What the job would come to.
    pub outcome: Outcome,
    /// Whether anything would still quarrel.
    pub quarrels: bool,
    /// The faults whose verdict would change, with what it would be.
    pub changed: Vec<(FaultId, Verdict)>,
}

/// The smallest sets of entries and complaints of a job that can't all be right; nothing if nothing quarrels.
pub fn quarrels(book: &Book, job: &Job, judgement: &Judgement) -> Quarrels {
    if judgement.conflicts.is_empty() {
        return Quarrels { complete: true, ..Quarrels::default() };
    }
    search(book, job, &judgement.evidence, MOST_CHECKS)
}

/// The same by so many checks at most, of a job that is known to quarrel; `evidence` is what all of it says.
pub(crate) fn search(book: &Book, job: &Job, evidence: &Evidence, most_checks: usize) -> Quarrels {
    let entries = job.live(job.epoch()).to_vec();
    let complaints = evidence.complaints.iter().map(|c| (c.line, c.complaint)).collect();
    Search { book, job, evidence, entries, complaints, checks: 0, most_checks }.run()
}

/// What taking an entry back would restore.
pub fn without(book: &Book, job: &Job, judgement: &Judgement, entry: EntryId) -> Restored {
    let selection = Selection { without_entries: vec![entry], without_complaints: Vec::new() };
    let (verdicts, outcome) = stance(book, &judgement.evidence.without(book, job, &selection));
    let before =
        judgement.verdicts.iter().map(|v| if v.verdict == Verdict::OnlyOneLeft { Verdict::Open } else { v.verdict });
    let changed = verdicts.iter().zip(before).enumerate().filter(|(_, (after, before))| **after != *before);
    let changed = changed.map(|(place, (after, _))| (FaultId::at(place), *after)).collect();
    Restored { outcome, quarrels: disagree(&verdicts, outcome), changed }
}

struct Search<'a> {
    book: &'a Book,
    job: &'a Job,
    /// What all of them say.
    evidence: &'a Evidence,
    entries: Vec<EntryId>,
    /// By line.
    complaints: Vec<(usize, ComplaintId)>,
    checks: usize,
    most_checks: usize,
}

/// Entries and complaints by number, complaints after the entries.
type Items = Vec<usize>;

impl Search<'_> {
    fn run(mut self) -> Quarrels {
        let mut found: Vec<Items> = Vec::new();
        let mut seen: BTreeSet<BTreeSet<usize>> = BTreeSet::from([BTreeSet::new()]);
        let mut queue = VecDeque::from([BTreeSet::new()]);
        let mut complete = true;
        while let Some(removed) = queue.pop_front() {
            if self.checks > self.most_checks || seen.len() > MOST_NODES {
                complete = false;
                break;
            }
            let known = found.iter().find(|set| set.iter().all(|item| !removed.contains(item))).cloned();
            let set = known.or_else(|| self.smallest(&removed));
            let Some(set) = set else { continue };
            if !found.contains(&set) {
                found.push(set.clone());
            }
            for item in set {
                let mut next = removed.clone();
                next.insert(item);
                if seen.insert(next.clone()) {
                    queue.push_back(next);
                }
            }
        }
        let mut sets: Vec<Quarrel> = found.iter().map(|items| self.quarrel(items)).collect();
        sets.sort_by(|a, b| {
            (a.entries.len() + a.complaints.len()).cmp(&(b.entries.len() + b.complaints.len())).then(a.cmp(b))
        });
        let found = sets.len();
        sets.truncate(MOST_SETS);
        Quarrels { sets, found, complete }
    }

    /// A smallest set that quarrels without some items; none if they agree then.
    fn smallest(&mut self, removed: &BTreeSet<usize>) -> Option<Items> {
        let count = self.entries.len() + self.complaints.len();
        let left: Items = (0..count).filter(|item| !removed.contains(item)).collect();
        if !self.quarrel_among(&left) {
            return None;
        }
        let pick =
            |places: &[usize]| -> Items { places.iter().filter_map(|place| left.get(*place).copied()).collect() };
        let explained = preferred_conflict(left.len(), |places| !self.quarrel_among(&pick(places)));
        let mut set =
            explained.conflict.map(|places| pick(&places)).filter(|set| self.quarrel_among(set)).unwrap_or(left);
        // Where entries can also make peace (a complaint that is gone), what is found may still hold one too many.
        for item in set.clone() {
            let fewer: Items = set.iter().copied().filter(|other| *other != item).collect();
            if self.quarrel_among(&fewer) {
                set = fewer;
            }
        }
        set.sort_unstable();
        Some(set)
    }

    fn quarrel_among(&mut self, items: &[usize]) -> bool {
        self.checks += 1;
        let out = |place: &usize| !items.contains(place);
        let entries = self.entries.iter().enumerate().filter(|(place, _)| out(place)).map(|(_, id)| *id);
        let first = self.entries.len();
        let complaints =
            self.complaints.iter().enumerate().filter(|(place, _)| out(&(first + place))).map(|(_, c)| c.0);
        let selection = Selection { without_entries: entries.collect(), without_complaints: complaints.collect() };
        let (verdicts, outcome) = stance(self.book, &self.evidence.without(self.book, self.job, &selection));
        disagree(&verdicts, outcome)
    }

    fn quarrel(&self, items: &[usize]) -> Quarrel {
        let complaint = |item: &usize| self.complaints.get(item.checked_sub(self.entries.len())?).map(|c| c.1);
        Quarrel {
            entries: items.iter().filter_map(|item| self.entries.get(*item).copied()).collect(),
            complaints: items.iter().filter_map(complaint).collect(),
        }
    }
}
