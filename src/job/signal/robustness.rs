//! By how much a test over time holds or fails, sample by sample: robustness of signal temporal logic. A predicate's is
//! its margin, `not` is minus, `and` the least, `or` the greatest, always the least over the window, eventually the
//! greatest, until the greatest of leasts. Windows count samples and are cut off at the log's end.
//!
//! Source: Donze & Maler, FORMATS 2010; linear time by sliding extrema as in Donze, Ferrere & Maler 2013, after Lemire
//! 2006. Margins of different units must not be mixed: a command of 0 and 1 is best given as ± infinity.

use std::collections::VecDeque;

/// The margins of `one and other`.
pub fn and(one: &[f64], other: &[f64]) -> Vec<f64> {
    one.iter().zip(other).map(|(a, b)| a.min(*b)).collect()
}

/// The margins of `one or other`.
pub fn or(one: &[f64], other: &[f64]) -> Vec<f64> {
    one.iter().zip(other).map(|(a, b)| a.max(*b)).collect()
}

/// The margins of `not`.
pub fn not(margins: &[f64]) -> Vec<f64> {
    margins.iter().map(|margin| -margin).collect()
}

/// The margins of `one implies other`.
pub fn implies(one: &[f64], other: &[f64]) -> Vec<f64> {
    or(&not(one), other)
}

/// At each sample the least margin from there to the end, or over `window` further samples.
pub fn always(margins: &[f64], window: Option<usize>) -> Vec<f64> {
    extremes(margins, window, |new, old| new <= old)
}

/// At each sample the greatest margin from there to the end, or over `window` further samples.
pub fn eventually(margins: &[f64], window: Option<usize>) -> Vec<f64> {
    extremes(margins, window, |new, old| new >= old)
}

/// Sliding extrema from the end: a deque of samples, the extreme of the window in front (Lemire 2006).
fn extremes(margins: &[f64], window: Option<usize>, beats: fn(f64, f64) -> bool) -> Vec<f64> {
    let window = window.unwrap_or(margins.len());
    let mut deque: VecDeque<(usize, f64)> = VecDeque::new();
    let mut out = vec![0.0; margins.len()];
    for (at, (margin, place)) in margins.iter().zip(&mut out).enumerate().rev() {
        while deque.back().is_some_and(|(_, old)| beats(*margin, *old)) {
            deque.pop_back();
        }
        deque.push_back((at, *margin));
        while deque.front().is_some_and(|(old, _)| old - at > window) {
            deque.pop_front();
        }
        *place = deque.front().map_or(*margin, |(_, extreme)| *extreme);
    }
    out
}

/// At each sample: `other` comes within `window` further samples, and `one` holds until then (that sample included, as
/// in the reference).
pub fn until(one: &[f64], other: &[f64], window: usize) -> Vec<f64> {
    let from = |at: usize| {
        let (mut best, mut least) = (f64::NEG_INFINITY, f64::INFINITY);
        for (a, b) in one.iter().zip(other).skip(at).take(window + 1) {
            best = best.max(least.min(*b));
            least = least.min(*a);
        }
        best
    };
    (0..one.len().min(other.len())).map(from).collect()
}
