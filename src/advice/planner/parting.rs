//! The parting bound: if a hypothesis h is the true one, the plan goes on until each other one is ruled out, or every test
//! that could part the two has been taken.
//!
//! Say that a test *parts* h from g if some answer is possible for one of the two only. While both are left, such a test
//! is on offer, so a path ends with both only after all of them. Where h is true, test t rules g out with the chance q of
//! the answers that g does not allow, whatever was answered before, for answers hang on h alone. So before g is gone the
//! tests that part them are paid one after the other until one succeeds: least in the order of falling q / c (Mitten
//! 1960), those with q = 0 last. Spending on the tests that part h from g is at least that; and on tests that part h from
//! another g', those already counted taken as free, at least the same again. Summed over all h with their weights that is
//! a lower bound. It is good where faults leave most tests open, so that few pairs are [apart](mod@super::bounds) and the
//! other bounds see little. It is ours, not a published one; the tests compare it with exhaustive search.

use super::matrix::Matrix;
use super::offer::Offer;
use super::view::View;

/// Of how many hypotheses, the heaviest, pairs are looked at.
const MOST: usize = 200;
/// How many others are counted for each hypothesis.
const OTHERS: usize = 16;

/// A test that parts two hypotheses, if the first is true.
#[derive(Clone, Copy)]
struct Parting {
    /// Its place among the offers.
    offer: usize,
    /// The chance that it rules the other out.
    chance: f64,
}

/// The parting bound of a state with these tests on offer.
pub(super) fn parting(matrix: &Matrix, view: &View<'_>, offers: &[Offer]) -> f64 {
    let mut places: Vec<usize> = (0..view.members.len()).collect();
    places.sort_by(|&a, &b| view.weights[b].total_cmp(&view.weights[a]).then(a.cmp(&b)));
    places.truncate(MOST);
    let of = |h: usize| -> f64 {
        let others = places.iter().filter(|&&g| g != h);
        let all: Vec<Vec<Parting>> =
            others.map(|&g| partings(matrix, view.members[h], view.members[g], offers)).collect();
        paid(&all, offers)
    };
    places.iter().map(|&h| view.weights[h] * of(h)).sum()
}

/// The tests that part two groups, the first being the true one.
fn partings(matrix: &Matrix, truth: usize, other: usize, offers: &[Offer]) -> Vec<Parting> {
    let parts = |(place, offer): (usize, &Offer)| {
        let column = &matrix.columns[offer.column];
        let (mut chance, mut differs) = (0.0, false);
        for answer in 0..column.answers {
            let (own, its) = (column.chance_of(truth, answer), column.chance_of(other, answer));
            differs |= (own > 0.0) != (its > 0.0);
            if its <= 0.0 {
                chance += own;
            }
        }
        differs.then_some(Parting { offer: place, chance })
    };
    offers.iter().enumerate().filter_map(parts).collect()
}

/// What is paid at least to rule all others out, each with the tests that part it.
fn paid(others: &[Vec<Parting>], offers: &[Offer]) -> f64 {
    let mut costs: Vec<f64> = offers.iter().map(|offer| offer.cost).collect();
    let mut sum = 0.0;
    for _ in 0..OTHERS {
        let dearest = others.iter().map(|tests| (least(tests, &costs), tests));
        let Some((cost, tests)) = dearest.reduce(|a, b| if b.0 > a.0 { b } else { a }) else { break };
        if cost <= 0.0 {
            break;
        }
        sum += cost;
        tests.iter().for_each(|test| costs[test.offer] = 0.0);
    }
    sum
}

/// The least expected cost of taking tests until one succeeds or all are taken.
fn least(tests: &[Parting], costs: &[f64]) -> f64 {
    let worth = |test: &Parting| match (test.chance > 0.0, costs[test.offer] > 0.0) {
        (true, true) => test.chance / costs[test.offer],
        (true, false) => f64::INFINITY,
        (false, _) => 0.0,
    };
    let mut order = tests.to_vec();
    order.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
    let (mut sum, mut left) = (0.0, 1.0);
    for test in order {
        sum += left * costs[test.offer];
        left *= (1.0 - test.chance).max(0.0);
    }
    sum
}
