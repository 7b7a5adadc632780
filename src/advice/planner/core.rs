//! The core of a state: groups of which every pair is [apart](mod@super::bounds), and what the tests are to them.

use std::borrow::Cow;

use fixedbitset::FixedBitSet;

use super::costs::{Costs, number};
use super::matrix::Matrix;
use super::offer::Offer;
use super::view::{Tally, View};

/// The core of a state: all of it if every pair is apart, else the heaviest groups that fit.
pub(super) fn core<'v>(matrix: &Matrix, view: &'v View<'v>) -> Cow<'v, View<'v>> {
    let Some(apart) = &matrix.apart else {
        return Cow::Borrowed(view);
    };
    let mut order: Vec<usize> = (0..view.members.len()).collect();
    order.sort_by(|&a, &b| view.weights[b].total_cmp(&view.weights[a]).then(a.cmp(&b)));
    let mut chosen: Vec<usize> = Vec::new();
    let fits = |apart: &FixedBitSet, chosen: &[usize]| chosen.iter().all(|&c| apart.contains(view.members[c]));
    for place in order {
        if fits(&apart[view.members[place]], &chosen) {
            chosen.push(place);
        }
    }
    chosen.reverse();
    let members = chosen.iter().map(|&place| view.members[place]).collect();
    let weights = chosen.iter().map(|&place| view.weights[place]).collect();
    Cow::Owned(View::new(members, weights))
}

/// The core of a state and its tests, for the [chain](super::chain) and [purse](super::purse) bounds.
#[derive(Debug)]
pub(super) struct Core {
    /// The weights of its groups, rising.
    pub(super) weights: Vec<f64>,
    /// Their sum.
    pub(super) weight: f64,
    /// Weight times entropy in bits.
    pub(super) bits: f64,
    /// The tests on offer, cheapest first.
    pub(super) sides: Vec<Side>,
    /// The most answers of one.
    pub(super) answers: f64,
}

/// A test as the core sees it.
#[derive(Debug)]
pub(super) struct Side {
    /// What it costs.
    pub(super) cost: f64,
    /// The weight outside its heaviest answer.
    pub(super) side: f64,
    /// The binary logarithm of how many answers it can have,
    pub(super) bits: f64,
    /// and of one less.
    pub(super) bits_off: f64,
}

impl Core {
    /// The core as the bounds need it.
    pub(super) fn new(matrix: &Matrix, core: &View<'_>, offers: &[Offer], costs: &Costs) -> Self {
        let weight: f64 = core.weights.iter().sum();
        let bits = |w: &f64| -w * (w / weight).log2();
        let mut tally = Tally::default();
        let side = |offer: &Offer| {
            let heaviest = if matrix.apart.is_some() {
                tally.take(&matrix.columns[offer.column], core);
                tally.mass.iter().copied().fold(0.0, f64::max)
            } else {
                offer.heaviest
            };
            let (bits, bits_off) = match offer.answers {
                2 => (1.0, 0.0),
                answers => (number(answers).log2(), (number(answers) - 1.0).log2()),
            };
            Side { cost: offer.cost, side: (weight - heaviest).max(0.0), bits, bits_off }
        };
        Self {
            weight,
            bits: core.weights.iter().filter(|w| **w > 0.0).map(bits).sum(),
            sides: offers.iter().map(side).collect(),
            weights: core.weights.clone(),
            answers: number(costs.answers),
        }
    }

    /// The costs of the cheapest and of the dearest test.
    pub(super) fn prices(&self) -> (f64, f64) {
        let cost = |side: Option<&Side>| side.map_or(0.0, |side| side.cost);
        (cost(self.sides.first()), cost(self.sides.last()))
    }
}
