//! Which test to take in any state: the searched one, or else the best of a few judged by going on greedily.
//!
//! Where the exact search ran out, the best few tests by gain per cost are tried; each is worth its cost plus, for
//! each answer, the value the search found, else the cost of going on greedily. It counts states like the search, and
//! when it has none left it is greedy.

use std::collections::HashMap;

use super::gain::{self, By};
use super::matrix::Matrix;
use super::search::{Known, Search};
use super::state::State;
use super::view::View;

/// How many tests are tried at each node.
const FEW: usize = 4;

/// Deeper than this, greedy is not followed.
const DEEPEST: usize = 300;

/// The policy with its memo.
pub(super) struct Rollout<'s, 'm> {
    matrix: &'m Matrix,
    search: &'s Search<'m>,
    greedy: HashMap<State, f64>,
    /// States opened so far.
    pub(super) opened: usize,
    most: usize,
}

impl<'s, 'm> Rollout<'s, 'm> {
    /// A policy that may open `most` states to make up its mind, over all its choices.
    pub(super) fn new(matrix: &'m Matrix, search: &'s Search<'m>, most: usize) -> Self {
        Self { matrix, search, greedy: HashMap::new(), opened: 0, most }
    }

    /// The column to measure in a state, none if no test is on offer.
    pub(super) fn choose(&mut self, state: &State, view: &View<'_>) -> Option<usize> {
        let known = self.search.settled(state, view);
        if let Some(solved) = known.filter(|known| known.solved()) {
            return solved.column;
        }
        let price = |at: usize| self.matrix.columns[at].cost;
        let few = if self.opened < self.most { FEW } else { 1 };
        let mut tried = gain::best_few(self.matrix, state, view, By::GainPerCost, &price, few);
        tried.extend(known.and_then(|known| known.column));
        if tried.len() < 2 {
            return tried.first().copied();
        }
        let mut best: Option<(f64, usize)> = None;
        for at in tried {
            let value = self.value_of(state, view, at, 0);
            if best.is_none_or(|(least, _)| value < least) {
                best = Some((value, at));
            }
        }
        best.map(|(_, at)| at)
    }

    fn value_of(&mut self, state: &State, view: &View<'_>, at: usize, depth: usize) -> f64 {
        let mut value = self.matrix.columns[at].cost;
        for child in state.children(self.matrix, view, at) {
            if child.chance > 0.0 {
                value += child.chance * self.value(&child.state, depth + 1);
            }
        }
        value
    }

    /// The searched value if there is one, else that of going on greedily.
    fn value(&mut self, state: &State, depth: usize) -> f64 {
        if state.live.count_ones(..) < 2 {
            return 0.0;
        }
        if let Some(&value) = self.greedy.get(state) {
            return value;
        }
        if self.opened >= self.most || depth > DEEPEST {
            return self.matrix.columns.iter().map(|column| column.cost).sum();
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        let found = self.search.settled(state, &view).unwrap_or(Known::NOTHING);
        if found.high.is_finite() {
            self.greedy.insert(state.clone(), found.high);
            return found.high;
        }
        let price = |at: usize| self.matrix.columns[at].cost;
        let chosen = gain::best(self.matrix, state, &view, By::GainPerCost, &price);
        let value = chosen.map_or(0.0, |at| self.value_of(state, &view, at, depth));
        self.greedy.insert(state.clone(), value);
        value
    }
}
