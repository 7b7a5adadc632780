//! What the planner is asked: weights of the hypotheses, and tests as tables of chances.
//!
//! Plain numbers only, checked once here, so that the rest of the planner can rely on them. It must
//! not know what a hypothesis or a test stands for.

use super::refused::Refused;

/// How far the chances of one row may be from adding up to 1 before the row is refused.
const ROW_TOLERANCE: f64 = 1e-6;

/// Hypotheses still open, with their weights, and the tests that may tell them apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// One weight for each hypothesis: finite, none negative, not all 0. They need not add up to 1.
    pub weights: Vec<f64>,
    /// The tests on offer. Their places in this list are the numbers used in every answer.
    pub tests: Vec<Test>,
}

/// One test: what it costs and which answer each hypothesis would give.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// What taking it costs, in any one unit (minutes, say); finite and not negative.
    pub cost: f64,
    /// How many different answers it has (2 for pass and fail).
    pub answers: usize,
    /// For each hypothesis the chance of each answer; each row adds up to 1. A hypothesis that decides
    /// the answer has one 1.0; one that leaves it undecided has its chance spread over several answers.
    pub likelihood: Vec<Vec<f64>>,
}

impl Test {
    /// A test whose answer every hypothesis decides: `answer_of[h]` is the answer of hypothesis `h`.
    /// It has as many answers as the largest number named, plus one, and at least two.
    #[must_use]
    pub fn decided(cost: f64, answer_of: &[usize]) -> Self {
        let answers = answer_of.iter().map(|answer| answer + 1).fold(2, usize::max);
        let row = |&answer: &usize| (0..answers).map(|a| if a == answer { 1.0 } else { 0.0 }).collect();
        Self { cost, answers, likelihood: answer_of.iter().map(row).collect() }
    }
}

impl Problem {
    /// Whether the numbers make sense.
    ///
    /// # Errors
    /// The first entry that does not, weights before tests.
    pub fn check(&self) -> Result<(), Refused> {
        if self.weights.is_empty() {
            return Err(Refused::NoHypothesis);
        }
        for (hypothesis, &found) in self.weights.iter().enumerate() {
            if !found.is_finite() || found < 0.0 {
                return Err(Refused::Weight { hypothesis, found });
            }
        }
        let found: f64 = self.weights.iter().sum();
        if !found.is_finite() || found <= 0.0 {
            return Err(Refused::Total { found });
        }
        self.tests.iter().enumerate().try_for_each(|(test, column)| column.check(test, self.weights.len()))
    }
}

impl Test {
    fn check(&self, test: usize, hypotheses: usize) -> Result<(), Refused> {
        if !self.cost.is_finite() || self.cost < 0.0 {
            return Err(Refused::Cost { test, found: self.cost });
        }
        if self.likelihood.len() != hypotheses {
            return Err(Refused::Rows { test, found: self.likelihood.len(), expected: hypotheses });
        }
        self.likelihood
            .iter()
            .enumerate()
            .try_for_each(|(hypothesis, row)| check_row(row, self.answers, test, hypothesis))
    }
}

fn check_row(row: &[f64], expected: usize, test: usize, hypothesis: usize) -> Result<(), Refused> {
    if row.len() != expected {
        return Err(Refused::Answers { test, hypothesis, found: row.len(), expected });
    }
    if let Some(&found) = row.iter().find(|chance| !chance.is_finite() || **chance < 0.0) {
        return Err(Refused::Chance { test, hypothesis, found });
    }
    let found: f64 = row.iter().sum();
    if (found - 1.0).abs() > ROW_TOLERANCE {
        return Err(Refused::Row { test, hypothesis, found });
    }
    Ok(())
}
