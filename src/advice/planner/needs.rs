//! The need bound: some pairs of groups are parted by few tests only, all of them dear, and one of them has to be paid
//! wherever one of the two is the truth.
//!
//! For problems in which every group decides every test. Two groups are parted by the tests in which their answers
//! differ; while both are left each of these is on offer, or a cheaper one that splits alike. The path that ends with
//! group h alone holds a test of every pair that h is in. Choose for each h some others of which no test parts h from two;
//! then the path holds as many different tests for them, k of them, and the one for g costs at least the cheapest that
//! parts h from g. Say that makes e in all. A path of d tests then costs at least e + C(d - k), C(i) the i cheapest tests on
//! offer. C is convex, and the mean depth is at least the Huffman length L, so by Jensen a plan costs at least
//! the mean of e + C(L - the mean of k).
//!
//! Others count only if they cost more than the dearest test that a path of depth L would need. It is good where costs differ and
//! neighbours are parted by a test or two, as in chains and bands. It is ours, not a published one; the tests compare it with
//! exhaustive search.

use fixedbitset::FixedBitSet;

use super::costs::Costs;
use super::huffman::code_length;
use super::matrix::Column;
use super::view::{Plain, View};

/// With more groups than this the table of pairs grows too large.
const MOST_GROUPS: usize = 250;
/// How many others are counted for each group.
const OTHERS: usize = 8;

/// A group that another one is to be parted from.
#[derive(Debug)]
struct Other {
    group: usize,
    /// The cheapest test that parts the two.
    cost: f64,
    /// All that do.
    tests: FixedBitSet,
}

/// For each group those that are dear to part from it, the dearest first.
#[derive(Debug, Default)]
pub(super) struct Needs {
    others: Vec<Vec<Other>>,
}

impl Needs {
    /// Of groups that decide all these tests; empty where all tests cost the same.
    pub(super) fn of(groups: usize, columns: &[Column]) -> Self {
        let costs = columns.iter().map(|column| column.cost);
        let (cheapest, dearest) = costs.fold((f64::INFINITY, 0.0), |(low, high), c| (c.min(low), c.max(high)));
        if groups > MOST_GROUPS || cheapest >= dearest {
            return Self::default();
        }
        let other = |group: usize, other: usize| {
            let parts = |column: &Column| column.answer[group] != column.answer[other];
            let cost = columns.iter().find(|column| parts(column)).map_or(0.0, |column| column.cost);
            let dear =
                (group != other && cost > cheapest).then(|| (0..columns.len()).filter(|&at| parts(&columns[at])));
            dear.map(|tests| {
                let mut set = FixedBitSet::with_capacity(columns.len());
                tests.for_each(|test| set.insert(test));
                Other { group: other, cost, tests: set }
            })
        };
        let others = |group: usize| {
            let mut others: Vec<Other> = (0..groups).filter_map(|other_one| other(group, other_one)).collect();
            others.sort_by(|a, b| b.cost.total_cmp(&a.cost).then(a.group.cmp(&b.group)));
            others
        };
        Self { others: (0..groups).map(others).collect() }
    }

    /// Whether no group is dear to part from another.
    pub(super) fn is_empty(&self) -> bool {
        self.others.iter().all(Vec::is_empty)
    }

    /// The need bound of a state with tests of these costs on offer.
    pub(super) fn bound(&self, view: &View<'_>, plain: &Plain<'_>, costs: &Costs) -> f64 {
        let depth = code_length(&view.weights, costs.answers);
        let marginal = costs.marginal(depth);
        let (mut paid, mut counted) = (0.0, 0.0);
        let mut taken = FixedBitSet::new();
        for (&group, weight) in view.members.iter().zip(&view.weights) {
            let (cost, tests) = self.of_group(group, plain.live, marginal, &mut taken);
            paid += weight * cost;
            counted += weight * tests;
        }
        paid + costs.of_depth(f64::max(depth - counted, 0.0), None)
    }

    /// What a group needs at least, and how many tests that counts.
    fn of_group(&self, group: usize, live: &FixedBitSet, marginal: f64, taken: &mut FixedBitSet) -> (f64, f64) {
        let (mut cost, mut tests) = (0.0, 0);
        taken.clear();
        let dear = self.others.get(group).into_iter().flatten().take_while(|other| other.cost > marginal);
        for other in dear.filter(|other| live.contains(other.group)) {
            if tests > 0 && !other.tests.is_disjoint(taken) {
                continue;
            }
            taken.union_with(&other.tests);
            cost += other.cost;
            tests += 1;
            if tests == OTHERS {
                break;
            }
        }
        (cost, super::costs::number(tests))
    }
}
