//! Plans: the cheapest order with its proof or its gap, and greedy ones to compare it with.

use super::gain::By;
use super::matrix::Matrix;
use super::problem::Problem;
use super::refused::Refused;
use super::search;
use super::solution::{Solution, greedy_tree};
use super::state::State;
use super::tree::Tree;

/// How much work a plan may take, in states opened: the same budget gives the same plan on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// States that the exact search may open. If that is not enough, improving on greedy may open as
    /// many again. An order is written out for at most as many nodes, but never for fewer than there are hypotheses.
    pub states: usize,
}

/// Hypotheses times tests times states that a search gets through in about a second on one core.
const CELLS: usize = 500_000_000;

impl Budget {
    /// A budget worth about a second for a problem of this size: 100 000 states for a small one, 12 500 for
    /// 200 hypotheses by 200 tests, 2 000 for 500 by 500.
    #[must_use]
    pub fn for_problem(problem: &Problem) -> Self {
        let size = problem.weights.len().saturating_mul(problem.tests.len()).max(1);
        Self { states: (CELLS / size).clamp(100, 100_000) }
    }
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
        Self { tree, expected_cost, lower_bound, exact, states }
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
pub fn plan_starting_with(problem: &Problem, test: usize, budget: Budget) -> Result<Option<Plan>, Refused> {
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
    Ok(Plan::new(tree, search::bound(&matrix, &State::start(&matrix)), states))
}
