//! Entries that can't all be right: for each conflict one smallest set of entries and complaints. Which of them is to be
//! taken again first is asked of [`super::suspects`], where somebody wants to know.

use crate::book::{ComplaintId, Conclusion, FaultId};
use crate::job::{EntryId, Job};

use super::choice::Choice;
use super::evidence::Selection;
use super::judge::{Outcome, Position, Reason, Verdict, stance};

/// What quarrels.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ConflictKind {
    /// A fault is proved and ruled out.
    Contested(FaultId),
    /// These are proved and can't be there together.
    Rivals(Vec<FaultId>),
    /// No fault is left, and the vehicle is not sound.
    NoneLeft,
}

/// A set of entries and complaints that can't all be right: left out any one of them, the conflict is gone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// What quarrels.
    pub kind: ConflictKind,
    /// The entries, earliest first.
    pub entries: Vec<EntryId>,
    /// Complaints that belong to it.
    pub complaints: Vec<ComplaintId>,
}

/// The conflicts of a position.
pub(crate) fn conflicts(job: &Job, position: &Position<'_>, outcome: Outcome) -> Vec<Conflict> {
    let mut kinds: Vec<ConflictKind> = position.contested.iter().map(|fault| ConflictKind::Contested(*fault)).collect();
    if position.rivals {
        kinds.push(ConflictKind::Rivals(position.proved.clone()));
    }
    if outcome == Outcome::NotCoveredOrWrongEntry {
        kinds.push(ConflictKind::NoneLeft);
    }
    kinds.into_iter().map(|kind| smallest(job, position, kind)).collect()
}

/// Entries and complaints (by line) of a set.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
struct Items {
    entries: Vec<EntryId>,
    complaints: Vec<usize>,
}

impl Items {
    fn size(&self) -> usize {
        self.entries.len() + self.complaints.len()
    }
}

fn smallest(job: &Job, position: &Position<'_>, kind: ConflictKind) -> Conflict {
    let all = everything(job, position);
    let start =
        seed(position, &kind).filter(|items| still(job, position, &all, items, &kind)).unwrap_or_else(|| all.clone());
    let items = shrink(job, position, &all, start, &kind);
    let complaints = position
        .evidence
        .complaints
        .iter()
        .filter(|c| items.complaints.contains(&c.line))
        .map(|c| c.complaint)
        .collect();
    Conflict { kind, entries: items.entries, complaints }
}

fn everything(job: &Job, position: &Position<'_>) -> Items {
    Items {
        entries: job.live(job.epoch()).to_vec(),
        complaints: position.evidence.complaints.iter().map(|c| c.line).collect(),
    }
}

/// The smallest union of a proof and what speaks against it, where one fault at once is assumed.
fn seed(position: &Position<'_>, kind: &ConflictKind) -> Option<Items> {
    let proofs = |fault: FaultId| -> Vec<&Choice> {
        let implied = |c: &&(_, &Conclusion)| matches!(c.1, Conclusion::Implies(faults) if faults.contains(&fault));
        let all: Vec<_> = position.evidence.conclusions(position.book).collect();
        all.iter().filter(|c| implied(c)).map(|(applied, _): &(&super::evidence::Applied, _)| &applied.choice).collect()
    };
    match kind {
        ConflictKind::Contested(fault) => {
            let against = position.against(*fault);
            let pairs = proofs(*fault).into_iter().flat_map(|proof| {
                against.iter().filter_map(move |reason| {
                    let mut items = Items { entries: proof.entries(), complaints: Vec::new() };
                    match reason {
                        Reason::RuledOutBy(_, choice)
                        | Reason::OneOfOthers(_, choice)
                        | Reason::ShowsFails(_, choice) => {
                            items.entries.extend(choice.entries());
                        }
                        Reason::Circuit(says) => items.entries.extend(says.entries()),
                        Reason::CannotExplain(complaint) => {
                            let line = position.evidence.complaints.iter().find(|c| c.complaint == *complaint)?.line;
                            items.complaints.push(line);
                        }
                        _ => return None,
                    }
                    items.entries.sort_unstable();
                    items.entries.dedup();
                    Some(items)
                })
            });
            pairs.min_by(|a, b| (a.size(), &a.entries).cmp(&(b.size(), &b.entries)))
        }
        ConflictKind::Rivals(faults) => {
            let mut items = Items::default();
            for fault in faults {
                let smallest = proofs(*fault)
                    .into_iter()
                    .map(Choice::entries)
                    .min_by_key(|entries| (entries.len(), entries.clone()))?;
                items.entries.extend(smallest);
            }
            items.entries.sort_unstable();
            items.entries.dedup();
            Some(items)
        }
        ConflictKind::NoneLeft => None,
    }
}

/// Takes out one item after another, the latest first, as long as the quarrel stays.
fn shrink(job: &Job, position: &Position<'_>, all: &Items, mut items: Items, kind: &ConflictKind) -> Items {
    for entry in items.entries.clone().into_iter().rev() {
        let fewer = Items {
            entries: items.entries.iter().copied().filter(|e| *e != entry).collect(),
            complaints: items.complaints.clone(),
        };
        if still(job, position, all, &fewer, kind) {
            items = fewer;
        }
    }
    for line in items.complaints.clone().into_iter().rev() {
        let fewer = Items {
            complaints: items.complaints.iter().copied().filter(|l| *l != line).collect(),
            entries: items.entries.clone(),
        };
        if still(job, position, all, &fewer, kind) {
            items = fewer;
        }
    }
    items
}

/// Whether these items alone still quarrel.
fn still(job: &Job, position: &Position<'_>, all: &Items, items: &Items, kind: &ConflictKind) -> bool {
    let selection = Selection {
        without_entries: all.entries.iter().copied().filter(|e| !items.entries.contains(e)).collect(),
        without_complaints: all.complaints.iter().copied().filter(|l| !items.complaints.contains(l)).collect(),
    };
    let (verdicts, outcome) = stance(position.book, &position.evidence.without(position.book, job, &selection));
    let in_conflict = |fault: &FaultId| verdicts.get(fault.place()) == Some(&Verdict::Conflict);
    match kind {
        ConflictKind::Contested(fault) => in_conflict(fault),
        ConflictKind::Rivals(faults) => faults.iter().all(in_conflict),
        ConflictKind::NoneLeft => outcome == Outcome::NotCoveredOrWrongEntry,
    }
}
