//! Plans: the cheapest order with its proof or its gap, and greedy ones to compare it with.

use super::gain::{self, By};
use super::matrix::Matrix;
use super::problem::Problem;
use super::refused::Refused;
use super::rollout::Rollout;
use super::search::{self, Search};
use super::state::{State, View};
use super::tree::{Prices, Tree, grow};

/// The share of what lies between bound and cost by which the cut-off is raised.
const STEP: f64 = 0.3;

/// The share of the cost below which the rest is one step.
const LAST_STEP: f64 = 0.02;

/// How much work a plan may take, in states opened: the same budget gives the same plan on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// States that the exact search may open. If that is not enough, improving on greedy may open as
    /// many again. An order is written out for at most as many nodes, but never for fewer than there are hypotheses.
    pub states: usize,
}

impl Default for Budget {
    fn default() -> Self {
        Self { states: 10_000 }
    }
}

/// A measuring order and how good it is proved to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The order.
    pub tree: Tree,
    /// What it costs on average, until the hypotheses left can't be separated further. If the tree is not
    /// [whole](Tree::is_whole): at most.
    pub expected_cost: f64,
    /// No order costs less than this on average.
    pub lower_bound: f64,
    /// Whether no order is cheaper (to nine digits).
    pub exact: bool,
    /// States opened to find it.
    pub states: usize,
}

impl Plan {
    /// How much dearer than the best order this one may be, as a fraction of the bound (0.07 is 7 %); none
    /// if the bound is 0 and the cost is not.
    #[must_use]
    pub fn gap(&self) -> Option<f64> {
        if self.exact || self.expected_cost <= self.lower_bound {
            return Some(0.0);
        }
        (self.lower_bound > 0.0).then(|| self.expected_cost / self.lower_bound - 1.0)
    }

    /// A plan with what is proved of it.
    pub(super) fn new(tree: Tree, lower_bound: f64, states: usize) -> Self {
        let expected_cost = tree.expected_cost();
        let exact = tree.is_whole() && lower_bound >= expected_cost * (1.0 - search::SAME);
        let lower_bound = if exact { expected_cost } else { lower_bound };
        Self {
            tree,
            expected_cost,
            lower_bound,
            exact,
            states,
        }
    }
}

/// The cheapest order, proved, or the best found within the budget with a proven lower bound.
///
/// A test is on offer while one of its answers would rule out a hypothesis still left; it is taken at most
/// once. Of orders that cost the same, the one whose first test has the lowest number is
/// taken, and so on down (of tests that split what is left the same way: the cheapest, then the lowest number).
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn plan(problem: &Problem, budget: Budget) -> Result<Plan, Refused> {
    problem.check()?;
    let matrix = Matrix::new(problem);
    Ok(Solution::find(&matrix, None, budget).plan)
}

/// The cheapest order among those that start with `test`; none if that test can rule out nothing.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn plan_starting_with(
    problem: &Problem,
    test: usize,
    budget: Budget,
) -> Result<Option<Plan>, Refused> {
    problem.check()?;
    let matrix = Matrix::new(problem);
    let first = matrix.columns.iter().position(|column| column.test == test);
    Ok(first.map(|first| Solution::find(&matrix, Some(first), budget).plan))
}

/// The order that takes the best test at each step without looking further, with its bound.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn greedy(problem: &Problem, by: By, budget: Budget) -> Result<Plan, Refused> {
    problem.check()?;
    let matrix = Matrix::new(problem);
    let tree = greedy_tree(&matrix, None, by, budget);
    let states = tree.tests();
    Ok(Plan::new(
        tree,
        search::bound(&matrix, &State::start(&matrix)),
        states,
    ))
}

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
        let choose = &mut |state: &State, view: &View, _| {
            first.take().or_else(|| rollout.choose(state, view))
        };
        let tree = grow(matrix, &Prices::Fixed, None, limit(matrix, budget), choose);
        let states = greedy.tests() + search.opened + rollout.opened;
        let better = tree.is_whole()
            && tree.expected_cost() <= greedy.expected_cost() * (1.0 + search::SAME);
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
    let costs = branches
        .iter()
        .filter_map(|branch| greedy.nodes.get(branch.next))
        .map(|node| node.expected_cost);
    children
        .into_iter()
        .map(|child| child.state)
        .zip(costs)
        .collect()
}

/// Raises the cut-off step by step up to a cost that can be had. It costs a few more states than one search below that cost, but a
/// search that runs out has by then proved a far better lower bound.
fn prove(matrix: &Matrix, search: &mut Search<'_>, state: &State, at_most: f64) {
    let last = at_most * (1.0 + search::SAME);
    let mut low = search::bound(matrix, state);
    loop {
        let gap = last - low;
        let cut = if gap < LAST_STEP * last {
            last
        } else {
            low + gap * STEP
        };
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
    children
        .iter()
        .fold(matrix.columns[first].cost, |sum, child| {
            sum + child.chance * low(&child.state)
        })
}

/// Nodes that a tree may have: enough for any problem in which every hypothesis decides every test.
pub(super) fn limit(matrix: &Matrix, budget: Budget) -> usize {
    budget.states.max(matrix.groups.len())
}

fn greedy_tree(matrix: &Matrix, mut first: Option<usize>, by: By, budget: Budget) -> Tree {
    let price = |at: usize| matrix.columns[at].cost;
    let choose = &mut |state: &State, view: &View, _| {
        first
            .take()
            .or_else(|| gain::best(matrix, state, view, by, &price))
    };
    grow(matrix, &Prices::Fixed, None, limit(matrix, budget), choose)
}
