//! What tests are worth for the minutes they take: each by itself, and together where only several of them decide.

use crate::book::{ConditionRef, IndicationId};
use crate::reasoning::Facts;

use super::bundles::{Shelf, bundles};
use super::candidates::{Candidate, candidate, candidates};
use super::outlook::Asking;
use super::pool::{Pool, information};

/// Less information than this, in bits, is none.
const NOTHING: f64 = 1e-9;
/// For how many of the best tests it is asked what setting up for them costs the others,
const LOOKED_AT: usize = 12;
/// and how many others are asked.
const OTHERS: usize = 40;

/// A test and what it is worth.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Worth {
    /// The test to take first.
    pub(crate) test: Candidate,
    /// Expected information, in bits; of all the tests where it tells something only together with others.
    pub(crate) gain: f64,
    /// What it costs in seconds: the tests, the way there, and what the way makes dearer.
    pub(crate) cost: f64,
    /// What the tests decide together, and which come after this one.
    pub(crate) together: Option<(ConditionRef, Vec<IndicationId>)>,
}

impl Worth {
    /// Bits a second.
    pub(crate) fn rate(&self) -> f64 {
        self.gain / self.cost.max(1.0)
    }
}

/// Every test that tells something, the one worth most for its time first; ties in book order.
pub(crate) fn ranking(asking: &Asking<'_>, pool: &Pool, facts: &Facts<'_>, shelf: &mut Shelf<'_>) -> Vec<Worth> {
    let mut all: Vec<Worth> = Vec::new();
    for test in candidates(asking.book, asking.job, facts) {
        let (outlook, rows) = shelf.get(&test);
        let blurred: Vec<Vec<f64>> = rows.rows.iter().map(|row| outlook.blurred(row)).collect();
        let gain = information(&blurred, &pool.masses(rows));
        if gain > NOTHING {
            all.push(Worth { gain, cost: test.seconds, test, together: None });
        }
    }
    for bundle in bundles(asking, pool, shelf) {
        let Some((first, rest)) = bundle.tests.split_first() else { continue };
        let together = Some((bundle.decides, rest.iter().map(|test| test.indication).collect()));
        let worth = Worth { test: first.clone(), gain: bundle.gain, cost: bundle.seconds, together };
        if worth.gain > NOTHING {
            keep_better(&mut all, worth);
        }
    }
    sort(&mut all);
    add_what_others_lose(asking, &mut all);
    sort(&mut all);
    all
}

fn sort(all: &mut [Worth]) {
    all.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
}

/// Keeps the better of two ways to start with the same test.
fn keep_better(all: &mut Vec<Worth>, worth: Worth) {
    match all.iter_mut().find(|other| is_same(&other.test, &worth.test)) {
        Some(other) if other.rate() >= worth.rate() => {}
        Some(other) => *other = worth,
        None => all.push(worth),
    }
}

fn is_same(a: &Candidate, b: &Candidate) -> bool {
    a.indication == b.indication && a.setup == b.setup
}

/// Who rests the batteries for two hours should take what needs that before driving off: to the cost of a test comes what
/// its setup makes the most hindered of the other tests dearer.
fn add_what_others_lose(asking: &Asking<'_>, all: &mut [Worth]) {
    let others: Vec<Candidate> = all.iter().take(OTHERS).map(|worth| worth.test.clone()).collect();
    for worth in all.iter_mut().take(LOOKED_AT).filter(|worth| !worth.test.steps.is_empty()) {
        let lost = others.iter().filter(|other| !is_same(other, &worth.test)).map(|other| {
            let later = candidate(asking.book, &worth.test.setup, other.indication, &other.asked);
            later.map_or(0.0, |later| later.seconds - other.seconds)
        });
        worth.cost += lost.fold(0.0, f64::max);
    }
}
