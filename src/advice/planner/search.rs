//! The exact search: depth first over tests (choose one) and answers (all must be faced), with a memo.
//!
//! Every state keeps a lower and an upper value, so that a search cut short still tightens what is known. Candidates
//! go in the order of their own lower bounds; of tests that split a state the same way only the cheapest stays. It
//! counts the states it opens, not time, so that results can be reproduced. It must not know how the first upper
//! value was found.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rustc_hash::FxHashMap;

use super::bounds;
use super::candidate::{Candidate, Look, candidates};
use super::core::core;
use super::costs::Costs;
use super::huffman::huffman;
use super::matrix::Matrix;
use super::offer::{Offers, offers};
use super::singles;
use super::state::{Child, State};
use super::view::View;

/// Two plans closer than this, relatively, cost the same; then the lower test number goes first.
pub(super) const SAME: f64 = 1e-9;

/// Deeper than this nothing is searched, to spare the stack (about 2 KB a level in a debug build).
const DEEPEST: usize = 300;

/// What is known of a state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// No plan from here costs less.
    pub(super) low: f64,
    /// Some plan costs this; infinite if none has been found.
    pub(super) high: f64,
    /// The first column of that plan; none if nothing is to be done.
    pub(super) column: Option<usize>,
    /// Whether all bounds were asked, so that only searching can raise the lower value.
    asked: bool,
}

impl Known {
    /// Nothing known yet.
    pub(super) const NOTHING: Self = Self { low: 0.0, high: f64::INFINITY, column: None, asked: false };
    const DONE: Self = Self { low: 0.0, high: 0.0, column: None, asked: true };

    /// Whether the best plan is known.
    pub(super) fn solved(self) -> bool {
        self.low >= self.high
    }

    /// No plan costs less than `least`: raises the lower value, and closes the gap if it is only rounding.
    fn at_least(mut self, least: f64) -> Self {
        self.low = self.low.max(least);
        if self.low >= self.high * (1.0 - SAME) {
            self.low = self.high;
        }
        self
    }
}

/// The search with its memo.
pub(super) struct Search<'m> {
    matrix: &'m Matrix,
    memo: FxHashMap<State, Known>,
    /// Lists to fill anew for each state.
    offers: Offers,
    weights: Vec<f64>,
    /// States opened so far.
    pub(super) opened: usize,
    most: usize,
}

impl<'m> Search<'m> {
    /// A search that may open `most` states.
    pub(super) fn new(matrix: &'m Matrix, most: usize) -> Self {
        let (memo, offers) = (FxHashMap::default(), Offers::default());
        Self { matrix, memo, offers, weights: Vec::new(), opened: 0, most }
    }

    /// What is known of a state so far.
    pub(super) fn known(&self, state: &State) -> Option<Known> {
        self.memo.get(state).copied()
    }

    /// What is known of a state so far, or can be told without searching.
    pub(super) fn settled(&self, state: &State, view: &View<'_>) -> Option<Known> {
        let known = self.known(state);
        if known.is_some_and(Known::solved) {
            return known;
        }
        closed(self.matrix, view, &offers(self.matrix, state, view)).or(known)
    }

    /// Solves a state, or shows that no plan from it costs less than `limit`, or runs out of states.
    pub(super) fn solve(&mut self, state: &State, limit: f64, depth: usize) -> Known {
        let known = self.bounded(state, limit);
        if known.solved() || known.low >= limit || self.opened >= self.most || depth > DEEPEST {
            return known;
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        self.offers.fill(self.matrix, state, &view);
        let place = Place { state, view: &view, costs: &Costs::new(&self.offers.list), depth };
        let mut candidates = candidates(self.matrix, &self.offers, place.costs);
        let known = self.branch(&place, &mut candidates, known, limit);
        self.memo.insert(state.clone(), known);
        known
    }

    /// What is known of a state, after all bounds at least, or as many as show that no plan from it costs less than
    /// `enough`.
    fn bounded(&mut self, state: &State, enough: f64) -> Known {
        let known = self.known(state).unwrap_or(Known::NOTHING);
        if known.asked || known.low >= enough || self.opened >= self.most {
            return known;
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        self.offers.fill(self.matrix, state, &view);
        let known = closed(self.matrix, &view, &self.offers).unwrap_or_else(|| {
            let low = bounds::of_state(self.matrix, &view, &self.offers, enough).best();
            Known { asked: low < enough, ..known }.at_least(low)
        });
        self.memo.insert(state.clone(), known);
        known
    }

    /// Tries the candidates, the most promising first; each is looked at more closely before it is tried.
    fn branch(&mut self, place: &Place<'_>, candidates: &mut [Candidate], mut known: Known, limit: f64) -> Known {
        let turn = |number: usize, c: &Candidate| Reverse((c.low.to_bits(), c.test, number));
        let mut queue: BinaryHeap<_> = candidates.iter().enumerate().map(|(number, c)| turn(number, c)).collect();
        let mut best = known.column.map_or(usize::MAX, |column| self.matrix.columns[column].test);
        while let Some(Reverse((_, _, number))) = queue.pop() {
            let candidate = &mut candidates[number];
            let slack = if candidate.test < best { 1.0 + SAME } else { 1.0 - SAME };
            let cut = if known.high.is_finite() { limit.min(known.high * slack) } else { limit };
            let hopeless = candidate.low >= cut || self.opened >= self.most;
            match candidate.look {
                // even a hopeless one, so that the lower value of the state is a good one
                Look::Split => {}
                _ if candidate.low > cut * (1.0 + 2.0 * SAME) => break,
                _ if hopeless => continue,
                Look::Quick => {}
                Look::Thorough => {
                    if let Some(value) = self.attempt(candidate, cut, place.depth) {
                        known = Known { high: value, column: Some(candidate.column), ..known };
                        best = candidate.test;
                    }
                    continue;
                }
            }
            self.look_closer(place, candidate, number, cut);
            queue.push(turn(number, candidate));
        }
        let least = candidates.iter().map(|candidate| candidate.low).fold(f64::INFINITY, f64::min);
        known.at_least(least)
    }

    fn look_closer(&mut self, place: &Place<'_>, candidate: &mut Candidate, number: usize, cut: f64) {
        if matches!(candidate.look, Look::Split) {
            candidate.look = Look::Quick;
            let children = place.state.children(self.matrix, place.view, candidate.column);
            let with_low = |child: Child| {
                let low = self.quick(&child, place.costs, number);
                (child, low)
            };
            candidate.children = children.into_iter().map(with_low).collect();
        } else {
            candidate.look = Look::Thorough;
            for place in 0..candidate.children.len() {
                let spare = cut - candidate.total();
                let (child, low) = &mut candidate.children[place];
                if spare > 0.0 && child.chance > 0.0 && child.count > 1 {
                    *low = low.max(self.bounded(&child.state, *low + spare / child.chance).low);
                }
            }
        }
        candidate.low = candidate.low.max(candidate.total());
    }

    /// The value of the best plan that starts with the candidate, if it is below `cut`. Raises the candidate's
    /// lower value in any case.
    fn attempt(&mut self, candidate: &mut Candidate, cut: f64, depth: usize) -> Option<f64> {
        for place in 0..candidate.children.len() {
            let (child, low) = &candidate.children[place];
            if child.chance <= 0.0 {
                continue;
            }
            let limit = low + (cut - candidate.total()) / child.chance;
            let known = self.solve(&child.state, limit, depth + 1);
            candidate.children[place].1 = known.low.max(*low);
            candidate.low = candidate.low.max(candidate.total());
            if !known.solved() || candidate.low >= cut {
                return None;
            }
        }
        candidate.low = candidate.total();
        (candidate.low < cut).then_some(candidate.low)
    }

    /// A quick lower bound of a child, from the costs of the state before without the test taken.
    fn quick(&mut self, child: &Child, costs: &Costs, without: usize) -> f64 {
        if child.count < 2 {
            return 0.0;
        }
        if let Some(known) = self.known(&child.state) {
            return known.low;
        }
        if self.matrix.apart.is_none() {
            child.state.unbent(self.matrix, &mut self.weights);
            let whole = self.weights.iter().sum();
            return huffman(&self.weights, whole, costs, Some(without));
        }
        let view = child.state.view(self.matrix);
        self.offers.fill(self.matrix, &child.state, &view);
        if self.offers.list.is_empty() {
            return 0.0;
        }
        huffman(&core(self.matrix, &view).weights, 1.0, costs, Some(without))
    }
}

/// A state being searched.
struct Place<'a> {
    state: &'a State,
    view: &'a View<'a>,
    costs: &'a Costs,
    depth: usize,
}

/// The value of a state that needs no search.
fn closed(matrix: &Matrix, view: &View<'_>, offers: &Offers) -> Option<Known> {
    if offers.list.is_empty() {
        return Some(Known::DONE);
    }
    let (value, column) = singles::solve(matrix, view, &offers.list)?;
    Some(Known { low: value, high: value, column: Some(column), asked: true })
}

/// A lower bound of a state, without searching.
pub(super) fn bound(matrix: &Matrix, state: &State) -> f64 {
    let view = state.view(matrix);
    let offers = offers(matrix, state, &view);
    closed(matrix, &view, &offers).map_or_else(|| bounds::of_start(matrix, &view, &offers).best(), |known| known.low)
}
