//! The whole measuring order from where a job stands: which test first, and for each answer which one then.
//!
//! What is solved: the tests on offer one at a time, each with several answers, some of them undecided by some faults,
//! at the least expected minutes until the faults left can't be told apart. A test costs its own time and the way from
//! the setup of the test before; the bound holds for the least that each test can ever cost. What only several tests
//! together decide is left to `next`, which asks again after every entry.

use crate::book::{Book, FaultId};
use crate::job::Job;
use crate::reasoning::Judgement;
use crate::reasoning::cells::Cell;

use super::candidates::{Candidate, candidates};
use super::outlook::Asking;
use super::planner::{Budget, Cost, Plan, Problem, Refused, Test, plan_from};
use super::pool::Pool;
use super::reach;

/// The most tests that are planned with, those that tell most for their minutes: where every fault decides every test,
const MOST_DECIDED: usize = 200;
/// and where faults leave answers open.
const MOST_UNDECIDED: usize = 30;

/// A test of the order.
#[derive(Clone, PartialEq, Debug)]
pub struct OrderedTest {
    /// Of what.
    pub indication: crate::book::IndicationId,
    /// Under which setup.
    pub setup: crate::book::Setup,
    /// Its own time, in seconds.
    pub seconds: f64,
    /// Its answers; cells that say the same of everything that is left are one answer.
    pub answers: Vec<Vec<Cell>>,
}

/// A measuring order. Costs are in seconds.
#[derive(Clone, PartialEq, Debug)]
pub struct MeasuringOrder {
    /// The sets of faults that it tells apart, by the plan's numbers.
    pub sets: Vec<Vec<FaultId>>,
    /// The tests, by the plan's numbers.
    pub tests: Vec<OrderedTest>,
    /// The order itself; none where no test on offer tells the faults apart.
    pub plan: Option<Plan>,
    /// Tests that a caution leaves to licensed or qualified staff, left out.
    pub handed_over: usize,
    /// Tests that were left out because there are too many: the order is held against orders of the others only.
    pub left_out: usize,
}

/// What each test costs after each other one.
struct Ways {
    first: Vec<f64>,
    after: Vec<Vec<f64>>,
}

impl Cost for Ways {
    fn cost(&self, previous: Option<usize>, test: usize) -> f64 {
        let row = previous.and_then(|previous| self.after.get(previous)).unwrap_or(&self.first);
        row.get(test).copied().unwrap_or(reach::USUAL_SECONDS)
    }
}

/// The measuring order of a job.
///
/// # Errors
/// The book's shares leave nothing to plan with.
pub fn order(book: &Book, job: &Job, judgement: &Judgement) -> Result<MeasuringOrder, Refused> {
    let asking = Asking::of(book, job, judgement);
    let pool = Pool::of(judgement);
    let facts = asking.facts();
    let (stopped, offered): (Vec<Candidate>, Vec<Candidate>) =
        candidates(book, job, &facts).into_iter().partition(|found| found.stop.is_some());
    // What the book doesn't cover is never ruled out and would only lengthen every path.
    let kept: Vec<usize> =
        (0..pool.sets.len()).filter(|n| pool.sets.get(*n).is_some_and(|set| !set.is_empty())).collect();
    let sets: Vec<Vec<FaultId>> = kept.iter().filter_map(|n| pool.sets.get(*n).cloned()).collect();
    let weights: Vec<f64> = kept.iter().filter_map(|n| pool.weights.get(*n).copied()).collect();
    let mut tests: Vec<(OrderedTest, Vec<Vec<f64>>)> = Vec::new();
    for found in offered {
        let outlook = asking.outlook(&found);
        let rows = pool.rows(&asking, &outlook.table);
        let chances: Vec<Vec<f64>> = kept.iter().map(|n| rows.row(*n).to_vec()).collect();
        let (answers, chances) = joined(outlook.cells, &chances);
        if answers.len() > 1 {
            let (seconds, _) = reach::seconds(&book.indication(found.indication).steps);
            let Candidate { indication, setup, .. } = found;
            tests.push((OrderedTest { indication, setup, seconds, answers }, chances));
        }
    }
    let all = tests.len();
    let tests = best(tests, &weights);
    let left_out = all - tests.len();
    let ways = ways(book, job, &tests);
    let (tests, rows): (Vec<OrderedTest>, Vec<Vec<Vec<f64>>>) = tests.into_iter().unzip();
    let plan = if tests.is_empty() || sets.len() < 2 {
        None
    } else {
        let columns = tests.iter().zip(rows).enumerate();
        let columns = columns.map(|(n, (test, likelihood))| Test {
            cost: ways.cost(None, n),
            answers: test.answers.len(),
            likelihood,
        });
        let problem = Problem { weights, tests: columns.collect() };
        let mut budget = Budget::for_problem(&problem);
        if undecided(&problem) {
            budget.states = (budget.states / UNDECIDED_COSTS).max(100);
        }
        Some(plan_from(&problem, &ways, None, budget)?)
    };
    Ok(MeasuringOrder { sets, tests, plan, handed_over: stopped.len(), left_out })
}

/// Answers that are in the same proportion likely under every hypothesis tell the same, so they are one.
fn joined(cells: Vec<Cell>, chances: &[Vec<f64>]) -> (Vec<Vec<Cell>>, Vec<Vec<f64>>) {
    let column =
        |answer: usize| -> Vec<f64> { chances.iter().map(|row| row.get(answer).copied().unwrap_or(0.0)).collect() };
    let mut answers: Vec<Vec<Cell>> = Vec::new();
    let mut columns: Vec<Vec<f64>> = Vec::new();
    for (place, cell) in cells.into_iter().enumerate() {
        let own = column(place);
        match columns.iter().position(|other| in_proportion(other, &own)) {
            Some(at) => {
                if let (Some(cells), Some(sums)) = (answers.get_mut(at), columns.get_mut(at)) {
                    cells.push(cell);
                    sums.iter_mut().zip(&own).for_each(|(sum, chance)| *sum += chance);
                }
            }
            None => {
                answers.push(vec![cell]);
                columns.push(own);
            }
        }
    }
    let row = |hypothesis: usize| columns.iter().map(|column| column.get(hypothesis).copied().unwrap_or(0.0)).collect();
    (answers, (0..chances.len()).map(row).collect())
}

fn in_proportion(one: &[f64], other: &[f64]) -> bool {
    let (a, b): (f64, f64) = (one.iter().sum(), other.iter().sum());
    (a > 0.0) == (b > 0.0) && one.iter().zip(other).all(|(x, y)| (x * b - y * a).abs() <= 1e-9 * a * b)
}

/// Whether some fault leaves some answer open.
fn undecided(problem: &Problem) -> bool {
    problem.tests.iter().flat_map(|test| &test.likelihood).flatten().any(|chance| *chance > 0.0 && *chance < 1.0)
}

/// How much dearer a state is where faults leave answers open: its weights are part of it.
const UNDECIDED_COSTS: usize = 16;

/// The tests that tell most for their minutes, in book order.
fn best(tests: Vec<(OrderedTest, Vec<Vec<f64>>)>, weights: &[f64]) -> Vec<(OrderedTest, Vec<Vec<f64>>)> {
    let open = tests.iter().flat_map(|(_, rows)| rows.iter().flatten()).any(|chance| *chance > 0.0 && *chance < 1.0);
    let most = if open { MOST_UNDECIDED } else { MOST_DECIDED };
    if tests.len() <= most {
        return tests;
    }
    let worth =
        |(test, rows): &(OrderedTest, Vec<Vec<f64>>)| super::pool::information(rows, weights) / test.seconds.max(1.0);
    let mut ranked: Vec<(usize, f64)> = tests.iter().map(worth).enumerate().collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let kept: Vec<usize> = ranked.into_iter().take(most).map(|(place, _)| place).collect();
    tests.into_iter().enumerate().filter(|(place, _)| kept.contains(place)).map(|(_, test)| test).collect()
}

fn ways(book: &Book, job: &Job, tests: &[(OrderedTest, Vec<Vec<f64>>)]) -> Ways {
    let from = |setup: &crate::book::Setup| -> Vec<f64> {
        let way = |test: &OrderedTest| {
            let steps = reach::steps(book, setup, &test.setup);
            steps.iter().fold(test.seconds, |sum, step| sum + step.seconds)
        };
        tests.iter().map(|(test, _)| way(test)).collect()
    };
    Ways { first: from(&job.setup), after: tests.iter().map(|(test, _)| from(&test.setup)).collect() }
}
