//! Weights of hypotheses: shares, odds, likelihoods. Estimates by the book's own figures; they rank what is open and
//! never prove anything.

use crate::book::{Book, Conclusion, FaultId};
use crate::job::{EntryId, Job};

use super::evidence::Evidence;
use super::hypotheses::FaultSet;
use super::judge::Hypothesis;

/// The hypotheses with their weights: the sets as given, what the book doesn't cover last.
pub fn weigh(book: &Book, _job: &Job, evidence: &Evidence, sets: &[FaultSet]) -> Vec<Hypothesis> {
    let factors = odds(book, evidence);
    let mut logs: Vec<f64> = sets.iter().map(|set| prior(book, set) + set.iter().map(|f| of(&factors, *f)).sum::<f64>()).collect();
    logs.push(uncovered(book));
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = logs.iter().map(|log| if top.is_finite() { (log - top).exp() } else { 0.0 }).collect();
    let total: f64 = raw.iter().sum();
    let weights = raw.iter().map(|w| if total > 0.0 { w / total } else { 0.0 });
    let mut all: Vec<Hypothesis> = weights
        .enumerate()
        .map(|(place, weight)| Hypothesis { faults: sets.get(place).cloned().unwrap_or_default(), weight })
        .collect();
    let last = all.pop();
    all.sort_by(|a, b| a.faults.len().cmp(&b.faults.len()).then(b.weight.total_cmp(&a.weight)).then(a.faults.cmp(&b.faults)));
    all.extend(last);
    all
}

/// All shares, the uncovered one included.
fn all_shares(book: &Book) -> f64 {
    book.faults.iter().map(|fault| fault.share.to_f64()).sum::<f64>() + book.uncovered_share.to_f64()
}

/// Log of a set's prior: the share itself, or the product of its members' odds where several may be there at once.
fn prior(book: &Book, set: &[FaultId]) -> f64 {
    let share = |fault: &FaultId| book.fault(*fault).share.to_f64();
    if book.at_once == 1 {
        return set.iter().map(|fault| share(fault).ln()).sum();
    }
    let all = all_shares(book);
    set.iter().map(|fault| (share(fault) / (all - share(fault))).ln()).sum()
}

fn uncovered(book: &Book) -> f64 {
    let share = book.uncovered_share.to_f64();
    if book.at_once == 1 { share.ln() } else { (share / (all_shares(book) - share)).ln() }
}

fn of(factors: &[f64], fault: FaultId) -> f64 {
    factors.get(fault.place()).copied().unwrap_or(0.0)
}

/// Log odds by fault: one factor a rule, strongest first, ties in book order; a rule that shares an entry with one
/// already taken for the same fault is passed over.
fn odds(book: &Book, evidence: &Evidence) -> Vec<f64> {
    let mut logs = vec![0.0; book.faults.len()];
    for fault in book.fault_ids() {
        let mut rules: Vec<(f64, Vec<EntryId>)> = Vec::new();
        for (applied, conclusion) in evidence.conclusions(book) {
            if let Conclusion::Odds(faults, factor) = conclusion {
                if faults.contains(&fault) {
                    rules.push((factor.to_f64().ln(), applied.choice.entries()));
                }
            }
        }
        rules.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
        let mut used: Vec<EntryId> = Vec::new();
        for (log, entries) in rules {
            if entries.iter().any(|entry| used.contains(entry)) {
                continue;
            }
            used.extend(entries);
            if let Some(sum) = logs.get_mut(fault.place()) {
                *sum += log;
            }
        }
    }
    logs
}
