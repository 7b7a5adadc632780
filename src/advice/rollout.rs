//! Looking ahead: of the few tests that tell most for their minutes, which one ends the hunt soonest if it is gone on
//! with greedily? Tried out on vehicles drawn evenly from the weights, with every way from setup to setup priced as it is.

use std::collections::HashMap;

use crate::book::{Asked, Book, IndicationId, Setup};

use super::candidates::candidate;

/// A test as the look-ahead sees it.
pub(crate) struct Trial {
    /// What is taken, one after the other.
    pub(crate) taken: Vec<(IndicationId, Asked)>,
    /// By hypothesis: the chance of each answer.
    pub(crate) rows: Vec<Vec<f64>>,
}

/// The hunts that are tried out.
pub(crate) struct Hunts<'a> {
    book: &'a Book,
    weights: Vec<f64>,
    tests: Vec<Trial>,
    setups: Vec<Setup>,
    ways: HashMap<(usize, usize), Option<(usize, f64)>>,
}

impl<'a> Hunts<'a> {
    pub(crate) fn new(book: &'a Book, from: &Setup, weights: Vec<f64>, tests: Vec<Trial>) -> Self {
        Self { book, weights, tests, setups: vec![from.clone()], ways: HashMap::new() }
    }

    /// Mean seconds to the end of the hunt if it starts with a test, over `samples` vehicles.
    pub(crate) fn mean(&mut self, first: usize, samples: usize) -> f64 {
        let mut total = 0.0;
        let mut weights = self.weights.clone();
        let sum: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= sum);
        let mut dice = Dice(0x5EED);
        for n in 0..samples {
            let at = (n as f64 + 0.5) / samples as f64;
            let mut left = at;
            let truth = weights
                .iter()
                .position(|w| {
                    left -= w;
                    left < 0.0
                })
                .unwrap_or(0);
            total += self.hunt(first, truth, &mut dice.split());
        }
        total / samples.max(1) as f64
    }

    fn hunt(&mut self, first: usize, truth: usize, dice: &mut Dice) -> f64 {
        let mut weights = self.weights.clone();
        let mut used = vec![false; self.tests.len()];
        let (mut at, mut seconds) = (0, 0.0);
        let mut next = Some(first);
        while let Some(test) = next {
            let Some((to, takes)) = self.way(at, test) else { break };
            seconds += takes;
            at = to;
            used[test] = true;
            let row = &self.tests[test].rows[truth];
            let mut left = dice.unit();
            let answer = row
                .iter()
                .position(|p| {
                    left -= p;
                    left < 0.0
                })
                .unwrap_or(row.len().saturating_sub(1));
            for (w, row) in weights.iter_mut().zip(&self.tests[test].rows) {
                *w *= row[answer];
            }
            let sum: f64 = weights.iter().sum();
            if sum <= 0.0 {
                break;
            }
            weights.iter_mut().for_each(|w| *w /= sum);
            if weights.iter().filter(|w| **w > 0.0).count() <= 1 {
                break;
            }
            next = self.best(at, &weights, &used);
        }
        seconds
    }

    fn best(&mut self, at: usize, weights: &[f64], used: &[bool]) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for test in 0..self.tests.len() {
            if used[test] {
                continue;
            }
            let gain = self.gain(test, weights);
            if gain <= 1e-9 {
                continue;
            }
            let Some((_, seconds)) = self.way(at, test) else { continue };
            let rate = gain / seconds.max(1.0);
            if best.is_none_or(|(top, _)| rate > top) {
                best = Some((rate, test))
            }
        }
        best.map(|(_, t)| t)
    }

    /// Information of a test that can rule something out; 0 of one that can't.
    fn gain(&self, test: usize, weights: &[f64]) -> f64 {
        let rows = &self.tests[test].rows;
        let width = rows.first().map_or(0, Vec::len);
        let (mut mixed, mut doubt, mut rules_out) = (vec![0.0; width], 0.0, false);
        let mut reached = vec![false; width];
        for (row, w) in rows.iter().zip(weights) {
            if *w <= 0.0 {
                continue;
            }
            for (c, p) in row.iter().enumerate() {
                if *p > 0.0 {
                    reached[c] = true;
                    mixed[c] += w * p;
                    doubt -= w * p * p.log2();
                }
            }
        }
        for (row, w) in rows.iter().zip(weights) {
            if *w > 0.0 && row.iter().zip(&reached).any(|(p, r)| *r && *p <= 0.0) {
                rules_out = true;
                break;
            }
        }
        if !rules_out {
            return 0.0;
        }
        let entropy: f64 = mixed.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum();
        entropy - doubt
    }

    fn way(&mut self, from: usize, test: usize) -> Option<(usize, f64)> {
        if let Some(known) = self.ways.get(&(from, test)) {
            return *known;
        }
        let mut setup = self.setups[from].clone();
        let mut seconds = 0.0;
        let mut reached = true;
        for (id, asked) in &self.tests[test].taken {
            match candidate(self.book, &setup, *id, asked) {
                Some(found) => {
                    seconds += found.seconds;
                    setup = found.setup;
                }
                None => reached = false,
            }
        }
        let to = self.setups.iter().position(|s| *s == setup).unwrap_or_else(|| {
            self.setups.push(setup);
            self.setups.len() - 1
        });
        let way = reached.then_some((to, seconds));
        self.ways.insert((from, test), way);
        way
    }
}

struct Dice(u64);
impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
    fn split(&mut self) -> Dice {
        Dice(self.bits())
    }
}
