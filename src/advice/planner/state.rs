//! Where the search stands: which groups are left, how the answers so far bent their weights, and what each test
//! would do next.
//!
//! If every group decides every test, the groups left are the whole state. If some leave a test open, the weights
//! depend on the answers given on the way, and a test already taken can't be taken again for news: both belong to the
//! state, or the memo would give one history the value of another.

use std::hash::{Hash, Hasher};

use fixedbitset::FixedBitSet;

use super::matrix::{Column, Matrix};
use super::view::{Plain, Tally, View};

/// The memo's key. All values kept under it are per unit of weight, so factors common to all groups
/// left are dropped.
#[derive(Debug, Clone)]
pub(super) struct State {
    /// The groups left.
    pub(super) live: FixedBitSet,
    /// Tests (by column) already taken that would otherwise still be on offer.
    used: FixedBitSet,
    /// For each group left, in order, what the answers so far multiplied its weight by, the largest
    /// being 1; empty if all are 1.
    factor: Vec<f64>,
}

impl PartialEq for State {
    fn eq(&self, other: &Self) -> bool {
        let bits = |state: &Self| state.factor.iter().map(|f| f.to_bits()).collect::<Vec<_>>();
        self.live == other.live
            && self.used == other.used
            && (self.factor.is_empty() && other.factor.is_empty() || bits(self) == bits(other))
    }
}

impl Eq for State {}

impl Hash for State {
    fn hash<H: Hasher>(&self, hasher: &mut H) {
        self.live.hash(hasher);
        self.used.hash(hasher);
        self.factor.iter().for_each(|f| hasher.write_u64(f.to_bits()));
    }
}

/// One answer of a test taken in a state.
#[derive(Debug, Clone)]
pub(super) struct Child {
    /// The answer's number.
    pub(super) answer: usize,
    /// Its chance in the state before.
    pub(super) chance: f64,
    /// How many groups could give it.
    pub(super) count: usize,
    /// What it leads to.
    pub(super) state: State,
}

impl State {
    /// All groups left, nothing measured.
    pub(super) fn start(matrix: &Matrix) -> Self {
        let mut live = FixedBitSet::with_capacity(matrix.groups.len());
        live.insert_range(..);
        Self { live, used: FixedBitSet::new(), factor: Vec::new() }
    }

    /// The groups left with their weights.
    pub(super) fn view<'m>(&'m self, matrix: &'m Matrix) -> View<'m> {
        let members: Vec<usize> = self.live.ones().collect();
        let plain = members.iter().map(|&g| matrix.weights[g]);
        let mut weights: Vec<f64> = if self.factor.is_empty() {
            plain.collect()
        } else {
            plain.zip(&self.factor).map(|(w, f)| w * f).collect()
        };
        let total: f64 = weights.iter().sum();
        if total > 0.0 {
            weights.iter_mut().for_each(|w| *w /= total);
        }
        if matrix.apart.is_none() {
            let plain = Plain { live: &self.live, sums: &matrix.sums, total, total_bits: total.log2() };
            return View::plain(members, weights, plain);
        }
        View::new(members, weights)
    }

    /// The weights of the groups left at the start, rising, if that is what they are still in proportion to.
    pub(super) fn unbent(&self, matrix: &Matrix, into: &mut Vec<f64>) {
        into.clear();
        into.extend(self.live.ones().map(|group| matrix.weights[group]));
    }

    /// Whether the test was taken on the way here.
    pub(super) fn has_used(&self, column: usize) -> bool {
        self.used.contains(column)
    }

    /// What each possible answer of a test leads to, in the order of the answers.
    pub(super) fn children(&self, matrix: &Matrix, view: &View<'_>, at: usize) -> Vec<Child> {
        let column = &matrix.columns[at];
        let mut tally = Tally::default();
        tally.take(column, view);
        (0..column.answers)
            .filter(|&answer| tally.count[answer] > 0)
            .map(|answer| Child {
                answer,
                chance: tally.mass[answer],
                count: tally.count[answer],
                state: if tally.open || !self.factor.is_empty() || !self.used.is_clear() {
                    self.bent(matrix, view, at, answer)
                } else {
                    self.plain(column, answer)
                },
            })
            .collect()
    }

    fn plain(&self, column: &Column, answer: usize) -> Self {
        let mut live = self.live.clone();
        live.intersect_with(&column.sets[answer]);
        Self { live, used: FixedBitSet::new(), factor: Vec::new() }
    }

    fn bent(&self, matrix: &Matrix, view: &View<'_>, at: usize, answer: usize) -> Self {
        let column = &matrix.columns[at];
        let mut live = FixedBitSet::with_capacity(self.live.len());
        let mut factor = Vec::new();
        for (place, &group) in view.members.iter().enumerate() {
            let chance = column.chance_of(group, answer);
            if chance > 0.0 {
                live.insert(group);
                factor.push(chance * self.factor.get(place).copied().unwrap_or(1.0));
            }
        }
        let largest = factor.iter().copied().fold(0.0, f64::max);
        if largest > 0.0 {
            factor.iter_mut().for_each(|f| *f /= largest);
        }
        if factor.iter().all(|f| *f == 1.0) {
            factor.clear();
        }
        let used = self.still_used(matrix, &live, at);
        Self { live, used, factor }
    }

    /// The tests taken that would still be on offer among the groups now left.
    fn still_used(&self, matrix: &Matrix, live: &FixedBitSet, at: usize) -> FixedBitSet {
        let members: Vec<usize> = live.ones().collect();
        let weights = vec![0.0; members.len()];
        let view = View::new(members, weights);
        let mut tally = Tally::default();
        let mut used = FixedBitSet::new();
        for taken in self.used.ones().chain([at]) {
            tally.take(&matrix.columns[taken], &view);
            if tally.rules_out(view.members.len()) {
                used.grow(matrix.columns.len());
                used.insert(taken);
            }
        }
        used
    }
}
