//! A state as lists, ready for sums, and what a test would do to it.

use fixedbitset::FixedBitSet;

use super::matrix::{Column, UNDECIDED};
use super::sums::Sums;

/// The groups of a state as lists, ready for sums.
#[derive(Debug, Clone)]
pub(super) struct View<'m> {
    /// The groups left, rising.
    pub(super) members: Vec<usize>,
    /// Their weights, adding up to 1 (all 0 if the state has no weight).
    pub(super) weights: Vec<f64>,
    /// Each weight times its binary logarithm; empty for a plain view.
    terms: Vec<f64>,
    /// The same as a set, if every group decides every test.
    pub(super) plain: Option<Plain<'m>>,
}

/// Groups left with their weights unbent, of which every one decides every test.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plain<'m> {
    /// The groups left.
    pub(super) live: &'m FixedBitSet,
    /// Sums of the weights of the start.
    pub(super) sums: &'m Sums,
    /// The weight of the groups left, of that of the start.
    pub(super) total: f64,
    /// Its binary logarithm.
    pub(super) total_bits: f64,
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

impl<'m> View<'m> {
    /// Groups with their weights.
    pub(super) fn new(members: Vec<usize>, weights: Vec<f64>) -> Self {
        let term = |w: &f64| if *w > 0.0 { w * w.log2() } else { 0.0 };
        let terms = weights.iter().map(term).collect();
        Self { members, weights, terms, plain: None }
    }

    /// Groups that decide every test, with their weights.
    pub(super) fn plain(members: Vec<usize>, weights: Vec<f64>, plain: Plain<'m>) -> Self {
        Self { members, weights, terms: Vec::new(), plain: Some(plain) }
    }
}

impl Tally {
    /// Fills in what the test would do.
    pub(super) fn take(&mut self, column: &Column, view: &View<'_>) {
        self.mass.clear();
        self.mass.resize(column.answers, 0.0);
        self.terms.clear();
        self.terms.resize(column.answers, 0.0);
        self.count.clear();
        self.count.resize(column.answers, 0);
        self.open = false;
        match &view.plain {
            Some(plain) => self.take_sets(column, plain, view.members.len()),
            None => self.take_each(column, view),
        }
    }

    fn take_sets(&mut self, column: &Column, plain: &Plain<'_>, all: usize) {
        let answers = self.mass.iter_mut().zip(&mut self.terms).zip(&mut self.count);
        for (((mass, term), count), set) in answers.zip(&column.sets) {
            *count = plain.live.intersection_count(set);
            if *count == all {
                *mass = 1.0;
            } else if *count > 0 && plain.total > 0.0 {
                let sum = plain.sums.over(plain.live, set);
                *mass = sum.weight / plain.total;
                *term = (sum.term - sum.weight * plain.total_bits) / plain.total;
            }
        }
    }

    fn take_each(&mut self, column: &Column, view: &View<'_>) {
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
    pub(super) fn bits(&self) -> impl Iterator<Item = f64> {
        let bits = |(mass, term): (&f64, &f64)| {
            if *mass > 0.0 { (mass.log2() - term / mass).max(0.0) } else { 0.0 }
        };
        self.mass.iter().zip(&self.terms).map(bits)
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
}
