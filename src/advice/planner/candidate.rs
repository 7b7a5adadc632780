//! A test that may come first in a state, and how closely it was looked at.

use super::costs::Costs;
use super::huffman;
use super::matrix::Matrix;
use super::offer::{Offer, Offers, Part};
use super::state::Child;

/// A test that may come first in a state.
pub(super) struct Candidate {
    /// Its column.
    pub(super) column: usize,
    /// Its number in the problem.
    pub(super) test: usize,
    /// What it costs.
    pub(super) cost: f64,
    /// No plan that starts with it costs less.
    pub(super) low: f64,
    /// How closely that was looked at.
    pub(super) look: Look,
    /// What its answers lead to, with lower values.
    pub(super) children: Vec<(Child, f64)>,
}

/// How closely a candidate was looked at so far.
pub(super) enum Look {
    /// Only the split; the children are not made yet.
    Split,
    /// The children by the quick bound.
    Quick,
    /// The children by all bounds.
    Thorough,
}

impl Candidate {
    /// The cost with the lower values of all answers.
    pub(super) fn total(&self) -> f64 {
        let add = |sum: f64, (child, low): &(Child, f64)| sum + child.chance * low;
        self.children.iter().fold(self.cost, add)
    }
}

/// The tests on offer with what their splits alone say about their cost.
pub(super) fn candidates(matrix: &Matrix, offers: &Offers, costs: &Costs) -> Vec<Candidate> {
    let rest = |offer: &Offer, place: usize| {
        let low = |part: &Part| {
            let counts = part.count > 1 && matrix.apart.is_none();
            if counts { part.mass * huffman::entropy(part.bits, costs, place) } else { 0.0 }
        };
        offers.parts(offer).iter().map(low).sum::<f64>()
    };
    let candidate = |(place, offer): (usize, &Offer)| Candidate {
        column: offer.column,
        test: matrix.columns[offer.column].test,
        cost: offer.cost,
        low: offer.cost + rest(offer, place),
        look: Look::Split,
        children: Vec::new(),
    };
    offers.list.iter().enumerate().map(candidate).collect()
}
