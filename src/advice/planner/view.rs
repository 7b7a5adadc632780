//! A state as lists, ready for sums, and what a test would do to it.

use super::matrix::{Column, UNDECIDED};

/// The groups of a state as lists, ready for sums.
#[derive(Debug, Clone)]
pub(super) struct View {
    /// The groups left, rising.
    pub(super) members: Vec<usize>,
    /// Their weights, adding up to 1 (all 0 if the state has no weight).
    pub(super) weights: Vec<f64>,
    /// Each weight times its binary logarithm.
    terms: Vec<f64>,
}

/// What a test would do in a state: for each answer its chance and how many groups could give it.
#[derive(Debug, Default, Clone)]
pub(super) struct Tally {
    /// The chance of each answer.
    pub(super) mass: Vec<f64>,
    /// How many of the groups left could give it.
    pub(super) count: Vec<usize>,
    /// For each answer the sum of [`View::terms`] of the groups that decide for it.
    terms: Vec<f64>,
    /// Whether a group left leaves the answer open.
    pub(super) open: bool,
}

impl View {
    /// Groups with their weights.
    pub(super) fn new(members: Vec<usize>, weights: Vec<f64>) -> Self {
        let term = |w: &f64| if *w > 0.0 { w * w.log2() } else { 0.0 };
        let terms = weights.iter().map(term).collect();
        Self { members, weights, terms }
    }
}

impl Tally {
    /// Fills in what the test would do.
    pub(super) fn take(&mut self, column: &Column, view: &View) {
        self.mass.clear();
        self.mass.resize(column.answers, 0.0);
        self.terms.clear();
        self.terms.resize(column.answers, 0.0);
        self.count.clear();
        self.count.resize(column.answers, 0);
        self.open = false;
        for ((&group, &weight), &term) in view.members.iter().zip(&view.weights).zip(&view.terms) {
            match column.answer[group] {
                UNDECIDED => self.spread(&column.chance[group], weight),
                answer => {
                    self.mass[answer] += weight;
                    self.terms[answer] += term;
                    self.count[answer] += 1;
                }
            }
        }
    }

    /// For each answer the entropy in bits of the groups that give it, if all decide.
    pub(super) fn bits(&self) -> Vec<f64> {
        let bits = |(mass, term): (&f64, &f64)| {
            if *mass > 0.0 { (mass.log2() - term / mass).max(0.0) } else { 0.0 }
        };
        self.mass.iter().zip(&self.terms).map(bits).collect()
    }

    fn spread(&mut self, row: &[f64], weight: f64) {
        self.open = true;
        for (answer, chance) in row.iter().enumerate() {
            self.mass[answer] += weight * chance;
            self.count[answer] += usize::from(*chance > 0.0);
        }
    }

    /// Whether some answer would rule out at least one of `groups` groups left: only then is the test on
    /// offer.
    pub(super) fn rules_out(&self, groups: usize) -> bool {
        self.count.iter().any(|&count| 0 < count && count < groups)
    }

    /// How many different answers can come.
    pub(super) fn answers(&self) -> usize {
        self.count.iter().filter(|&&count| count > 0).count()
    }
}
