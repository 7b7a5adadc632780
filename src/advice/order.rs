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

/// The most tests that are planned with: those that tell most for their minutes.
const MOST_TESTS: usize = 60;

/// A test of the order.
#[derive(Clone, PartialEq, Debug)]
pub struct OrderedTest {
    /// Of what.
    pub indication: crate::book::IndicationId,
    /// Under which setup.
    pub setup: crate::book::Setup,
    /// Its own time, in seconds.
    pub seconds: f64,
    /// Its answers.
    pub cells: Vec<Cell>,
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
        let tells = chances.windows(2).any(|pair| matches!(pair, [a, b] if a != b));
        if tells && outlook.cells.len() > 1 {
            let (seconds, _) = reach::seconds(&book.indication(found.indication).steps);
            let Candidate { indication, setup, .. } = found;
            tests.push((OrderedTest { indication, setup, seconds, cells: outlook.cells }, chances));
        }
    }
    let tests = best(tests, &weights);
    let ways = ways(book, job, &tests);
    let (tests, rows): (Vec<OrderedTest>, Vec<Vec<Vec<f64>>>) = tests.into_iter().unzip();
    let plan = if tests.is_empty() || sets.len() < 2 {
        None
    } else {
        let columns = tests.iter().zip(rows).enumerate();
        let columns = columns.map(|(n, (test, likelihood))| Test {
            cost: ways.cost(None, n),
            answers: test.cells.len(),
            likelihood,
        });
        let problem = Problem { weights, tests: columns.collect() };
        Some(plan_from(&problem, &ways, None, Budget::for_problem(&problem))?)
    };
    Ok(MeasuringOrder { sets, tests, plan, handed_over: stopped.len() })
}

/// The tests that tell most for their minutes, in book order.
fn best(tests: Vec<(OrderedTest, Vec<Vec<f64>>)>, weights: &[f64]) -> Vec<(OrderedTest, Vec<Vec<f64>>)> {
    if tests.len() <= MOST_TESTS {
        return tests;
    }
    let worth =
        |(test, rows): &(OrderedTest, Vec<Vec<f64>>)| super::pool::information(rows, weights) / test.seconds.max(1.0);
    let mut ranked: Vec<(usize, f64)> = tests.iter().map(worth).enumerate().collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let kept: Vec<usize> = ranked.into_iter().take(MOST_TESTS).map(|(place, _)| place).collect();
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
