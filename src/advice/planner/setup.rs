//! Costs that depend on the test before: setting up and putting back belong to what a measurement takes.
//!
//! The exact search is for fixed costs only: with costs that depend on the test before, the state would have to hold
//! that test, and the bounds and collapsed splits would not hold. What can be said honestly: with each test at the
//! least it can ever cost, the proven bound holds for the real costs too. So two orders are priced as they really
//! are, the best one for the least costs and a greedy one that sees the real costs; the cheaper is returned with that
//! bound. If they meet, it is exact; else the gap is stated.

use super::gain::{self, By};
use super::grow::{Prices, grow};
use super::matrix::Matrix;
use super::myopic::{Value, ranked};
use super::plan::{Budget, Plan};
use super::problem::Problem;
use super::refused::Refused;
use super::rollout::Rollout;
use super::search::Search;
use super::solution::{Solution, most_nodes};
use super::state::State;
use super::tree::Tree;
use super::view::View;

/// What a test costs where the vehicle stands.
pub trait Cost {
    /// The cost of `test` right after the test `previous`; none: as the vehicle stands at the start.
    /// Finite and not negative, in the unit of [`Test::cost`](super::Test::cost), which it replaces.
    fn cost(&self, previous: Option<usize>, test: usize) -> f64;
}

/// All tests by falling worth per cost, with the costs of where the vehicle stands after the test `standing`.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`], or a cost doesn't.
pub fn myopic_from(problem: &Problem, cost: &dyn Cost, standing: Option<usize>) -> Result<Vec<Value>, Refused> {
    problem.check()?;
    let costs = row(problem, cost, standing)?;
    Ok(ranked(problem, &costs))
}

/// A measuring order for costs that depend on the test before, with a proven lower bound.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`], or a cost doesn't.
pub fn plan_from(problem: &Problem, cost: &dyn Cost, standing: Option<usize>, budget: Budget) -> Result<Plan, Refused> {
    problem.check()?;
    let table = table(problem, cost, standing)?;
    let least = at_least(problem, &table, standing);
    let matrix = Matrix::new(&least);
    let solution = Solution::find(&matrix, None, budget);
    let prices = Prices::After(&table);
    let searched = repriced(&matrix, &solution.search, &prices, standing, budget);
    let greedy = greedy(&matrix, &prices, standing, budget);
    let states = solution.plan.states + searched.tests() + greedy.tests();
    let better = searched.expected_cost() <= greedy.expected_cost() && searched.is_whole();
    let tree = if better || !greedy.is_whole() && searched.is_whole() { searched } else { greedy };
    Ok(Plan::new(tree, solution.plan.lower_bound, states))
}

/// The order of the fixed least costs at its real cost.
fn repriced(
    matrix: &Matrix,
    search: &Search<'_>,
    prices: &Prices<'_>,
    standing: Option<usize>,
    budget: Budget,
) -> Tree {
    let mut rollout = Rollout::new(matrix, search, budget.states);
    let choose = &mut |state: &State, view: &View<'_>, _| rollout.choose(state, view);
    grow(matrix, prices, standing, most_nodes(matrix, budget), choose)
}

fn greedy(matrix: &Matrix, prices: &Prices<'_>, standing: Option<usize>, budget: Budget) -> Tree {
    let choose = &mut |state: &State, view: &View<'_>, previous| {
        let price = |at: usize| prices.of(matrix, previous, at);
        gain::best(matrix, state, view, By::GainPerCost, &price)
    };
    grow(matrix, prices, standing, most_nodes(matrix, budget), choose)
}

/// The problem with each test at the least that it can cost on any path.
fn at_least(problem: &Problem, table: &[Vec<f64>], standing: Option<usize>) -> Problem {
    let start = standing.map_or(0, |test| test + 1);
    let mut least = problem.clone();
    for (test, column) in least.tests.iter_mut().enumerate() {
        let rows = (1..table.len()).filter(|&row| row != test + 1).chain([start]);
        column.cost = rows.filter_map(|row| table.get(row)?.get(test).copied()).fold(f64::INFINITY, f64::min);
    }
    least
}

/// Row 0: from the start; row `p + 1`: after test `p`.
fn table(problem: &Problem, cost: &dyn Cost, standing: Option<usize>) -> Result<Vec<Vec<f64>>, Refused> {
    let mut table = vec![row(problem, cost, None)?];
    let last = problem.tests.len().max(standing.map_or(0, |test| test + 1));
    for previous in 0..last {
        table.push(row(problem, cost, Some(previous))?);
    }
    Ok(table)
}

fn row(problem: &Problem, cost: &dyn Cost, previous: Option<usize>) -> Result<Vec<f64>, Refused> {
    let checked = |test: usize| {
        let found = cost.cost(previous, test);
        if found.is_finite() && found >= 0.0 { Ok(found) } else { Err(Refused::Setup { previous, test, found }) }
    };
    (0..problem.tests.len()).map(checked).collect()
}
