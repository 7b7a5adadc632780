//! The convex Huffman bound: no tree has a smaller mean depth than the Huffman code, and the cheapest tests come
//! first.
//!
//! After Pattipati & Alexandridis, *Application of heuristic search and information theory to sequential fault
//! diagnosis*, IEEE Trans. SMC 20(4), 1990, who have it for two answers.
//!
//! Let q be the weight of the [core](mod@super::bounds) and D the largest number of answers that a test on offer can
//! have, so that a plan is a tree with at most D branches at a node. For each group of the core keep its cheapest
//! leaf and cut the rest away: a tree with one leaf for each group and at most D branches is left. Its mean depth is
//! at least that of the D-ary Huffman code of the weights, L (with weightless leaves added until every merge is
//! full). A leaf at depth d costs at least C(d), the d cheapest tests on offer. C is convex, so by Jensen the core
//! costs at least q C(L), and each other group at least C(1).

use super::costs::{Costs, number};

/// The convex Huffman bound of a state in which at least one test is on offer, from the weights of its core and of the
/// whole state. `costs` may be those of the state before; `without` is then the place in it of the test taken since.
pub(super) fn huffman(core: &[f64], whole: f64, costs: &Costs, without: Option<usize>) -> f64 {
    let sum: f64 = core.iter().sum();
    if sum <= 0.0 {
        return 0.0;
    }
    let depth = code_length(core, costs.answers) / sum;
    let weight = sum / whole;
    let others = (1.0 - weight).max(0.0);
    weight * costs.of_depth(depth.max(1.0), without) + others * costs.of_depth(1.0, without)
}

/// A very quick bound for a state of at least two groups that decide every test, from its entropy in bits: no code
/// is shorter. `without` is the place in `costs` of the test taken since.
pub(super) fn entropy(bits: f64, costs: &Costs, without: usize) -> f64 {
    costs.of_depth(f64::max(bits / number(costs.answers).log2(), 1.0), Some(without))
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
