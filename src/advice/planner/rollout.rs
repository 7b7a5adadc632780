//! Better than greedy where the exact search ran out: judge a few tests by what greedy would make of each.
//!
//! At each node the best few tests by gain per cost are tried; each is worth its cost plus, for each
//! answer, the exact value if the search found it, else the cost of going on greedily. It counts
//! states like the search.

use std::collections::HashMap;

use super::gain::{self, By};
use super::matrix::Matrix;
use super::search::{Known, Search};
use super::state::{State, View};

/// How many tests are tried at each node.
const FEW: usize = 4;

/// Deeper than this, greedy is not followed.
const DEEPEST: usize = 400;

/// The policy with its memo.
pub(super) struct Rollout<'a, 'm> {
    matrix: &'m Matrix,
    search: &'a Search<'m>,
    greedy: HashMap<State, f64>,
    /// States opened so far.
    pub(super) opened: usize,
    most: usize,
}

impl<'a, 'm> Rollout<'a, 'm> {
    /// A policy that may open `most` states to make up its mind, over all its choices.
    pub(super) fn new(matrix: &'m Matrix, search: &'a Search<'m>, most: usize) -> Self {
        Self { matrix, search, greedy: HashMap::new(), opened: 0, most }
    }

    /// The column to measure in a state: the searched one if that is best, else the most promising.
    pub(super) fn choose(&mut self, state: &State, view: &View) -> Option<usize> {
        let known = self.search.known(state);
        if let Some(Known { column: Some(column), .. }) = known.filter(|known| known.solved()) {
            return Some(column);
        }
        let price = |at: usize| self.matrix.columns[at].cost;
        let few = if self.opened < self.most { FEW } else { 1 };
        let mut tried = gain::best_few(self.matrix, state, view, By::GainPerCost, &price, few);
        if few == 1 {
            return tried.first().copied();
        }
        tried.extend(known.and_then(|known| known.column));
        let mut best: Option<(f64, usize)> = None;
        for at in tried {
            let value = self.value_of(state, view, at, 0);
            if best.is_none_or(|(least, _)| value < least) {
                best = Some((value, at));
            }
        }
        best.map(|(_, at)| at)
    }

    fn value_of(&mut self, state: &State, view: &View, at: usize, depth: usize) -> f64 {
        let mut value = self.matrix.columns[at].cost;
        for child in state.children(self.matrix, view, at) {
            if child.chance > 0.0 {
                value += child.chance * self.value(&child.state, depth + 1);
            }
        }
        value
    }

    /// The exact value if known, else that of going on greedily.
    fn value(&mut self, state: &State, depth: usize) -> f64 {
        if state.live.count_ones(..) < 2 {
            return 0.0;
        }
        let found = self.search.known(state).map_or(f64::INFINITY, |known| known.high);
        if found.is_finite() {
            return found;
        }
        if let Some(&value) = self.greedy.get(state) {
            return value;
        }
        if self.opened >= self.most || depth > DEEPEST {
            return self.matrix.columns.iter().map(|column| column.cost).sum();
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        let price = |at: usize| self.matrix.columns[at].cost;
        let chosen = gain::best(self.matrix, state, &view, By::GainPerCost, &price);
        let value = chosen.map_or(0.0, |at| self.value_of(state, &view, at, depth));
        self.greedy.insert(state.clone(), value);
        value
    }
}
