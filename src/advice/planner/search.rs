//! The exact search.

use std::collections::HashMap;

use super::bounds;
use super::matrix::{Matrix, UNDECIDED};
use super::offer::{Offer, offers};
use super::state::{Child, State, View};

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

    const NOTHING: Self = Self { low: 0.0, high: f64::INFINITY, column: None };
    const DONE: Self = Self { low: 0.0, high: 0.0, column: None };
    const WASTED: Self = Self { low: f64::INFINITY, high: f64::INFINITY, column: None };
}

#[derive(Debug, Clone)]
struct Entry {
    known: Known,
    tried: Vec<(usize, f64, bool)>,
}

/// A test that may come first in a state.
struct Candidate {
    offer: Offer,
    test: usize,
    low: f64,
    solved: bool,
    touched: bool,
    children: Vec<(Child, f64)>,
}

/// What was measured just before.
struct Before<'a> {
    others: &'a [usize],
    share: f64,
    cost: f64,
}

impl Before<'_> {
    fn better_swapped(&self, matrix: &Matrix, column: usize, cost: f64, mass: &[f64]) -> bool {
        let answer = &matrix.columns[column].answer;
        let Some(&first) = self.others.first() else { return false };
        let same = answer[first];
        if same == UNDECIDED { return false; }
        let split_off = self.share * (1.0 - mass[same]);
        if cost * (1.0 - self.share) >= self.cost * split_off * (1.0 - SAME) { return false; }
        self.others.iter().all(|&g| answer[g] == same)
    }
}

/// The search with its memo.
pub(super) struct Search<'m> {
    matrix: &'m Matrix,
    memo: HashMap<State, Entry>,
    /// States opened so far.
    pub(super) opened: usize,
    most: usize,
    pub(super) count: [usize; 6],
}

impl<'m> Search<'m> {
    /// A search that may open `most` states.
    pub(super) fn new(matrix: &'m Matrix, most: usize) -> Self {
        Self { matrix, memo: HashMap::new(), opened: 0, most, count: [0; 6] }
    }

    /// What is known of a state so far.
    pub(super) fn known(&self, state: &State) -> Option<Known> {
        self.memo.get(state).map(|entry| entry.known)
    }

    pub(super) fn solve(&mut self, state: &State, limit: f64, depth: usize) -> Known {
        self.solve_after(state, limit, depth, None)
    }

    fn solve_after(&mut self, state: &State, limit: f64, depth: usize, before: Option<&Before<'_>>) -> Known {
        let mut entry = self.memo.get(state).cloned().unwrap_or(Entry { known: Known::NOTHING, tried: Vec::new() });
        let known = entry.known;
        if known.low >= limit && !known.solved() {
            return known;
        }
        if known.solved() {
            if let (Some(before), Some(column)) = (before, known.column) {
                let view = state.view(self.matrix);
                let mut tally = super::state::Tally::default();
                tally.take(&self.matrix.columns[column], &view);
                if before.better_swapped(self.matrix, column, self.matrix.columns[column].cost, &tally.mass) {
                    self.count[0] += 1;
                    return Known::WASTED;
                }
            }
            return known;
        }
        if self.opened >= self.most || depth > DEEPEST {
            return known;
        }
        self.opened += 1;
        let view = state.view(self.matrix);
        let offers = offers(self.matrix, state, &view);
        if offers.is_empty() {
            self.memo.insert(state.clone(), Entry { known: Known::DONE, tried: Vec::new() });
            return Known::DONE;
        }
        if entry.tried.is_empty() {
            entry.known.low = entry.known.low.max(bounds::quick(self.matrix, &view, &offers));
            if entry.known.low < limit { entry.known.low = entry.known.low.max(bounds::thorough(self.matrix, &view, &offers)); }
        }
        if entry.known.low >= limit {
            let known = entry.known;
            self.count[1] += 1;
            self.memo.insert(state.clone(), entry);
            return known;
        }
        self.count[2] += 1;
        let floor = entry.known.low;
        let costs = bounds::Costs::new(&offers);
        let mut candidates: Vec<Candidate> = offers.into_iter().enumerate().map(|(place, offer)| {
            let children: Vec<(Child, f64)> = state.children(self.matrix, &view, offer.column).into_iter().map(|child| {
                let low = self.low(&child.state, &costs, place);
                (child, low)
            }).collect();
            let mut low = children.iter().fold(offer.cost, |sum, (child, low)| sum + child.chance * low);
            let mut solved = false;
            if let Some(t) = entry.tried.iter().find(|t| t.0 == offer.column) { low = low.max(t.1); solved = t.2; }
            Candidate { test: self.matrix.columns[offer.column].test, offer, low, solved, touched: false, children }
        }).collect();
        candidates.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.test.cmp(&b.test)));
        let mut found = Known { low: floor, high: f64::INFINITY, column: None };
        let mut best = usize::MAX;
        let mut least = f64::INFINITY;
        for candidate in &mut candidates {
            if before.is_some_and(|b| b.better_swapped(self.matrix, candidate.offer.column, candidate.offer.cost, &candidate.offer.mass)) {
                self.count[3] += 1;
                continue;
            }
            if self.opened >= self.most { least = least.min(candidate.low); continue; }
            let slack = if candidate.test < best { 1.0 + SAME } else { 1.0 - SAME };
            let cut = if found.high.is_finite() { limit.min(found.high * slack) } else { limit };
            if candidate.low < cut {
                let value = if candidate.solved { Some(candidate.low) } else { self.attempt(&view, candidate, cut, depth) };
                if let Some(value) = value {
                    found = Known { low: floor, high: value, column: Some(candidate.offer.column) };
                    best = candidate.test;
                }
            }
            least = least.min(candidate.low);
        }
        found.low = settled(found, least);
        for c in &candidates { if c.touched {
            match entry.tried.iter_mut().find(|t| t.0 == c.offer.column) { Some(t) => *t = (c.offer.column, c.low, c.solved), None => entry.tried.push((c.offer.column, c.low, c.solved)) }
        } }
        if found.high < entry.known.high { entry.known.high = found.high; entry.known.column = found.column; }
        let all = candidates.iter().map(|c| c.low).fold(f64::INFINITY, f64::min);
        entry.known.low = settled(entry.known, all);
        if entry.known.solved() { entry.tried = Vec::new(); }
        self.memo.insert(state.clone(), entry);
        found
    }

    /// The value of the best plan that starts with the candidate, if it is below `cut`.
    fn attempt(&mut self, view: &View, candidate: &mut Candidate, cut: f64, depth: usize) -> Option<f64> {
        candidate.touched = true;
        let mut sum = candidate.children.iter().fold(candidate.offer.cost, |sum, (child, low)| sum + child.chance * low);
        let cost = candidate.offer.cost;
        for place in 0..candidate.children.len() {
            let (child, low) = &candidate.children[place];
            if child.chance <= 0.0 {
                continue;
            }
            let others = sum - child.chance * low;
            let limit = (cut - others) / child.chance;
            let outside: Vec<usize> = if candidate.offer.open || NOFILTER.get() { Vec::new() } else { view.members.iter().copied().filter(|&g| !child.state.live.contains(g)).collect() };
            let before = Before { others: &outside, share: child.chance, cost };
            let known = self.solve_after(&child.state, limit, depth + 1, Some(&before));
            let chance = child.chance;
            let better = known.low.max(*low);
            sum = others + chance * better;
            candidate.low = candidate.low.max(sum);
            candidate.children[place].1 = better;
            if !known.solved() || sum >= cut {
                return None;
            }
            if sum.is_infinite() { return None; }
        }
        let total = |sum: f64, (child, low): &(Child, f64)| sum + child.chance * low;
        candidate.low = candidate.children.iter().fold(cost, total);
        candidate.solved = true;
        (candidate.low < cut).then_some(candidate.low)
    }

    /// A quick lower bound of a child, from the costs of the state before without the test taken.
    fn low(&self, child: &State, costs: &bounds::Costs, without: usize) -> f64 {
        match self.known(child) {
            Some(known) => known.low,
            None if child.live.count_ones(..) < 2 => 0.0,
            None if self.matrix.apart.is_some() && offers(self.matrix, child, &child.view(self.matrix)).is_empty() => 0.0,
            None => bounds::huffman(self.matrix, &child.view(self.matrix), costs, Some(without)),
        }
    }
}

thread_local!{ static NOF: bool = std::env::var("NOFILTER").is_ok(); }
struct Nf; impl Nf { fn get(&self)->bool { NOF.with(|x|*x) } }
static NOFILTER: Nf = Nf;

fn settled(known: Known, least: f64) -> f64 {
    let low = known.low.max(least);
    if low >= known.high * (1.0 - SAME) { known.high } else { low }
}

/// The better of both bounds for a state, without searching.
pub(super) fn root_bound(matrix: &Matrix, state: &State) -> f64 {
    let view = state.view(matrix);
    let offers = offers(matrix, state, &view);
    if offers.is_empty() {
        return 0.0;
    }
    bounds::quick(matrix, &view, &offers).max(bounds::thorough(matrix, &view, &offers))
}
