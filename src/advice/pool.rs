//! The hypotheses that advice looks at, with their weights, and what an answer would tell about them.

use crate::book::FaultId;
use crate::reasoning::Judgement;

use super::outlook::Asking;
use crate::reasoning::likelihood::Table;

/// The most hypotheses that advice looks at, the heaviest first.
pub(crate) const MOST: usize = 2_000;

/// Hypotheses with weights that add up to 1.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Pool {
    /// The faults of each; none for what the book doesn't cover.
    pub(crate) sets: Vec<Vec<FaultId>>,
    /// Its weight.
    pub(crate) weights: Vec<f64>,
}

/// The chances of answers under each hypothesis of a pool; hypotheses of which the book says the same share a row.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Rows {
    /// The different rows.
    pub(crate) rows: Vec<Vec<f64>>,
    /// The row of each hypothesis.
    pub(crate) of: Vec<usize>,
}

impl Rows {
    /// The row of a hypothesis.
    pub(crate) fn row(&self, hypothesis: usize) -> &[f64] {
        self.of.get(hypothesis).and_then(|at| self.rows.get(*at)).map_or(&[], Vec::as_slice)
    }
}

impl Pool {
    /// The hypotheses of a judgement, the heaviest if there are too many.
    pub(crate) fn of(judgement: &Judgement) -> Self {
        let mut all: Vec<(Vec<FaultId>, f64)> =
            judgement.hypotheses.iter().map(|h| (h.faults.clone(), h.weight)).collect();
        if all.len() > MOST {
            all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            all.truncate(MOST);
        }
        let total: f64 = all.iter().map(|(_, weight)| weight).sum();
        let scale = if total > 0.0 { 1.0 / total } else { 0.0 };
        let (sets, weights) = all.into_iter().map(|(set, weight)| (set, weight * scale)).unzip();
        Self { sets, weights }
    }

    /// The rows of a table.
    pub(crate) fn rows(&self, asking: &Asking<'_>, table: &Table) -> Rows {
        let mentioned = table.mentioned(asking.book);
        let mut rows = Vec::new();
        let mut silent: Option<usize> = None;
        let mut of = Vec::with_capacity(self.sets.len());
        for set in &self.sets {
            let says = set.is_empty() || set.iter().any(|fault| mentioned.get(fault.place()).copied().unwrap_or(false));
            if let (false, Some(at)) = (says, silent) {
                of.push(at);
                continue;
            }
            if !says {
                silent = Some(rows.len());
            }
            of.push(rows.len());
            rows.push(asking.row(table, set));
        }
        Rows { rows, of }
    }

    /// How many hypotheses name faults.
    fn named(&self) -> usize {
        self.sets.iter().filter(|set| !set.is_empty()).count()
    }

    /// The weights that information is reckoned by. What the book doesn't cover is never ruled out, so a test is not
    /// taken for its sake while several faults are left; with one left it counts, for then a test confirms.
    fn counted(&self) -> Vec<f64> {
        let all = self.named() < 2;
        let counted: Vec<f64> =
            self.sets.iter().zip(&self.weights).map(|(set, w)| if all || !set.is_empty() { *w } else { 0.0 }).collect();
        let total: f64 = counted.iter().sum();
        counted.into_iter().map(|w| if total > 0.0 { w / total } else { 0.0 }).collect()
    }

    /// The weight behind each different row, as information is reckoned.
    pub(crate) fn masses(&self, rows: &Rows) -> Vec<f64> {
        let mut masses = vec![0.0; rows.rows.len()];
        for (at, weight) in rows.of.iter().zip(self.counted()) {
            if let Some(mass) = masses.get_mut(*at) {
                *mass += weight;
            }
        }
        masses
    }
}

/// Information that an answer gives about which row is the true one, in bits: the entropy of the answers less what is
/// left of it once the row is known.
pub(crate) fn information(rows: &[Vec<f64>], masses: &[f64]) -> f64 {
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let mut mixed = vec![0.0; width];
    let mut doubt = 0.0;
    for (row, mass) in rows.iter().zip(masses) {
        doubt += mass * entropy(row);
        mixed.iter_mut().zip(row).for_each(|(sum, chance)| *sum += mass * chance);
    }
    (entropy(&mixed) - doubt).max(0.0)
}

fn entropy(chances: &[f64]) -> f64 {
    chances.iter().filter(|p| **p > 0.0).fold(0.0, |sum, p| sum - p * p.log2())
}

#[cfg(test)]
mod tests {
    use super::super::planner::{Problem, Test, myopic};
    use super::information;

    #[test]
    fn information_is_what_the_planner_reckons_by_itself() {
        // Two implementations of de Kleer & Williams 1987 (expected entropy after a measurement), held together.
        let mut state = 7_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as f64 / f64::from(1_u32 << 31)
        };
        for _ in 0..200 {
            let weights: Vec<f64> = (0..5).map(|_| next() + 0.01).collect();
            let total: f64 = weights.iter().sum();
            let masses: Vec<f64> = weights.iter().map(|w| w / total).collect();
            let rows: Vec<Vec<f64>> = (0..5)
                .map(|_| {
                    let row: Vec<f64> = (0..3).map(|_| if next() < 0.3 { 0.0 } else { next() + 1e-3 }).collect();
                    let sum: f64 = row.iter().sum();
                    if sum > 0.0 { row.iter().map(|p| p / sum).collect() } else { vec![1.0, 0.0, 0.0] }
                })
                .collect();
            let problem = Problem { weights, tests: vec![Test { cost: 1.0, answers: 3, likelihood: rows.clone() }] };
            let expected = myopic(&problem).unwrap()[0].gain_bits;
            assert!((information(&rows, &masses) - expected).abs() < 1e-9);
        }
    }
}
