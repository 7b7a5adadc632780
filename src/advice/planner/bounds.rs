//! What a plan costs at least, without searching it. Two bounds; the larger one counts.
//!
//! All values are per unit of weight of the state. Both hold for tests with any number of answers and
//! with groups that leave a test open.
//!
//! **Common ground.** Say that two groups are *apart* if some test leaves them no common answer. They
//! never share a leaf of a finished plan: where both are left, that test was not taken, and it is on
//! offer. If every group decides every test, all pairs are apart, because equal groups were merged.
//!
//! **Convex Huffman bound** (after Pattipati & Alexandridis, *Application of heuristic search and
//! information theory to sequential fault diagnosis*, IEEE Trans. SMC 20(4), 1990, for two answers).
//! Let Q be groups of which every pair is apart, of weight q, and D the largest number of answers that
//! a test on offer can have here. A test on offer further down is on offer here with at least as many
//! answers, so a plan is a tree with at most D branches at a node. For each group of Q keep its
//! cheapest leaf and cut the rest away: a tree with one leaf for each group of Q and at most D branches
//! is left. Its mean depth is at least that of the D-ary Huffman code L of the weights of Q (with
//! weightless leaves added until the last merge is full). A path takes each test at most once, so a
//! leaf at depth d costs at least C(d), the d cheapest tests on offer. C is convex, so by Jensen the
//! groups of Q cost at least q C(L) together, and each other group at least C(1).
//!
//! **Pair bound.** Taking test t at a node of weight W there, cost c, splits that weight into answers of
//! weight a1 .. am, and so separates pairs of product e2 = sum of ai ak over i < k. Spread the cost c W
//! over these pairs: each unit of product pays c e1 / e2 with e1 = a1 + .. + am. Further down all ai
//! are smaller or equal, and e2 / e1 falls with every ai: its slope has the sign of R R - e2(rest) with
//! R = e1 - ai, and e2(rest) <= R R / 2. So a unit of product pays there at least what it would pay
//! here. Every pair of groups that is apart is separated in the end, its whole product (an
//! undecided group counts as one part for each answer, chosen beforehand; tests are not repeated). So the cost
//! is at least the sum over pairs that are apart of pi pk times the least c e1 / e2 of the tests that can
//! separate them. The least is found by splitting with the tests in rising order.

use super::matrix::{Matrix, UNDECIDED};
use super::state::{Tally, View};
use super::offer::Offer;

/// The costs of the tests on offer in a state, cheapest first, and the most answers one can have.
#[derive(Debug, Clone, Default)]
pub(super) struct Costs {
    /// `cumulative[i]` is the cost of the `i` cheapest.
    cumulative: Vec<f64>,
    /// The most answers that one of them can have.
    pub(super) answers: usize,
}

impl Costs {
    pub(super) fn new(offers: &[Offer]) -> Self {
        let mut costs = Self::default();
        offers.iter().for_each(|offer| costs.add(offer.cost, offer.answers));
        costs
    }

    /// Adds a test that costs no less than those added before.
    pub(super) fn add(&mut self, cost: f64, answers: usize) {
        let so_far = self.cumulative.last().copied().unwrap_or(0.0);
        if self.cumulative.is_empty() {
            self.cumulative.push(0.0);
        }
        self.cumulative.push(so_far + cost);
        self.answers = self.answers.max(answers);
    }

    /// marginal
    pub(super) fn marginal(&self, depth: f64) -> f64 { let k = depth.ceil().max(1.0) as usize; self.of_tests(k, None) - self.of_tests(k - 1, None) }
    /// How many tests there are.
    pub(super) fn tests(&self) -> usize {
        self.cumulative.len().saturating_sub(1)
    }

    /// What all of them cost together: the most that any plan here can cost.
    pub(super) fn all(&self) -> f64 {
        self.cumulative.last().copied().unwrap_or(0.0)
    }

    /// The cost of the `whole` cheapest without the one in place `without`.
    fn of_tests(&self, whole: usize, without: Option<usize>) -> f64 {
        let upto = |count: usize| self.cumulative.get(count).copied().unwrap_or_else(|| self.all());
        match without {
            Some(place) if whole > place => upto(whole + 1) - (upto(place + 1) - upto(place)),
            _ => upto(whole),
        }
    }

    /// The convex cost of a mean depth.
    fn of_depth(&self, depth: f64, without: Option<usize>) -> f64 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a depth is small and not negative")]
        let whole = depth.max(0.0) as usize;
        let (low, high) = (self.of_tests(whole, without), self.of_tests(whole + 1, without));
        low + (depth - depth.floor()) * (high - low).max(0.0)
    }
}

/// The convex Huffman bound of a state in which at least one test is on offer. `costs` may be those of
/// a state before; `without` is the place in it of the test taken since.
pub(super) fn huffman(matrix: &Matrix, view: &View, costs: &Costs, without: Option<usize>) -> f64 {
    if let Some(apart) = &matrix.apart {
        let mut masses = clique(apart, view);
        let whole: f64 = masses.iter().sum();
        if whole <= 0.0 {
            return costs.of_depth(1.0, without);
        }
        masses.sort_by(f64::total_cmp);
        let depth = code_length(&masses, costs.answers) / whole;
        let others = (1.0 - whole).max(0.0);
        return whole * costs.of_depth(depth.max(1.0), without) + others * costs.of_depth(1.0, without);
    }
    costs.of_depth(code_length(&view.weights, costs.answers), without)
}

/// Weights of groups of which every pair is apart, heaviest taken first.
fn clique(apart: &[fixedbitset::FixedBitSet], view: &View) -> Vec<f64> {
    let mut order: Vec<usize> = (0..view.members.len()).collect();
    order.sort_by(|&a, &b| view.weights[b].total_cmp(&view.weights[a]).then(a.cmp(&b)));
    let mut chosen: Vec<usize> = Vec::new();
    for place in order {
        let group = view.members[place];
        if chosen.iter().all(|&other| apart[group].contains(view.members[other])) {
            chosen.push(place);
        }
    }
    chosen.into_iter().map(|place| view.weights[place]).collect()
}

/// Sum over the weights (rising) of weight times code length of the `answers`-ary Huffman code: the sum
/// of all merged weights. Two queues, no sorting.
pub(super) fn code_length(rising: &[f64], answers: usize) -> f64 {
    let arity = answers.max(2);
    if rising.len() < 2 {
        return 0.0;
    }
    // fill up with weightless leaves so that every merge is full
    let odd = (rising.len() - 1) % (arity - 1);
    let mut first = if odd == 0 { arity } else { odd + 1 };
    let mut merged: Vec<f64> = Vec::with_capacity(rising.len());
    let (mut leaf, mut inner, mut length) = (0, 0, 0.0);
    while rising.len() - leaf + merged.len() - inner > 1 {
        let mut sum = 0.0;
        for _ in 0..first {
            let from_leaves = match (rising.get(leaf), merged.get(inner)) {
                (Some(a), Some(b)) => a <= b,
                (Some(_), None) => true,
                (None, Some(_)) => false,
                (None, None) => break,
            };
            if from_leaves {
                sum += rising[leaf];
                leaf += 1;
            } else {
                sum += merged[inner];
                inner += 1;
            }
        }
        length += sum;
        merged.push(sum);
        first = arity;
    }
    length
}

/// The pair bound of a state; `columns` are the tests on offer there.
pub(super) fn pairs(matrix: &Matrix, view: &View, columns: &[usize]) -> f64 {
    let mut tally = Tally::default();
    let mut rates: Vec<(f64, usize)> = Vec::with_capacity(columns.len());
    for &at in columns {
        tally.take(&matrix.columns[at], view);
        let product = between(&tally.mass);
        if product > 0.0 {
            rates.push((matrix.columns[at].cost / product, at));
        }
    }
    rates.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut cells: Vec<Vec<usize>> = vec![(0..view.members.len()).collect()];
    let mut bound = 0.0;
    for (rate, at) in rates {
        let mut next = Vec::with_capacity(cells.len() + 1);
        for cell in cells {
            let parts = parts(matrix, view, at, &cell);
            if parts.len() < 2 {
                next.push(cell);
            } else {
                bound += rate * separated(matrix, view, &parts);
                next.extend(parts.into_iter().filter(|part| part.len() > 1));
            }
        }
        cells = next;
        if cells.is_empty() {
            break;
        }
    }
    bound
}

/// Sum of the products of all pairs of masses (which add up to about 1).
fn between(masses: &[f64]) -> f64 {
    let (mut seen, mut sum) = (0.0, 0.0);
    for mass in masses {
        sum += seen * mass;
        seen += mass;
    }
    sum
}

/// A cell (places in the view) by answer; an undecided group may be separated from all others.
fn parts(matrix: &Matrix, view: &View, at: usize, cell: &[usize]) -> Vec<Vec<usize>> {
    let column = &matrix.columns[at];
    let mut parts: Vec<Vec<usize>> = Vec::new();
    let mut answers: Vec<usize> = Vec::new();
    for &place in cell {
        let answer = column.answer[view.members[place]];
        match answers.iter().position(|&known| known == answer && answer != UNDECIDED) {
            Some(part) => parts[part].push(place),
            None => {
                answers.push(answer);
                parts.push(vec![place]);
            }
        }
    }
    parts
}

/// Sum of the products of the pairs in different parts that are apart.
fn separated(matrix: &Matrix, view: &View, parts: &[Vec<usize>]) -> f64 {
    let Some(apart) = &matrix.apart else {
        let mass = |part: &Vec<usize>| part.iter().map(|&place| view.weights[place]).sum();
        return between(&parts.iter().map(mass).collect::<Vec<f64>>());
    };
    let mut sum = 0.0;
    for (number, part) in parts.iter().enumerate() {
        for &a in part {
            for &b in parts[number + 1..].iter().flatten() {
                if apart[view.members[a]].contains(view.members[b]) {
                    sum += view.weights[a] * view.weights[b];
                }
            }
        }
    }
    sum
}

pub(super) fn quick(matrix: &Matrix, view: &View, offers: &[Offer]) -> f64 { huffman(matrix, view, &Costs::new(offers), None) }
pub(super) fn thorough(matrix: &Matrix, view: &View, offers: &[Offer]) -> f64 {
    let columns: Vec<usize> = offers.iter().map(|c| c.column).collect();
    let costs = Costs::new(offers);
    let depth = code_length(&view.weights, costs.answers);
    pairs(matrix, view, &columns).max(super::chain::chain(matrix, view, &columns, &view.weights, &costs, depth))
}
