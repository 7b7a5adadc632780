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

    /// The weight behind each different row.
    pub(crate) fn masses(&self, rows: &Rows) -> Vec<f64> {
        let mut masses = vec![0.0; rows.rows.len()];
        for (at, weight) in rows.of.iter().zip(&self.weights) {
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

/// Experiment.
pub(crate) fn penalty() -> f64 {
    static MODE: std::sync::OnceLock<f64> = std::sync::OnceLock::new();
    *MODE.get_or_init(|| std::env::var("ADVICE_PEN").ok().and_then(|t| t.parse().ok()).unwrap_or(0.0))
}
/// Experiment.
pub(crate) fn mode() -> (f64, f64, bool) {
    static MODE: std::sync::OnceLock<(f64, f64, bool)> = std::sync::OnceLock::new();
    *MODE.get_or_init(|| {
        let text = std::env::var("ADVICE_MODE").unwrap_or_else(|_| "1,0,1".into());
        let n: Vec<f64> = text.split(',').filter_map(|t| t.parse().ok()).collect();
        (n[0], n[1], n[2] > 0.0)
    })
}

pub(crate) fn eliminated(pool: &Pool, row_of: &dyn Fn(usize) -> usize, rows: &[Vec<f64>], with_uncovered: bool) -> f64 {
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let (mut mass, mut sum) = (vec![0.0; rows.len()], vec![0.0; rows.len()]);
    for (n, w) in pool.weights.iter().enumerate() {
        if *w > 0.0 && (with_uncovered || !pool.sets[n].is_empty()) {
            mass[row_of(n)] += w;
            sum[row_of(n)] += w * w.log2();
        }
    }
    let doubt = |alive: &dyn Fn(usize) -> bool| {
        let m: f64 = (0..rows.len()).filter(|g| alive(*g)).map(|g| mass[g]).sum();
        let s: f64 = (0..rows.len()).filter(|g| alive(*g)).map(|g| sum[g]).sum();
        if m <= 0.0 { 0.0 } else { m.log2() - s / m }
    };
    let before = doubt(&|_| true);
    let mut after = 0.0;
    let mut total = 0.0;
    for c in 0..width {
        let p: f64 = (0..rows.len()).map(|g| mass[g] * rows[g].get(c).copied().unwrap_or(0.0)).sum();
        total += p;
        if p > 0.0 {
            after += p * doubt(&|g| rows[g].get(c).copied().unwrap_or(0.0) > 0.0);
        }
    }
    if total <= 0.0 { 0.0 } else { (before - after / total).max(0.0) }
}

fn entropy(chances: &[f64]) -> f64 {
    chances.iter().filter(|p| **p > 0.0).fold(0.0, |sum, p| sum - p * p.log2())
}
