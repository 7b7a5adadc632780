//! The tests on offer in a state, each split once.

use super::matrix::{Column, Matrix};
use super::state::State;
use super::view::{Plain, Tally, View};

/// A test on offer and what it would do.
#[derive(Debug, Clone)]
pub(super) struct Offer {
    /// Its column.
    pub(super) column: usize,
    /// What it costs.
    pub(super) cost: f64,
    /// Where its answers begin in [`Offers::parts`].
    parts: usize,
    /// How many different answers can come.
    pub(super) answers: usize,
    /// The chance of its likeliest answer.
    pub(super) heaviest: f64,
    /// Whether a group left leaves it open.
    pub(super) open: bool,
    /// If it has two answers and one of them comes from a single group: the weight of that group.
    pub(super) single: Option<f64>,
}

/// An answer that can come.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// Its chance.
    pub(super) mass: f64,
    /// How many groups could give it.
    pub(super) count: usize,
    /// The entropy of the groups that give it in bits, if all decide.
    pub(super) bits: f64,
}

/// The tests on offer, cheapest first. Its lists are filled anew for each state.
#[derive(Debug, Default)]
pub(super) struct Offers {
    /// The tests.
    pub(super) list: Vec<Offer>,
    parts: Vec<Part>,
    /// Of each test taken so far how it splits the groups: equal for equal splits, seldom equal for different ones.
    splits: Vec<u64>,
    tally: Tally,
}

/// The tests on offer in a state.
pub(super) fn offers(matrix: &Matrix, state: &State, view: &View<'_>) -> Offers {
    let mut offers = Offers::default();
    offers.fill(matrix, state, view);
    offers
}

impl Offers {
    /// Fills in the tests on offer. Of decided tests that split the groups left in the same way only the cheapest (then
    /// the lowest number) is kept: after it the others would tell nothing.
    pub(super) fn fill(&mut self, matrix: &Matrix, state: &State, view: &View<'_>) {
        self.list.clear();
        self.parts.clear();
        self.splits.clear();
        for (at, column) in matrix.columns.iter().enumerate() {
            if state.has_used(at) {
                continue;
            }
            self.tally.take(column, view);
            if self.tally.rules_out(view.members.len()) && !self.is_known(matrix, column, view) {
                self.add(at, column);
            }
        }
    }

    /// The answers of a test.
    pub(super) fn parts(&self, offer: &Offer) -> &[Part] {
        &self.parts[offer.parts..offer.parts + offer.answers]
    }

    /// Whether a cheaper test splits the groups in the same way.
    fn is_known(&mut self, matrix: &Matrix, column: &Column, view: &View<'_>) -> bool {
        let split = match &view.plain {
            _ if self.tally.open => u64::MAX,
            Some(plain) => fingerprint_of_sets(column, plain),
            None => fingerprint(column, view),
        };
        let mut alike = self.list.iter().zip(&self.splits).filter(|(other, known)| **known == split && !other.open);
        let known =
            !self.tally.open && alike.any(|(other, _)| is_same_split(column, &matrix.columns[other.column], view));
        if !known {
            self.splits.push(split);
        }
        known
    }

    fn add(&mut self, at: usize, column: &Column) {
        let tally = &self.tally;
        let start = self.parts.len();
        let all = tally.mass.iter().zip(&tally.count).zip(tally.bits());
        let part = |((mass, count), bits): ((&f64, &usize), f64)| Part { mass: *mass, count: *count, bits };
        self.parts.extend(all.map(part).filter(|part| part.count > 0));
        let parts = &self.parts[start..];
        let alone = parts.iter().find(|part| part.count == 1 && parts.len() == 2 && !tally.open);
        self.list.push(Offer {
            column: at,
            cost: column.cost,
            parts: start,
            answers: parts.len(),
            heaviest: parts.iter().map(|part| part.mass).fold(0.0, f64::max),
            open: tally.open,
            single: alone.map(|part| part.mass),
        });
    }
}

/// Equal for equal splits, whatever the answers are called; seldom equal for different ones.
fn fingerprint(column: &Column, view: &View<'_>) -> u64 {
    let mut sums = vec![0_u64; column.answers];
    for &group in &view.members {
        let sum = &mut sums[column.answer[group]];
        *sum = sum.wrapping_add(scattered(group as u64 + 1));
    }
    sums.into_iter().map(scattered).fold(0, u64::wrapping_add)
}

/// The same, from the sets of groups by answer.
fn fingerprint_of_sets(column: &Column, plain: &Plain<'_>) -> u64 {
    let of = |set: &fixedbitset::FixedBitSet| {
        let blocks = plain.live.as_slice().iter().zip(set.as_slice());
        blocks.fold(0, |sum: u64, (live, set)| scattered(sum ^ (live & set) as u64))
    };
    column.sets.iter().map(of).fold(0, u64::wrapping_add)
}

/// Spreads a number over all bits (the finaliser of SplitMix64; Steele, Lea & Flood 2014).
fn scattered(number: u64) -> u64 {
    let once = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    twice ^ (twice >> 31)
}

/// Whether two decided tests split the groups in the same way.
fn is_same_split(one: &Column, other: &Column, view: &View<'_>) -> bool {
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    view.members.iter().all(|&group| {
        let pair = (one.answer[group], other.answer[group]);
        match pairs.iter().find(|known| known.0 == pair.0 || known.1 == pair.1) {
            Some(known) => *known == pair,
            None => {
                pairs.push(pair);
                true
            }
        }
    })
}
