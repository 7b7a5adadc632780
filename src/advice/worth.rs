//! What tests are worth for the minutes they take: each by itself, and together where only several of them decide.

use crate::book::{ConditionRef, IndicationId};
use crate::reasoning::Facts;

use super::bundles::{Shelf, bundles};
use super::candidates::{Candidate, candidates};
use super::outlook::Asking;
use super::pool::{Pool, information};

/// Less information than this, in bits, is none.
const NOTHING: f64 = 1e-9;

/// A test and what it is worth.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Worth {
    /// The test to take first.
    pub(crate) test: Candidate,
    /// Expected information, in bits; of all the tests where it tells something only together with others.
    pub(crate) gain: f64,
    /// How long that takes on average.
    pub(crate) seconds: f64,
    /// What the tests decide together, and which come after this one.
    pub(crate) together: Option<(ConditionRef, Vec<IndicationId>)>,
}

impl Worth {
    /// Bits a second.
    pub(crate) fn rate(&self) -> f64 {
        self.gain / self.seconds.max(1.0)
    }
}

/// Every test that tells something, the one worth most for its time first; ties in book order.
pub(crate) fn ranking(asking: &Asking<'_>, pool: &Pool, facts: &Facts<'_>, shelf: &mut Shelf<'_>) -> Vec<Worth> {
    let mut all: Vec<Worth> = Vec::new();
    for test in candidates(asking.book, asking.job, facts) {
        let (outlook, rows) = shelf.get(&test);
        let blurred: Vec<Vec<f64>> = rows.rows.iter().map(|row| outlook.blurred(row)).collect();
        let (a, b, unc) = super::pool::mode();
        let mut masses = pool.masses(rows);
        if !unc {
            for (n, set) in pool.sets.iter().enumerate() {
                if set.is_empty() {
                    masses[rows.of[n]] -= pool.weights[n];
                }
            }
            let t: f64 = masses.iter().sum();
            masses.iter_mut().for_each(|m| *m = (*m / t).max(0.0));
        }
        let gain = a * information(&blurred, &masses)
            + if b > 0.0 { b * super::pool::eliminated(pool, &|n| rows.of[n], &blurred, unc) } else { 0.0 };
        if gain > NOTHING {
            all.push(Worth { gain, seconds: test.seconds, test, together: None });
        }
    }
    let mut trials: Vec<super::rollout::Trial> = Vec::new();
    let faults: Vec<usize> = (0..pool.sets.len()).filter(|n| !pool.sets[*n].is_empty()).collect();
    for worth in &all {
        let (_, rows) = shelf.get(&worth.test);
        trials.push(super::rollout::Trial {
            taken: vec![(worth.test.indication, worth.test.asked.clone())],
            rows: faults.iter().map(|n| rows.row(*n).to_vec()).collect(),
        });
    }
    let singles = all.len();
    let mut keys: Vec<(crate::book::IndicationId, crate::book::Setup)> =
        all.iter().map(|w| (w.test.indication, w.test.setup.clone())).collect();
    let _ = singles;
    for bundle in bundles(asking, pool, shelf) {
        trials.push(super::rollout::Trial {
            taken: bundle.tests.iter().map(|t| (t.indication, t.asked.clone())).collect(),
            rows: faults.iter().map(|n| bundle.classes[*n].clone()).collect(),
        });
        keys.push((bundle.tests[0].indication, bundle.tests[0].setup.clone()));
        let Some((first, rest)) = bundle.tests.split_first() else { continue };
        let together = Some((bundle.decides, rest.iter().map(|test| test.indication).collect()));
        if std::env::var("BUNDLE").is_ok_and(|v| v == "0")
            && all.iter().any(|w| {
                w.test.indication == first.indication || rest.iter().any(|r| r.indication == w.test.indication)
            })
        {
            continue;
        }
        let worth = Worth { test: first.clone(), gain: bundle.gain, seconds: bundle.seconds, together };
        if worth.gain > NOTHING {
            keep_better(&mut all, worth);
        }
    }
    all.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
    let look: usize = std::env::var("ADVICE_LOOK").ok().and_then(|t| t.parse().ok()).unwrap_or(0);
    if look > 0 && all.len() > 1 {
        let weights = faults.iter().map(|n| pool.weights[*n]).collect();
        let mut hunts = super::rollout::Hunts::new(asking.book, &asking.job.setup, weights, trials);
        let mut scored: Vec<(f64, usize)> = Vec::new();
        for (place, worth) in all.iter().take(look).enumerate() {
            let mine =
                (0..keys.len()).filter(|k| keys[*k].0 == worth.test.indication && keys[*k].1 == worth.test.setup);
            let value = mine.map(|t| hunts.mean(t, 48)).fold(f64::INFINITY, f64::min);
            scored.push((value, place));
        }
        scored.sort_by(|a, b| a.0.total_cmp(&b.0));
        let top = scored[0].1;
        let best = all.remove(top);
        all.insert(0, best);
        return all;
    }
    let q = super::pool::penalty();
    if q > 0.0 {
        let useful: Vec<Candidate> = all.iter().take(40).map(|w| w.test.clone()).collect();
        for worth in all.iter_mut().take(12) {
            let mut regret: f64 = 0.0;
            for other in &useful {
                if other.indication == worth.test.indication && other.setup == worth.test.setup {
                    continue;
                }
                let Some(later) =
                    super::candidates::candidate(asking.book, &worth.test.setup, other.indication, &other.asked)
                else {
                    continue;
                };
                regret = regret.max(later.seconds - other.seconds);
            }
            worth.seconds += q * regret;
        }
        all.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
    }
    all
}

/// Keeps the better of two ways to start with the same test.
fn keep_better(all: &mut Vec<Worth>, worth: Worth) {
    let same =
        |other: &&mut Worth| other.test.indication == worth.test.indication && other.test.setup == worth.test.setup;
    match all.iter_mut().find(same) {
        Some(other) if other.rate() >= worth.rate() => {}
        Some(other) => *other = worth,
        None => all.push(worth),
    }
}
