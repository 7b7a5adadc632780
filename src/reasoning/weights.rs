//! Weights of hypotheses: shares, odds, likelihoods, by Bayes' rule. Estimates by the book's own figures; they rank what is
//! open and never prove anything. Sums are of logarithms, so that no long job underflows.

use crate::book::{Book, Conclusion, FaultId, RuleId};
use crate::job::{EntryId, Job};

use super::choice::Choice;
use super::circuits::{CircuitSays, add_odds, counted};
use super::evidence::Evidence;
use super::facts::Facts;
use super::heard::{Hearing, Logs, Tables, hear};
use super::hypotheses::FaultSet;
use super::judge::Hypothesis;

/// The hypotheses with their weights: the sets as given, what the book doesn't cover last.
pub(crate) fn weigh(book: &Book, evidence: &Evidence, hearing: &Hearing, sets: Vec<FaultSet>) -> Vec<Hypothesis> {
    let weights = normalised(&logs(book, evidence, hearing, &sets));
    let faults = sets.into_iter().chain([FaultSet::new()]);
    let mut all: Vec<Hypothesis> = faults.zip(weights).map(|(faults, weight)| Hypothesis { faults, weight }).collect();
    let last = all.pop();
    all.sort_by(|a, b| {
        a.faults.len().cmp(&b.faults.len()).then(b.weight.total_cmp(&a.weight)).then(a.faults.cmp(&b.faults))
    });
    all.extend(last);
    all
}

/// Logarithms of what weights are before they are made to add up to 1; that of what the book doesn't cover last.
fn logs(book: &Book, evidence: &Evidence, hearing: &Hearing, sets: &[FaultSet]) -> Vec<f64> {
    let odds = all_odds(book, evidence);
    let priors = &hearing.priors;
    let odds_of = |set: &FaultSet| set.iter().map(|f| of(&odds, *f)).sum::<f64>();
    let prior = |set: &FaultSet| set.iter().map(|f| of(&priors.single, *f)).sum::<f64>();
    let mut logs: Vec<f64> = sets.iter().map(|set| prior(set) + odds_of(set)).collect();
    logs.push(priors.uncovered);
    add_likelihoods(book, hearing, sets, &mut logs);
    add_odds(book, evidence, sets, &mut logs);
    logs
}

/// How likely all entries are together over these sets and what the book doesn't cover, up to a factor of the book's.
pub(crate) fn likelihood(book: &Book, evidence: &Evidence, hearing: &Hearing, sets: &[FaultSet]) -> f64 {
    logs(book, evidence, hearing, sets).into_iter().map(f64::exp).sum()
}

/// Logarithms to shares of 1.
fn normalised(logs: &[f64]) -> Vec<f64> {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = logs.iter().map(|log| if top.is_finite() { (log - top).exp() } else { 0.0 }).collect();
    let total: f64 = raw.iter().sum();
    raw.iter().map(|w| if total > 0.0 { w / total } else { 0.0 }).collect()
}

/// Adds the likelihood of all that was heard; the last log is that of what the book doesn't cover.
fn add_likelihoods(book: &Book, hearing: &Hearing, sets: &[FaultSet], logs: &mut [f64]) {
    let (uncovered, single) = hearing.sums();
    for (place, log) in logs.iter_mut().enumerate() {
        match sets.get(place).map_or(&[][..], Vec::as_slice) {
            [] => *log += uncovered,
            [fault] => *log += of(&single, *fault),
            _ => {}
        }
    }
    for test in &hearing.tests {
        // Sets of which the book says nothing there are all alike.
        let mut silent: Option<f64> = None;
        let says = |fault: &FaultId| test.asked.mentioned.get(fault.place()) == Some(&true);
        for (set, log) in sets.iter().zip(&mut *logs).filter(|(set, _)| set.len() > 1) {
            *log += match set.iter().any(says) {
                true => test.chance(book, set).ln(),
                false => *silent.get_or_insert_with(|| test.chance(book, set).ln()),
            };
        }
    }
    for joint in &hearing.joint {
        for (place, log) in logs.iter_mut().enumerate() {
            *log += joint.chance(sets.get(place).map_or(&[][..], Vec::as_slice)).ln();
        }
    }
}

/// All shares, the uncovered one included.
fn all_shares(book: &Book) -> f64 {
    book.faults.iter().map(|fault| fault.share.to_f64()).sum::<f64>() + book.uncovered_share.to_f64()
}

/// Logarithms of priors: the share itself, or the odds where several may be there at once, of which a set has the product.
pub(super) fn priors(book: &Book) -> Logs {
    let shares: Vec<f64> = book.faults.iter().map(|fault| fault.share.to_f64()).collect();
    let uncovered = book.uncovered_share.to_f64();
    let all = all_shares(book);
    let of = |share: f64| if book.at_once == 1 { share.ln() } else { (share / (all - share)).ln() };
    Logs { uncovered: of(uncovered), single: shares.into_iter().map(of).collect() }
}

fn of(factors: &[f64], fault: FaultId) -> f64 {
    factors.get(fault.place()).copied().unwrap_or(0.0)
}

/// A rule that changes a fault's odds.
#[derive(Clone, PartialEq, Debug)]
pub struct OddsRule {
    /// Which rule.
    pub rule: RuleId,
    /// The entries that make it apply.
    pub choice: Choice,
    /// By how much it multiplies the odds.
    pub factor: f64,
    /// A stronger rule that rests on one of the same entries and counts in its place.
    pub passed_over_for: Option<RuleId>,
}

/// The rules that change the odds of a fault, strongest first, ties in book order; one that shares an entry with one
/// already taken is passed over.
pub fn odds_of(book: &Book, evidence: &Evidence, fault: FaultId) -> Vec<OddsRule> {
    let mut rules: Vec<OddsRule> = Vec::new();
    for (applied, conclusion) in evidence.conclusions(book) {
        if let Conclusion::Odds(faults, factor) = conclusion
            && faults.contains(&fault)
        {
            let factor = factor.to_f64();
            rules.push(OddsRule { rule: applied.rule, choice: applied.choice.clone(), factor, passed_over_for: None });
        }
    }
    rules.sort_by(|a, b| b.factor.ln().abs().total_cmp(&a.factor.ln().abs()));
    let mut used: Vec<(EntryId, RuleId)> = Vec::new();
    for rule in &mut rules {
        let entries = rule.choice.entries();
        rule.passed_over_for = used.iter().find(|(entry, _)| entries.contains(entry)).map(|(_, by)| *by);
        if rule.passed_over_for.is_none() {
            used.extend(entries.into_iter().map(|entry| (entry, rule.rule)));
        }
    }
    rules
}

/// Log odds by fault.
fn all_odds(book: &Book, evidence: &Evidence) -> Vec<f64> {
    let mut logs = vec![0.0; book.faults.len()];
    let mut touched: Vec<FaultId> = Vec::new();
    for (_, conclusion) in evidence.conclusions(book) {
        if let Conclusion::Odds(faults, _) = conclusion {
            touched.extend(faults);
        }
    }
    touched.sort_unstable();
    touched.dedup();
    for fault in touched {
        let taken = odds_of(book, evidence, fault).into_iter().filter(|rule| rule.passed_over_for.is_none());
        if let Some(sum) = logs.get_mut(fault.place()) {
            *sum = taken.map(|rule| rule.factor.ln()).sum();
        }
    }
    logs
}

/// One factor of a fault's weight.
#[derive(Clone, PartialEq, Debug)]
pub enum Factor {
    /// The share of the fault among all shares, the uncovered one included.
    Share {
        /// Its own.
        share: f64,
        /// All of them.
        all: f64,
    },
    /// A rule that changes its odds.
    Odds(OddsRule),
    /// What was found in one test.
    Test {
        /// The entry.
        entry: EntryId,
        /// How likely that was if the fault is there.
        chance: f64,
        /// How likely it was if the fault is something that the book doesn't cover: all answers alike.
        elsewhere: f64,
    },
    /// A circuit that would show something else, where it doesn't rule out.
    Circuit(CircuitSays),
    /// A `shows` over several tests.
    Joint {
        /// The entries that decide it.
        entries: Vec<EntryId>,
        /// Whether it holds.
        holds: bool,
        /// How likely that was if the fault is there.
        chance: f64,
    },
}

/// What a fault's weight is made of, as a hypothesis by itself: its share, the odds of rules, what was found. Factors that
/// are the same for everything are left out.
pub fn factors(book: &Book, job: &Job, evidence: &Evidence, fault: FaultId) -> Vec<Factor> {
    let hearing = hear(&Facts::of(book, job, job.epoch(), |_| true), evidence, &mut Tables::default());
    let mut all = vec![Factor::Share { share: book.fault(fault).share.to_f64(), all: all_shares(book) }];
    all.extend(odds_of(book, evidence, fault).into_iter().map(Factor::Odds));
    all.extend(counted(book, evidence, &[fault]).into_iter().cloned().map(Factor::Circuit));
    for test in &hearing.tests {
        let (chance, elsewhere) = (test.chance(book, &[fault]), test.chance(book, &[]));
        if (chance - elsewhere).abs() > 1e-12 {
            all.push(Factor::Test { entry: test.entry, chance, elsewhere });
        }
    }
    for joint in &hearing.joint {
        if joint.claims.iter().any(|(claimed, ..)| *claimed == fault) {
            all.push(Factor::Joint {
                entries: joint.choice.entries(),
                holds: joint.holds,
                chance: joint.chance(&[fault]),
            });
        }
    }
    all
}
