//! Plans: greedy ones, and the cheapest with its proof or its gap.

use super::gain::{self, By};
use super::matrix::Matrix;
use super::problem::Problem;
use super::refused::Refused;
use super::rollout::Rollout;
use super::search::{self, Search};
use super::state::{State, View};
use super::tree::{Prices, Tree, grow};

/// How much work a plan may take, in states opened: the same budget gives the same plan on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// States that the exact search may open. Improving on greedy, if that is not enough, may open as many
    /// again, and the order is written out for at most as many nodes.
    pub states: usize,
}

impl Default for Budget {
    fn default() -> Self {
        Self { states: 20_000 }
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

    pub(super) fn new(tree: Tree, lower_bound: f64, states: usize) -> Self {
        let expected_cost = tree.expected_cost();
        let exact = tree.is_whole() && lower_bound >= expected_cost * (1.0 - search::SAME);
        let lower_bound = if exact { expected_cost } else { lower_bound };
        Self { tree, expected_cost, lower_bound, exact, states }
    }
}

/// The order that takes the best test at each step without looking further, with its bound.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn greedy(problem: &Problem, by: By, budget: Budget) -> Result<Plan, Refused> {
    problem.check()?;
    let matrix = Matrix::new(problem);
    let tree = greedy_tree(&matrix, by, budget);
    let bound = search::root_bound(&matrix, &State::start(&matrix));
    let states = tree.nodes.len();
    Ok(Plan::new(tree, bound, states))
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
    Ok(Solution::find(&matrix, budget).plan)
}

/// A plan and the search that may go on answering for other states.
pub(super) struct Solution<'m> {
    pub(super) plan: Plan,
    pub(super) search: Search<'m>,
}

impl<'m> Solution<'m> {
    pub(super) fn find(matrix: &'m Matrix, budget: Budget) -> Self {
        let start = State::start(matrix);
        let greedy = greedy_tree(matrix, By::GainPerCost, budget);
        let written = greedy.nodes.len();
        let mut search = Search::new(matrix, budget.states);
        if !greedy.is_whole() {
            let plan = Plan::new(greedy, search::root_bound(matrix, &start), written);
            return Self { plan, search };
        }
        let known = search.solve(&start, greedy.expected_cost() * (1.0 + search::SAME), 0);
        let states = written + search.opened; if std::env::var("SHOW").is_ok() { eprintln!("{:?}", search.count); }
        let plan = if known.solved() {
            Plan::new(searched_tree(matrix, &search, budget), known.low, states)
        } else {
            let bound = known.low.max(search::root_bound(matrix, &start));
            let mut rollout = Rollout::new(matrix, &search, budget.states);
            let choose = &mut |state: &State, view: &View, _| rollout.choose(state, view);
            let better = grow(matrix, &Prices::Fixed, None, limit(matrix, budget), choose);
            let kept = [better, greedy].into_iter().filter(Tree::is_whole);
            let tree = kept.min_by(|a, b| a.expected_cost().total_cmp(&b.expected_cost()));
            Plan::new(tree.unwrap_or(Tree { nodes: Vec::new() }), bound, states + rollout.opened)
        };
        Self { plan, search }
    }
}

/// Nodes that a tree may have: enough for any problem in which every hypothesis decides every test.
fn limit(matrix: &Matrix, budget: Budget) -> usize {
    budget.states.max(matrix.groups.len())
}

fn greedy_tree(matrix: &Matrix, by: By, budget: Budget) -> Tree {
    let price = |at: usize| matrix.columns[at].cost;
    let choose = &mut |state: &State, view: &View, _| gain::best(matrix, state, view, by, &price);
    grow(matrix, &Prices::Fixed, None, limit(matrix, budget), choose)
}

fn searched_tree(matrix: &Matrix, search: &Search<'_>, budget: Budget) -> Tree {
    let choose = &mut |state: &State, view: &View, _| choice(matrix, search, state, view);
    grow(matrix, &Prices::Fixed, None, limit(matrix, budget), choose)
}

/// The searched test, or the greedy one in a state that has no weight and was not searched.
pub(super) fn choice(matrix: &Matrix, search: &Search<'_>, state: &State, view: &View) -> Option<usize> {
    let price = |at: usize| matrix.columns[at].cost;
    let greedy = || gain::best(matrix, state, view, By::GainPerCost, &price);
    search.known(state).and_then(|known| known.column).or_else(greedy)
}
