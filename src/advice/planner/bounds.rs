//! What a plan costs at least, without searching it.
//!
//! Four bounds, each for another kind of book, and the largest counts: the convex Huffman bound (here),
//! the [pair](super::pairs), [chain](super::chain) and [purse](super::purse) bounds. All values are per unit of weight
//! of the state. All hold for tests with any number of answers and for groups that leave a test open.
//!
//! **Common ground.** Say that two groups are *apart* if some test leaves them no common answer. They
//! never share a leaf of a finished plan: where both are left, that test was not taken, and so is on
//! offer. If every group decides every test, all pairs are apart, because equal groups were merged. The
//! *core* of a state is a set of groups of which every pair is apart. A test on offer further down a plan is on
//! offer now, with at least as many answers; no test is taken twice on a path.
//!
//! **Convex Huffman bound** (after Pattipati & Alexandridis, *Application of heuristic search and
//! information theory to sequential fault diagnosis*, IEEE Trans. SMC 20(4), 1990, for two answers).
//! Let q be the weight of the core and D the largest number of answers that a test on offer can have, so
//! that a plan is a tree with at most D branches at a node. For each group of the core keep its
//! cheapest leaf and cut the rest away: a tree with one leaf for each group and at most D
//! branches is left. Its mean depth is at least that of the D-ary Huffman code of the weights, L (with
//! weightless leaves added until every merge is full). A leaf at depth d costs at least C(d), the d
//! cheapest tests on offer. C is convex, so by Jensen the core costs at least q C(L), and each other
//! group at least C(1).

use std::borrow::Cow;

use fixedbitset::FixedBitSet;

use super::chain::chain;
use super::matrix::Matrix;
use super::offer::Offer;
use super::pairs::pairs;
use super::purse::purse;
use super::state::{Tally, View};

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
        Self {
            cumulative,
            answers,
        }
    }

    /// The cost of the `count` cheapest without the one in place `without`.
    fn cheapest(&self, count: usize, without: Option<usize>) -> f64 {
        let upto = |count: usize| {
            self.cumulative
                .get(count)
                .or(self.cumulative.last())
                .copied()
                .unwrap_or(0.0)
        };
        match without {
            Some(place) if count > place => upto(count + 1) - (upto(place + 1) - upto(place)),
            _ => upto(count),
        }
    }

    /// The convex cost of a mean depth.
    fn of_depth(&self, depth: f64, without: Option<usize>) -> f64 {
        let whole = whole(depth);
        let (low, high) = (
            self.cheapest(whole, without),
            self.cheapest(whole + 1, without),
        );
        low + (depth - depth.floor()) * (high - low).max(0.0)
    }

    /// The cost of the dearest of the cheapest tests that a path of this mean depth needs.
    pub(super) fn marginal(&self, depth: f64) -> f64 {
        let needed = whole(depth.ceil()).max(1);
        self.cheapest(needed, None) - self.cheapest(needed - 1, None)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a depth is small and not negative"
)]
fn whole(depth: f64) -> usize {
    depth.max(0.0) as usize
}

/// The core of a state: all of it if every pair is apart, else the heaviest groups that fit.
pub(super) fn core<'v>(matrix: &Matrix, view: &'v View) -> Cow<'v, View> {
    let Some(apart) = &matrix.apart else {
        return Cow::Borrowed(view);
    };
    let mut order: Vec<usize> = (0..view.members.len()).collect();
    order.sort_by(|&a, &b| view.weights[b].total_cmp(&view.weights[a]).then(a.cmp(&b)));
    let mut chosen: Vec<usize> = Vec::new();
    let fits = |apart: &FixedBitSet, chosen: &[usize]| {
        chosen.iter().all(|&c| apart.contains(view.members[c]))
    };
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

/// The convex Huffman bound of a state in which at least one test is on offer. `costs` may be those of
/// the state before; `without` is then the place in it of the test taken since.
pub(super) fn huffman(core: &View, costs: &Costs, without: Option<usize>) -> f64 {
    let weight: f64 = core.weights.iter().sum();
    if weight <= 0.0 {
        return 0.0;
    }
    let depth = code_length(&core.weights, costs.answers) / weight;
    let others = (1.0 - weight).max(0.0);
    weight * costs.of_depth(depth.max(1.0), without) + others * costs.of_depth(1.0, without)
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
    /// How many answers it can have.
    pub(super) answers: f64,
}

impl Core {
    fn new(matrix: &Matrix, core: &View, offers: &[Offer], costs: &Costs) -> Self {
        let weight: f64 = core.weights.iter().sum();
        let bits = |w: &f64| -w * (w / weight).log2();
        let mut tally = Tally::default();
        let side = |offer: &Offer| {
            let mass = if matrix.apart.is_some() {
                tally.take(&matrix.columns[offer.column], core);
                &tally.mass
            } else {
                &offer.mass
            };
            let heaviest = mass.iter().copied().fold(0.0, f64::max);
            Side {
                cost: offer.cost,
                side: (weight - heaviest).max(0.0),
                answers: number(offer.answers),
            }
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

#[expect(clippy::cast_precision_loss, reason = "a count of answers is small")]
fn number(count: usize) -> f64 {
    count as f64
}

/// A very quick bound for a state of at least two groups that decide every test, from its entropy in bits: no code
/// is shorter. `without` is the place in `costs` of the test taken since.
pub(super) fn entropy(bits: f64, costs: &Costs, without: usize) -> f64 {
    costs.of_depth(
        f64::max(bits / number(costs.answers).log2(), 1.0),
        Some(without),
    )
}

/// The dearer bounds, for where the Huffman bound does not settle the matter.
pub(super) fn thorough(
    matrix: &Matrix,
    view: &View,
    core: &View,
    offers: &[Offer],
    costs: &Costs,
) -> f64 {
    let parted = pairs(matrix, view, offers);
    let core = Core::new(matrix, core, offers, costs);
    if core.weight <= 0.0 {
        return parted;
    }
    parted.max(chain(&core, costs)).max(purse(&core))
}

/// All bounds of a state with these offers.
pub(super) fn bound(matrix: &Matrix, view: &View, offers: &[Offer]) -> f64 {
    if offers.is_empty() {
        return 0.0;
    }
    let (core, costs) = (core(matrix, view), Costs::new(offers));
    huffman(&core, &costs, None).max(thorough(matrix, view, &core, offers, &costs))
}

/// Weight times code length of the `answers`-ary Huffman code, summed over the weights (which come
/// rising): the sum of all merged weights. Two queues, no sorting.
pub(super) fn code_length(rising: &[f64], answers: usize) -> f64 {
    if rising.len() < 2 {
        return 0.0;
    }
    let arity = answers.max(2);
    // with weightless leaves added, the first merge takes this many of the real ones
    let odd = (rising.len() - 1) % (arity - 1);
    let mut take = if odd == 0 { arity } else { odd + 1 };
    let mut merged: Vec<f64> = Vec::with_capacity(rising.len());
    let (mut leaf, mut inner, mut length) = (0, 0, 0.0);
    while rising.len() - leaf + merged.len() - inner > 1 {
        let mut sum = 0.0;
        for _ in 0..take {
            match (rising.get(leaf), merged.get(inner)) {
                (Some(a), b) if b.is_none_or(|b| a <= b) => {
                    sum += a;
                    leaf += 1;
                }
                (_, Some(b)) => {
                    sum += b;
                    inner += 1;
                }
                _ => break,
            }
        }
        length += sum;
        merged.push(sum);
        take = arity;
    }
    length
}
