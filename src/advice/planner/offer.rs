//! The tests on offer in a state, each split once.

use std::collections::HashMap;

use super::matrix::Matrix;
use super::state::State;
use super::view::{Tally, View};

/// A test on offer and what it would do.
#[derive(Debug, Clone)]
pub(super) struct Offer {
    /// Its column.
    pub(super) column: usize,
    /// What it costs.
    pub(super) cost: f64,
    /// The chance of each answer.
    pub(super) mass: Vec<f64>,
    /// How many groups could give each answer.
    pub(super) count: Vec<usize>,
    /// The entropy of each answer's groups in bits, if all decide.
    pub(super) bits: Vec<f64>,
    /// How many different answers can come.
    pub(super) answers: usize,
    /// Whether a group left leaves it open.
    pub(super) open: bool,
    /// If it has two answers and one of them comes from a single group: the place of that group in the view.
    pub(super) single: Option<usize>,
}

/// The tests on offer, cheapest first. Of decided tests that split the groups left in the same way only
/// the cheapest (then the lowest number) is kept: after it the others would tell nothing.
pub(super) fn offers(matrix: &Matrix, state: &State, view: &View) -> Vec<Offer> {
    let mut offers: Vec<Offer> = Vec::new();
    let mut seen: HashMap<u64, Vec<usize>> = HashMap::new();
    let mut tally = Tally::default();
    for (column, table) in matrix.columns.iter().enumerate() {
        if state.has_used(column) {
            continue;
        }
        tally.take(table, view);
        if !tally.rules_out(view.members.len()) {
            continue;
        }
        if !tally.open {
            let alike = seen.entry(fingerprint(&table.answer, view, table.answers)).or_default();
            if alike.iter().any(|&other| same_split(&table.answer, &matrix.columns[other].answer, view)) {
                continue;
            }
            alike.push(column);
        }
        offers.push(Offer {
            column,
            cost: table.cost,
            mass: tally.mass.clone(),
            count: tally.count.clone(),
            bits: tally.bits(),
            answers: tally.answers(),
            open: tally.open,
            single: single(&tally, &table.answer, view),
        });
    }
    offers
}

/// Equal for equal splits, whatever the answers are called; seldom equal for different ones.
fn fingerprint(answer: &[usize], view: &View, answers: usize) -> u64 {
    let mut sums = vec![0_u64; answers];
    for &group in &view.members {
        let sum = &mut sums[answer[group]];
        *sum = sum.wrapping_add(scattered(group as u64 + 1));
    }
    sums.into_iter().map(scattered).fold(0, u64::wrapping_add)
}

/// Spreads a number over all bits (the finaliser of SplitMix64; Steele, Lea & Flood 2014).
fn scattered(number: u64) -> u64 {
    let once = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    twice ^ (twice >> 31)
}

/// Whether two decided tests split the groups in the same way.
fn same_split(a: &[usize], b: &[usize], view: &View) -> bool {
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    view.members.iter().all(|&group| {
        let pair = (a[group], b[group]);
        match pairs.iter().find(|known| known.0 == pair.0 || known.1 == pair.1) {
            Some(known) => *known == pair,
            None => {
                pairs.push(pair);
                true
            }
        }
    })
}

fn single(tally: &Tally, answer: &[usize], view: &View) -> Option<usize> {
    if tally.open || tally.answers() != 2 {
        return None;
    }
    let alone = tally.count.iter().position(|&count| count == 1)?;
    view.members.iter().position(|&group| answer[group] == alone)
}
