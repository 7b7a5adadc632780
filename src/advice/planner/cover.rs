//! The cover bound: where every test touches few groups, each has to be touched by some test, and only one test can come
//! first.
//!
//! For problems in which every group decides every test and all tests have two answers and one cost, taken as 1 here. Call
//! *touched* by a test the groups of one of its answers, the same throughout. Follow a plan from the top, always by the
//! other answer: that *chain* has nodes 1 to k, and ends in a leaf with one group, the *last*. Node i takes off a set R of the
//! groups that its test touches; these sets are all groups but the last, each once. A node costs the weight that is still
//! there, so R costs i w(R) on the chain, and at least its Huffman length h(R) beyond; the last one costs k times its weight.
//!
//! Give each group a price p, and let s(i) be the most, over all tests and all sets R that they touch, that p(R) - i w(R) -
//! h(R) can be, and at least 0. Then p(R) <= i w(R) + h(R) + s(i) for each node. Added up over the chain, with l the last:
//!
//! - A plan costs at least the sum of p over all groups but l, less the sum over i of max(s(i) - w(l), 0), for each node pays
//!   w(l) besides.
//! - If some test touches l, it is a set itself, so p(l) <= (k + 1) w(l) + s(k + 1): a plan costs at least the sum of all
//!   p, less w(l), less the sum of all s.
//!
//! The better of the two counts, for the worst l. A group that no test touches is the last, whatever the plan. That holds for
//! any prices; good ones are those of the linear program of which they are the dual (as for the sum of the times at which
//! sets are covered: Feige, Lovasz & Tetali 2004). They are found once for the start, step by step along the slope (Polyak
//! 1969), and in a state taken from there, less what the tests taken before have cost. The bound is ours, not a published one;
//! the tests compare it with exhaustive search.

use super::huffman::code_length;
use super::matrix::Column;
use super::offer::Offer;
use super::view::{Plain, View};

/// Tests that touch more groups have too many sets.
const MOST_TOUCHED: usize = 10;
/// How many sets all tests may have together.
const MOST_SETS: usize = 20_000;
/// How many steps are taken for the start,
const STEPS: usize = 400;
/// and for a state further down.
const FEW_STEPS: usize = 12;
/// How often it is halved how much the prices of the start are to be lowered by.
const HALVINGS: usize = 7;
/// How far above the best value the next one is aimed at, as a share of it.
const AIM: f64 = 0.05;
/// After so many steps that don't help it is aimed half as far.
const PATIENCE: usize = 12;

/// What the bound knows of a problem.
#[derive(Debug)]
pub(super) struct Cover {
    /// By column.
    tests: Vec<Touched>,
    /// By group: its price at the start for each unit of its weight.
    prices: Vec<f64>,
}

/// The groups that a test touches and all sets of them, by bits.
#[derive(Debug)]
struct Touched {
    groups: Vec<usize>,
    /// The weight of each set,
    weight: Vec<f64>,
    /// and its weight times its Huffman length.
    length: Vec<f64>,
}

impl Touched {
    fn of(column: &Column, weights: &[f64]) -> Option<Self> {
        let [one, other] = column.sets.as_slice() else { return None };
        let fewer = if other.count_ones(..) <= one.count_ones(..) { other } else { one };
        let groups: Vec<usize> = fewer.ones().collect();
        if groups.len() > MOST_TOUCHED {
            return None;
        }
        let of_set = |set: usize| -> Vec<f64> {
            let places = groups.iter().enumerate().filter(|(place, _)| set >> place & 1 == 1);
            places.map(|(_, group)| weights[*group]).collect()
        };
        let sets = 0..1_usize << groups.len();
        let weight = sets.clone().map(|set| of_set(set).iter().sum()).collect();
        let length = sets.map(|set| code_length(&of_set(set), 2)).collect();
        Some(Self { groups, weight, length })
    }
}

impl Cover {
    /// Of groups that decide all these tests; none where the bound says nothing, or would take long.
    pub(super) fn of(weights: &[f64], columns: &[Column]) -> Option<Self> {
        let cost = columns.first()?.cost;
        if columns.iter().any(|column| column.cost != cost) {
            return None;
        }
        let mut tests = Vec::with_capacity(columns.len());
        for column in columns {
            tests.push(Touched::of(column, weights)?);
        }
        if tests.iter().map(|test| test.weight.len()).sum::<usize>() > MOST_SETS {
            return None;
        }
        let mut cover = Self { tests, prices: Vec::new() };
        let all: Vec<usize> = (0..weights.len()).collect();
        let stage = cover.stage(&all, weights.to_vec(), 0..columns.len());
        let (_, prices) = stage.climb(stage.in_turn(), STEPS, f64::INFINITY);
        cover.prices = prices.iter().zip(weights).map(|(price, w)| if *w > 0.0 { price / w } else { 0.0 }).collect();
        Some(cover)
    }

    /// The cover bound of a state with these tests on offer, as soon as it comes to `enough`.
    pub(super) fn bound(&self, view: &View<'_>, plain: &Plain<'_>, offers: &[Offer], enough: f64) -> f64 {
        let Some(first) = offers.first().filter(|_| plain.total > 0.0) else { return 0.0 };
        let weights: Vec<f64> = view.weights.iter().map(|weight| weight * plain.total).collect();
        let stage = self.stage(&view.members, weights, offers.iter().map(|offer| offer.column));
        let scale = first.cost / plain.total;
        if scale <= 0.0 {
            return 0.0;
        }
        let (value, _) = stage.climb(self.lowered(&stage, view), FEW_STEPS, enough / scale);
        value * scale
    }

    /// The prices of the start, lowered alike for each unit of weight so that they are worth most in a state.
    fn lowered(&self, stage: &Stage<'_>, view: &View<'_>) -> Vec<f64> {
        let at = |less: f64| -> Vec<f64> {
            let each = view.members.iter().zip(&stage.weights);
            each.map(|(group, weight)| weight * (self.prices[*group] - less)).collect()
        };
        let most = view.members.iter().map(|group| self.prices[*group]).fold(0.0, f64::max);
        let (mut low, mut high) = (0.0, most);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            // the value is concave in what is taken off
            let slopes = stage.value(&at(middle)).1;
            let rises = slopes.iter().zip(&stage.weights).map(|(slope, weight)| slope * weight).sum::<f64>() < 0.0;
            if rises { low = middle } else { high = middle }
        }
        at((low + high) / 2.0)
    }

    /// A state with its tests on offer.
    fn stage(&self, members: &[usize], weights: Vec<f64>, columns: impl Iterator<Item = usize>) -> Stage<'_> {
        let mut touched = vec![false; members.len()];
        let mut tests = Vec::new();
        for test in columns.filter_map(|column| self.tests.get(column)) {
            let mut left = Left { test, set: 0, places: vec![0; test.groups.len()] };
            for (bit, group) in test.groups.iter().enumerate() {
                if let Ok(place) = members.binary_search(group) {
                    left.set |= 1 << bit;
                    left.places[bit] = place;
                    touched[place] = true;
                }
            }
            tests.push(left);
        }
        let last = touched.iter().position(|touched| !touched);
        Stage { weights, tests, last }
    }
}

/// What is left of a problem in a state.
struct Stage<'c> {
    /// By place in the state: the weight at the start.
    weights: Vec<f64>,
    tests: Vec<Left<'c>>,
    /// The group that no test touches.
    last: Option<usize>,
}

/// What is left of a test.
struct Left<'c> {
    test: &'c Touched,
    /// The groups that it touches and that are left.
    set: usize,
    /// By bit: the place of that group in the state.
    places: Vec<usize>,
}

/// The set that is worth most at a node of the chain.
#[derive(Clone, Copy)]
struct Best {
    worth: f64,
    test: usize,
    set: usize,
}

impl Stage<'_> {
    /// Prices to begin with: how late each group would come if the test came first that touches the most weight.
    fn in_turn(&self) -> Vec<f64> {
        let mut left: Vec<usize> = self.tests.iter().map(|test| test.set).collect();
        let mut late = vec![0.0; self.weights.len()];
        let mut turn = 1.0;
        loop {
            let weight = |at: &usize| self.tests[*at].test.weight[left[*at]];
            let heaviest = (0..left.len()).reduce(|a, b| if weight(&b) > weight(&a) { b } else { a });
            let Some(at) = heaviest.filter(|at| left[*at] != 0) else { break };
            let taken: Vec<usize> = self.tests[at].members(left[at]).collect();
            for place in taken {
                late[place] = turn + 0.5;
                for (test, left) in self.tests.iter().zip(&mut left) {
                    let bits = test.places.iter().enumerate().filter(|(bit, _)| test.set >> bit & 1 == 1);
                    bits.filter(|(_, own)| **own == place).for_each(|(bit, _)| *left &= !(1 << bit));
                }
            }
            turn += 1.0;
        }
        late.iter().zip(&self.weights).map(|(late, weight)| late * weight).collect()
    }

    /// The best value, and its prices, that some steps along the slope come to; no further than `enough`.
    fn climb(&self, mut prices: Vec<f64>, steps: usize, enough: f64) -> (f64, Vec<f64>) {
        let (mut best, mut best_prices) = (f64::NEG_INFINITY, prices.clone());
        let (mut aim, mut idle) = (AIM, 0);
        for _ in 0..steps {
            let (mut value, mut slopes) = self.value(&prices);
            if value > best {
                idle = 0;
                best = value;
                best_prices.clone_from(&prices);
            } else {
                idle += 1;
            }
            if best >= enough {
                break;
            }
            if idle == PATIENCE {
                (aim, idle) = (aim / 2.0, 0);
                prices.clone_from(&best_prices);
                (value, slopes) = self.value(&prices);
            }
            let steep: f64 = slopes.iter().zip(&self.weights).map(|(slope, weight)| slope * slope * weight).sum();
            if steep <= 0.0 {
                break;
            }
            let step = (best + aim * best.abs() - value) / steep;
            let moved = prices.iter_mut().zip(&slopes).zip(&self.weights);
            moved.for_each(|((price, slope), weight)| *price += step * slope * weight);
        }
        (best.max(0.0), best_prices)
    }

    /// What a plan costs at least by these prices, and how that changes with each of them.
    fn value(&self, prices: &[f64]) -> (f64, Vec<f64>) {
        let nodes = self.nodes(prices);
        let sum: f64 = prices.iter().sum();
        let all: f64 = nodes.iter().map(|best| best.worth).sum();
        let without = |last: usize| {
            let over = nodes.iter().map(|best| (best.worth - self.weights[last]).max(0.0));
            sum - prices[last] - over.sum::<f64>()
        };
        let mut slopes = vec![1.0; prices.len()];
        let (value, least) = match self.last {
            Some(last) => {
                slopes[last] = 0.0;
                (without(last), self.weights[last])
            }
            None => {
                let each = (0..prices.len()).map(|last| (without(last), sum - self.weights[last] - all, last));
                let worst = each.reduce(|a, b| if b.0.max(b.1) < a.0.max(a.1) { b } else { a });
                match worst {
                    Some((without, with, last)) if without >= with => {
                        slopes[last] = 0.0;
                        (without, self.weights[last])
                    }
                    Some((_, with, _)) => (with, 0.0),
                    None => (0.0, 0.0),
                }
            }
        };
        for best in nodes.iter().filter(|best| best.worth > least) {
            self.tests[best.test].members(best.set).for_each(|place| slopes[place] -= 1.0);
        }
        (value, slopes)
    }

    /// For each node of the chain the set that is worth most there, while one is worth anything.
    fn nodes(&self, prices: &[f64]) -> Vec<Best> {
        let mut nodes = vec![Best { worth: 0.0, test: 0, set: 0 }; prices.len()];
        let mut sums = [0.0; 1 << MOST_TOUCHED];
        for (at, left) in self.tests.iter().enumerate() {
            let mut set = 0_usize;
            loop {
                // the next one of the sets of what is left, in rising order
                set = set.wrapping_sub(left.set) & left.set;
                if set == 0 {
                    break;
                }
                let lowest = left.places[set.trailing_zeros() as usize];
                sums[set] = sums[set & (set - 1)] + prices[lowest];
                let weight = left.test.weight[set];
                let mut worth = sums[set] - left.test.length[set];
                for node in &mut nodes {
                    worth -= weight;
                    if worth <= 0.0 {
                        break;
                    }
                    if worth > node.worth {
                        *node = Best { worth, test: at, set };
                    }
                }
            }
        }
        nodes
    }
}

impl Left<'_> {
    /// The places of the groups of a set.
    fn members(&self, set: usize) -> impl Iterator<Item = usize> {
        self.places.iter().enumerate().filter(move |(bit, _)| set >> bit & 1 == 1).map(|(_, place)| *place)
    }
}
