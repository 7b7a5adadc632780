//! The costs of the tests on offer, as the bounds need them.

use super::offer::Offer;

/// The costs of the tests on offer in a state, cheapest first, and the most answers one can have.
#[derive(Debug, Clone)]
pub(super) struct Costs {
    /// `cumulative[i]` is the cost of the `i` cheapest.
    cumulative: Vec<f64>,
    /// The most answers that one of them can have, at least 2.
    pub(super) answers: usize,
}

impl Costs {
    /// The costs of offers that come cheapest first.
    pub(super) fn new(offers: &[Offer]) -> Self {
        let mut cumulative = vec![0.0];
        let mut sum = 0.0;
        for offer in offers {
            sum += offer.cost;
            cumulative.push(sum);
        }
        let answers = offers.iter().map(|offer| offer.answers).fold(2, usize::max);
        Self { cumulative, answers }
    }

    /// The cost of the `count` cheapest without the one in place `without`.
    fn cheapest(&self, count: usize, without: Option<usize>) -> f64 {
        let upto = |count: usize| self.cumulative.get(count).or(self.cumulative.last()).copied().unwrap_or(0.0);
        match without {
            Some(place) if count > place => upto(count + 1) - (upto(place + 1) - upto(place)),
            _ => upto(count),
        }
    }

    /// The convex cost of a mean depth.
    pub(super) fn of_depth(&self, depth: f64, without: Option<usize>) -> f64 {
        let whole = whole(depth);
        let (low, high) = (self.cheapest(whole, without), self.cheapest(whole + 1, without));
        low + (depth - depth.floor()) * (high - low).max(0.0)
    }

    /// The cost of the dearest of the cheapest tests that a path of this mean depth needs.
    pub(super) fn marginal(&self, depth: f64) -> f64 {
        let needed = whole(depth.ceil()).max(1);
        self.cheapest(needed, None) - self.cheapest(needed - 1, None)
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a depth is small and not negative")]
fn whole(depth: f64) -> usize {
    depth.max(0.0) as usize
}

/// A small count as a number.
#[expect(clippy::cast_precision_loss, reason = "a count of answers is small")]
pub(super) fn number(count: usize) -> f64 {
    count as f64
}
