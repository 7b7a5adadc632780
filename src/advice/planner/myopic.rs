//! Which test is worth most now, looking one step ahead only. It must not know of plans.

use super::gain::{cleaned, per_cost, rounded};
use super::matrix::entropy;
use super::problem::Problem;
use super::refused::Refused;

/// What the answer to one test would be worth now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// The test's number.
    pub test: usize,
    /// Expected information about the hypotheses, in bits.
    pub gain_bits: f64,
    /// The same for each unit of cost; infinite for a free test that tells something, 0 for any that tells nothing.
    pub per_cost: f64,
    /// Whether some answer would rule out a hypothesis, and not only make it less likely.
    pub rules_out: bool,
}

/// All tests by falling worth per cost (ties: lowest number), for the choice of the next one.
///
/// Worth is mutual information between hypothesis and answer, in bits (after de Kleer & Williams,
/// *Diagnosing multiple faults*, AIJ 32, 1987, who choose the measurement of least expected entropy).
/// Tests that can rule out nothing but shift the weights are ranked too.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn myopic(problem: &Problem) -> Result<Vec<Value>, Refused> {
    problem.check()?;
    let costs: Vec<f64> = problem.tests.iter().map(|test| test.cost).collect();
    Ok(ranked(problem, &costs))
}

/// The same with other costs, one for each test; all has been checked.
pub(super) fn ranked(problem: &Problem, costs: &[f64]) -> Vec<Value> {
    let total: f64 = problem.weights.iter().sum();
    let weights: Vec<f64> = problem.weights.iter().map(|weight| weight / total).collect();
    let mut values: Vec<Value> = (0..problem.tests.len())
        .map(|test| {
            let (gain_bits, rules_out) = plain_gain(&problem.tests[test].likelihood, &weights);
            Value { test, gain_bits, per_cost: per_cost(gain_bits, costs[test]), rules_out }
        })
        .collect();
    values.sort_by(|a, b| rounded(b.per_cost).total_cmp(&rounded(a.per_cost)).then(a.test.cmp(&b.test)));
    values
}

fn plain_gain(rows: &[Vec<f64>], weights: &[f64]) -> (f64, bool) {
    let answers = rows.first().map_or(0, Vec::len);
    let mut mass = vec![0.0; answers];
    let mut count = vec![0_usize; answers];
    let mut doubt = 0.0;
    for (row, weight) in rows.iter().zip(weights) {
        for (answer, &chance) in row.iter().enumerate() {
            mass[answer] += weight * chance;
            count[answer] += usize::from(chance > 0.0);
            if chance > 0.0 && chance < 1.0 {
                doubt -= weight * chance * chance.log2();
            }
        }
    }
    let rules_out = count.iter().any(|&count| 0 < count && count < rows.len());
    (cleaned(entropy(&mass) - doubt), rules_out)
}
