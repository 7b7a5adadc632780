//! The problem put in order for searching: ambiguous hypotheses merged, tests sorted, tables made dense.
//!
//! Two hypotheses with the same chances in every test can never be told apart, so they are one **group** from here
//! on. Merging comes before any bound: counting them as two would make the bound exceed the best plan. It must not
//! know how plans are searched.

use std::collections::HashMap;

use fixedbitset::FixedBitSet;

use super::cover::Cover;
use super::needs::Needs;
use super::problem::{Problem, Test};
use super::sums::Sums;

/// In [`Column::answer`]: the group leaves the answer open.
pub(super) const UNDECIDED: usize = usize::MAX;

/// The problem as the search sees it.
#[derive(Debug)]
pub(super) struct Matrix {
    /// The hypotheses of each group, by rising weight of the group, ties by first hypothesis.
    pub(super) groups: Vec<Vec<usize>>,
    /// The weight of each group; they add up to 1.
    pub(super) weights: Vec<f64>,
    /// The tests that can rule out something, by rising cost, ties by number.
    pub(super) columns: Vec<Column>,
    /// For each group the groups that some test separates for certain; none: that holds for all pairs.
    pub(super) apart: Option<Vec<FixedBitSet>>,
    /// Sums over groups.
    pub(super) sums: Sums,
    /// What is dear to part; empty if some group leaves a test open.
    pub(super) needs: Needs,
    /// Prices for the cover bound; none where it says nothing.
    pub(super) cover: Option<Cover>,
}

/// One test of the matrix.
#[derive(Debug)]
pub(super) struct Column {
    /// Its number in the problem.
    pub(super) test: usize,
    /// What it costs.
    pub(super) cost: f64,
    /// How many answers it has.
    pub(super) answers: usize,
    /// The answer of each group, or [`UNDECIDED`].
    pub(super) answer: Vec<usize>,
    /// For each answer the groups that decide for it.
    pub(super) sets: Vec<FixedBitSet>,
    /// The chance of each answer for the undecided groups (empty rows for the others); empty if all decide.
    pub(super) chance: Vec<Vec<f64>>,
    /// Entropy of each row in bits; empty if all decide.
    pub(super) doubt: Vec<f64>,
}

impl Column {
    /// The chance that `group` gives `answer`.
    pub(super) fn chance_of(&self, group: usize, answer: usize) -> f64 {
        match self.answer[group] {
            UNDECIDED => self.chance[group][answer],
            decided if decided == answer => 1.0,
            _ => 0.0,
        }
    }
}

impl Matrix {
    /// Merges, sorts and fills in. The problem has passed its check.
    pub(super) fn new(problem: &Problem) -> Self {
        let (groups, weights) = merge(problem);
        let column = |(test, table): (usize, &Test)| column(test, table, &groups);
        let mut columns: Vec<Column> = problem.tests.iter().enumerate().filter_map(column).collect();
        columns.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.test.cmp(&b.test)));
        let apart = columns.iter().any(|c| !c.chance.is_empty()).then(|| apart(groups.len(), &columns));
        let sums = Sums::of(&weights);
        let needs = if apart.is_none() { Needs::of(groups.len(), &columns) } else { Needs::default() };
        let cover = if apart.is_none() { Cover::of(&weights, &columns) } else { None };
        Self { groups, weights, columns, apart, sums, needs, cover }
    }
}

/// A row with its chances made to add up to exactly 1 where one answer is certain.
fn normalised(row: &[f64]) -> impl Iterator<Item = f64> {
    let sum: f64 = row.iter().sum();
    // adding 0 turns a negative zero into zero, so that equal rows have equal bits
    row.iter().map(move |chance| chance / sum + 0.0)
}

fn merge(problem: &Problem) -> (Vec<Vec<usize>>, Vec<f64>) {
    let total: f64 = problem.weights.iter().sum();
    let mut place: HashMap<Vec<u64>, usize> = HashMap::new();
    let mut groups: Vec<(f64, Vec<usize>)> = Vec::new();
    for (hypothesis, weight) in problem.weights.iter().enumerate() {
        let row = |test: &Test| normalised(&test.likelihood[hypothesis]).map(f64::to_bits).collect::<Vec<_>>();
        let key: Vec<u64> = problem.tests.iter().flat_map(row).collect();
        let at = *place.entry(key).or_insert(groups.len());
        if at == groups.len() {
            groups.push((0.0, Vec::new()));
        }
        groups[at].0 += weight / total;
        groups[at].1.push(hypothesis);
    }
    groups.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    groups.into_iter().map(|(weight, members)| (members, weight)).unzip()
}

/// None if the test can rule out no group.
fn column(test: usize, table: &Test, groups: &[Vec<usize>]) -> Option<Column> {
    let mut answer = Vec::with_capacity(groups.len());
    let mut chance = Vec::with_capacity(groups.len());
    let mut possible = vec![0_usize; table.answers];
    for members in groups {
        let row: Vec<f64> = normalised(&table.likelihood[members[0]]).collect();
        let mut given = row.iter().enumerate().filter(|(_, p)| **p > 0.0).map(|(a, _)| a);
        let decided = match (given.next(), given.next()) {
            (Some(only), None) => only,
            _ => UNDECIDED,
        };
        row.iter().zip(&mut possible).for_each(|(p, count)| *count += usize::from(*p > 0.0));
        answer.push(decided);
        chance.push(if decided == UNDECIDED { row } else { Vec::new() });
    }
    if possible.iter().all(|&count| count == 0 || count == groups.len()) {
        return None;
    }
    let doubt = chance.iter().map(|row| entropy(row)).collect();
    let open = answer.contains(&UNDECIDED);
    let (chance, doubt) = if open { (chance, doubt) } else { (Vec::new(), Vec::new()) };
    let mut sets = vec![FixedBitSet::with_capacity(groups.len()); table.answers];
    for (group, answer) in answer.iter().enumerate() {
        if let Some(set) = sets.get_mut(*answer) {
            set.insert(group);
        }
    }
    Some(Column { test, cost: table.cost, answers: table.answers, answer, sets, chance, doubt })
}

/// Entropy in bits of chances that add up to 1 (0 for an empty row).
pub(super) fn entropy(chances: &[f64]) -> f64 {
    chances.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

/// For each group, those with which it shares no possible answer in at least one test.
fn apart(groups: usize, columns: &[Column]) -> Vec<FixedBitSet> {
    let mut apart = vec![FixedBitSet::with_capacity(groups); groups];
    for column in columns {
        let mut possible = vec![FixedBitSet::with_capacity(groups); column.answers];
        for (answer, set) in possible.iter_mut().enumerate() {
            (0..groups).filter(|&g| column.chance_of(g, answer) > 0.0).for_each(|g| set.insert(g));
        }
        for (group, separated) in apart.iter_mut().enumerate() {
            let mut shared = FixedBitSet::with_capacity(groups);
            for (answer, set) in possible.iter().enumerate() {
                if column.chance_of(group, answer) > 0.0 {
                    shared.union_with(set);
                }
            }
            shared.toggle_range(..);
            separated.union_with(&shared);
        }
    }
    apart
}
