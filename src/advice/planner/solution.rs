//! How a plan is found: greedy first, then the exact search below its cost, then the best policy there is.

use super::gain::{self, By};
use super::grow::{Prices, grow};
use super::matrix::Matrix;
use super::plan::{Budget, Plan};
use super::rollout::Rollout;
use super::search::{self, Search};
use super::state::State;
use super::tree::Tree;
use super::view::View;

/// The share of what lies between bound and cost by which the cut-off is raised.
const STEP: f64 = 0.3;

/// The share of the cost below which the rest is one step.
const LAST_STEP: f64 = 0.02;

/// A plan and the search behind it, which can still be asked about other states.
pub(super) struct Solution<'m> {
    /// The plan.
    pub(super) plan: Plan,
    /// Its search.
    pub(super) search: Search<'m>,
}

impl<'m> Solution<'m> {
    /// Greedy first, then the exact search below its cost, then, if that ran out, the best policy there is.
    /// `first` forces the first column.
    pub(super) fn find(matrix: &'m Matrix, first: Option<usize>, budget: Budget) -> Self {
        let greedy = greedy_tree(matrix, first, By::GainPerCost, budget);
        let mut search = Search::new(matrix, budget.states);
        if !greedy.is_whole() {
            // one policy alone has more states than the budget: so has the best plan, in all likelihood
            let states = greedy.tests();
            let plan = Plan::new(greedy, lower(matrix, first, &search), states);
            return Self { plan, search };
        }
        for (state, at_most) in targets(matrix, first, &greedy) {
            prove(matrix, &mut search, &state, at_most);
        }
        let low = lower(matrix, first, &search);
        let mut rollout = Rollout::new(matrix, &search, budget.states);
        let mut first = first;
        let choose = &mut |state: &State, view: &View<'_>, _| first.take().or_else(|| rollout.choose(state, view));
        let tree = grow(matrix, &Prices::Fixed, None, most_nodes(matrix, budget), choose);
        let states = greedy.tests() + search.opened + rollout.opened;
        let better = tree.is_whole() && tree.expected_cost() <= greedy.expected_cost() * (1.0 + search::SAME);
        let plan = Plan::new(if better { tree } else { greedy }, low, states);
        Self { plan, search }
    }
}

/// The states to solve, with what going on greedily costs there: the start, or what the forced first test leads to.
fn targets(matrix: &Matrix, first: Option<usize>, greedy: &Tree) -> Vec<(State, f64)> {
    let start = State::start(matrix);
    let Some(first) = first else {
        return vec![(start, greedy.expected_cost())];
    };
    let children = start.children(matrix, &start.view(matrix), first);
    let branches = greedy.nodes.first().map_or(&[][..], |node| node.branches());
    let costs = branches.iter().filter_map(|branch| greedy.nodes.get(branch.next)).map(|node| node.expected_cost);
    children.into_iter().map(|child| child.state).zip(costs).collect()
}

/// Raises the cut-off step by step up to a cost that can be had. It takes a few more states than one search below that
/// cost, but a search that runs out has by then proved a far better lower bound.
fn prove(matrix: &Matrix, search: &mut Search<'_>, state: &State, at_most: f64) {
    let last = at_most * (1.0 + search::SAME);
    let mut low = search::bound(matrix, state);
    loop {
        let gap = last - low;
        let cut = if gap < LAST_STEP * last { last } else { low + gap * STEP };
        let known = search.solve(state, cut, 0);
        if known.solved() || known.low < cut || cut >= last {
            return;
        }
        low = known.low;
    }
}

/// The best lower bound known so far.
fn lower(matrix: &Matrix, first: Option<usize>, search: &Search<'_>) -> f64 {
    let start = State::start(matrix);
    let low = |state: &State| {
        let searched = search.known(state).map_or(0.0, |known| known.low);
        searched.max(search::bound(matrix, state))
    };
    let Some(first) = first else {
        return low(&start);
    };
    let children = start.children(matrix, &start.view(matrix), first);
    children.iter().fold(matrix.columns[first].cost, |sum, child| sum + child.chance * low(&child.state))
}

/// Nodes that a tree may have: enough for any problem in which every hypothesis decides every test.
pub(super) fn most_nodes(matrix: &Matrix, budget: Budget) -> usize {
    budget.states.max(matrix.groups.len())
}

/// The order that takes the best test at each step.
pub(super) fn greedy_tree(matrix: &Matrix, mut first: Option<usize>, by: By, budget: Budget) -> Tree {
    let price = |at: usize| matrix.columns[at].cost;
    let choose =
        &mut |state: &State, view: &View<'_>, _| first.take().or_else(|| gain::best(matrix, state, view, by, &price));
    grow(matrix, &Prices::Fixed, None, most_nodes(matrix, budget), choose)
}
