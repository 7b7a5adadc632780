//! What one more answer is worth in a state: information gain in bits, alone and per unit of cost.

use super::matrix::{Column, Matrix, UNDECIDED, entropy};
use super::state::State;
use super::view::{Tally, View};

/// Two scores closer than this, relatively, are the same score; then the lower number goes first.
const SAME: f64 = 1e-12;

/// What a greedy choice goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The information gain alone.
    Gain,
    /// The information gain for each unit of cost.
    GainPerCost,
}

/// Rounding noise around nothing is nothing.
pub(super) fn cleaned(gain: f64) -> f64 {
    if gain < 1e-13 { 0.0 } else { gain }
}

/// A gain for each unit of cost.
pub(super) fn per_cost(gain: f64, cost: f64) -> f64 {
    if gain <= 0.0 { 0.0 } else { gain / cost }
}

/// Twelve leading digits, so that rounding noise does not decide between equal scores.
pub(super) fn rounded(score: f64) -> f64 {
    if score == 0.0 || !score.is_finite() {
        return score;
    }
    let scale = 10_f64.powi(11 - clamp(score.abs().log10().floor()));
    let rounded = (score * scale).round() / scale;
    if rounded.is_finite() { rounded } else { score }
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to a range that fits")]
fn clamp(exponent: f64) -> i32 {
    exponent.clamp(-290.0, 290.0) as i32
}

/// Information gain of a tallied test in a state, in bits.
pub(super) fn gain(column: &Column, view: &View<'_>, tally: &Tally) -> f64 {
    let mut doubt = 0.0;
    if tally.open {
        for (&group, &weight) in view.members.iter().zip(&view.weights) {
            if column.answer[group] == UNDECIDED {
                doubt += weight * column.doubt[group];
            }
        }
    }
    cleaned(entropy(&tally.mass) - doubt)
}

/// The column of the test on offer with the best score, ties by the lowest test number; none if no
/// test is on offer. `price` gives the cost of a column.
pub(super) fn best(
    matrix: &Matrix,
    state: &State,
    view: &View<'_>,
    by: By,
    price: &dyn Fn(usize) -> f64,
) -> Option<usize> {
    best_few(matrix, state, view, by, price, 1).first().copied()
}

/// The best few columns, best first.
pub(super) fn best_few(
    matrix: &Matrix,
    state: &State,
    view: &View<'_>,
    by: By,
    price: &dyn Fn(usize) -> f64,
    few: usize,
) -> Vec<usize> {
    let mut top: Vec<(f64, usize, usize)> = Vec::with_capacity(few + 1);
    let mut tally = Tally::default();
    for (at, column) in matrix.columns.iter().enumerate() {
        if state.has_used(at) {
            continue;
        }
        tally.take(column, view);
        if !tally.rules_out(view.members.len()) {
            continue;
        }
        let gain = gain(column, view, &tally);
        let score = match by {
            By::Gain => gain,
            By::GainPerCost => per_cost(gain, price(at)),
        };
        let behind = |other: &(f64, usize, usize)| ahead((score, column.test), (other.0, other.1));
        let place = top.iter().position(behind).unwrap_or(top.len());
        top.insert(place, (score, column.test, at));
        top.truncate(few);
    }
    top.into_iter().map(|(_, _, at)| at).collect()
}

fn ahead(a: (f64, usize), b: (f64, usize)) -> bool {
    let same = a.0 == b.0 || (a.0 - b.0).abs() <= SAME * a.0.abs().max(b.0.abs());
    if same { a.1 < b.1 } else { a.0 > b.0 }
}
