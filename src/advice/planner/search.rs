//! The exact search: depth first over tests (choose one) and answers (all must be faced), with a memo.
//!
//! Every state keeps a lower and an upper value, so that a search cut short still tightens what is
//! known. Candidates go in the order of their own lower bounds; of tests that split a state the same way
//! only the cheapest stays. It counts the states it opens, not time, so that results can be
//! reproduced. It must not know how the first upper value was found.

use std::collections::{HashMap, HashSet};

use fixedbitset::FixedBitSet;

use super::bounds::{self, Costs};
use super::matrix::Matrix;
use super::state::{Child, State, Tally, View};

/// Two plans closer than this, relatively, cost the same; then the lower test number goes first.
pub(super) const SAME: f64 = 1e-9;

/// Deeper than this nothing is searched, to spare the stack.
const DEEPEST: usize = 400;

/// What is known of a state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// No plan from here costs less.
    pub(super) low: f64,
    /// Some plan costs this; infinite if none has been found.
    pub(super) high: f64,
    /// The first column of that plan.
    pub(super) column: Option<usize>,
}

impl Known {
    /// Whether the best plan is known.
    pub(super) fn solved(self) -> bool {
        self.low >= self.high
    }

    const NOTHING_TO_DO: Self = Self { low: 0.0, high: 0.0, column: None };
}

/// A test that may come first in a state.
struct Candidate {
    column: usize,
    test: usize,
    cost: f64,
    low: f64,
    children: Vec<(Child, f64)>,
}

/// The search with its memo.
pub(super) struct Search<'m> {
    matrix: &'m Matrix,
    memo: HashMap<State, Known>,
    /// States opened so far.
    pub(super) opened: usize,
    most: usize,
}

impl<'m> Search<'m> {
    /// A search that may open `most` states.
    pub(super) fn new(matrix: &'m Matrix, most: usize) -> Self {
        Self { matrix, memo: HashMap::new(), opened: 0, most }
    }

    /// What is known of a state so far.
    pub(super) fn known(&self, state: &State) -> Option<Known> {
        self.memo.get(state).copied()
    }

    /// Solves a state, or shows that no plan from it costs less than `limit`, or runs out of states.
    pub(super) fn solve(&mut self, state: &State, limit: f64, depth: usize) -> Known {
        let before = self.known(state);
        let mut known = before.unwrap_or(Known { low: 0.0, high: f64::INFINITY, column: None });
        if known.solved() || known.low >= limit || self.opened >= self.most || depth > DEEPEST {
            return known;
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        let (mut candidates, costs) = self.candidates(state, &view);
        known = if candidates.is_empty() {
            Known::NOTHING_TO_DO
        } else {
            known.low = known.low.max(bounds::huffman(self.matrix, &view, &costs, None));
            if known.low < limit {
                let columns: Vec<usize> = candidates.iter().map(|c| c.column).collect();
                known.low = known.low.max(bounds::pairs(self.matrix, &view, &columns));
            }
            if known.low < limit { self.branch(&mut candidates, known, limit, depth) } else { known }
        };
        self.memo.insert(state.clone(), known);
        known
    }

    /// Tries the candidates, the most promising first.
    fn branch(&mut self, candidates: &mut [Candidate], mut known: Known, limit: f64, depth: usize) -> Known {
        candidates.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.test.cmp(&b.test)));
        let mut best = known.column.map_or(usize::MAX, |column| self.matrix.columns[column].test);
        for candidate in candidates.iter_mut() {
            if self.opened >= self.most {
                break;
            }
            let slack = 1.0 - SAME; let _ = best;
            let cut = if known.high.is_finite() { limit.min(known.high * slack) } else { limit };
            if candidate.low >= cut {
                continue;
            }
            if let Some(value) = self.attempt(candidate, cut, depth) {
                known.high = value;
                known.column = Some(candidate.column);
                best = candidate.test;
            }
        }
        let least = candidates.iter().map(|candidate| candidate.low).fold(f64::INFINITY, f64::min);
        known.low = known.low.max(least);
        if known.low >= known.high * (1.0 - SAME) {
            known.low = known.high;
        }
        known
    }

    /// The value of the best plan that starts with the candidate, if it is below `cut`.
    fn attempt(&mut self, candidate: &mut Candidate, cut: f64, depth: usize) -> Option<f64> {
        for place in 0..candidate.children.len() {
            let (child, low) = &candidate.children[place];
            if child.chance <= 0.0 {
                continue;
            }
            let others = candidate.low - child.chance * low;
            let limit = (cut - others) / child.chance;
            let known = self.solve(&child.state, limit, depth + 1);
            let chance = child.chance;
            let better = known.low.max(*low);
            candidate.low = others + chance * better;
            candidate.children[place].1 = better;
            if !known.solved() || candidate.low >= cut {
                return None;
            }
        }
        let total = |sum: f64, (child, low): &(Child, f64)| sum + child.chance * low;
        candidate.low = candidate.children.iter().fold(candidate.cost, total);
        (candidate.low < cut).then_some(candidate.low)
    }

    /// The tests on offer, each split once, with lower bounds; and their costs.
    fn candidates(&self, state: &State, view: &View) -> (Vec<Candidate>, Costs) {
        let mut costs = Costs::default();
        let mut candidates = Vec::new();
        let mut seen: HashSet<Vec<FixedBitSet>> = HashSet::new();
        let mut tally = Tally::default();
        for (column, table) in self.matrix.columns.iter().enumerate() {
            if state.has_used(column) {
                continue;
            }
            tally.take(table, view);
            if !tally.rules_out(view.members.len()) {
                continue;
            }
            let children = state.children(self.matrix, view, column);
            if !tally.open && !seen.insert(split(&children)) {
                continue;
            }
            costs.add(table.cost, tally.answers());
            let children = children.into_iter().map(|child| (child, 0.0)).collect();
            candidates.push(Candidate { column, test: table.test, cost: table.cost, low: 0.0, children });
        }
        for (place, candidate) in candidates.iter_mut().enumerate() {
            candidate.low = candidate.cost;
            for (child, low) in &mut candidate.children {
                *low = self.low(&child.state, &costs, place);
                candidate.low += child.chance * *low;
            }
        }
        (candidates, costs)
    }

    /// A quick lower bound of a child, from the costs of the state before without the test taken.
    fn low(&self, child: &State, costs: &Costs, without: usize) -> f64 {
        match self.known(child) {
            Some(known) => known.low,
            None if child.live.count_ones(..) < 2 => 0.0,
            None if self.matrix.apart.is_some() && !self.on_offer(child) => 0.0,
            None => bounds::huffman(self.matrix, &child.view(self.matrix), costs, Some(without)),
        }
    }

    fn on_offer(&self, state: &State) -> bool {
        let view = state.view(self.matrix);
        let mut tally = Tally::default();
        self.matrix.columns.iter().enumerate().any(|(at, column)| {
            tally.take(column, &view);
            !state.has_used(at) && tally.rules_out(view.members.len())
        })
    }
}

/// The parts that a decided test leaves, by first group, so that equal splits are equal.
fn split(children: &[Child]) -> Vec<FixedBitSet> {
    let mut parts: Vec<FixedBitSet> = children.iter().map(|child| child.state.live.clone()).collect();
    parts.sort_by_key(FixedBitSet::minimum);
    parts
}

/// The better of both bounds for a state, without searching.
pub(super) fn root_bound(matrix: &Matrix, state: &State) -> f64 {
    let search = Search::new(matrix, 0);
    let view = state.view(matrix);
    let (candidates, costs) = search.candidates(state, &view);
    if costs.tests() == 0 {
        return 0.0;
    }
    let columns: Vec<usize> = candidates.iter().map(|candidate| candidate.column).collect();
    bounds::huffman(matrix, &view, &costs, None).max(bounds::pairs(matrix, &view, &columns))
}
