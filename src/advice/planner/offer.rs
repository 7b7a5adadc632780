//! The tests on offer in a state, each split once.

use std::collections::HashSet;

use super::matrix::Matrix;
use super::state::{State, Tally, View};

/// A test on offer and what it would do.
#[derive(Debug, Clone)]
pub(super) struct Offer {
    /// Its column.
    pub(super) column: usize,
    /// What it costs.
    pub(super) cost: f64,
    /// The chance of each answer.
    pub(super) mass: Vec<f64>,
    /// How many different answers can come.
    pub(super) answers: usize,
    /// Whether a group left leaves it open.
    pub(super) open: bool,
    /// If it has two answers and one of them comes from a single group: the place of that group in the view.
    pub(super) single: Option<usize>,
}

/// The tests on offer, cheapest first. Of decided tests that split the groups left in the same way only
/// the cheapest (then the lowest number) is kept: after it the others would tell nothing.
pub(super) fn offers(matrix: &Matrix, state: &State, view: &View) -> Vec<Offer> {
    let mut offers = Vec::new();
    let mut seen: HashSet<Vec<u32>> = HashSet::new();
    let mut tally = Tally::default();
    for (column, table) in matrix.columns.iter().enumerate() {
        if state.has_used(column) {
            continue;
        }
        tally.take(table, view);
        if !tally.rules_out(view.members.len()) {
            continue;
        }
        if !tally.open && !seen.insert(split(&table.answer, view, table.answers)) {
            continue;
        }
        offers.push(Offer {
            column,
            cost: table.cost,
            mass: tally.mass.clone(),
            answers: tally.answers(),
            open: tally.open,
            single: single(&tally, &table.answer, view),
        });
    }
    offers
}

/// The split as the number of each group's part, parts numbered as they come.
fn split(answer: &[usize], view: &View, answers: usize) -> Vec<u32> {
    let mut number: Vec<u32> = vec![0; answers];
    let mut last = 0;
    let part = |&group: &usize| {
        let known = &mut number[answer[group]];
        if *known == 0 {
            last += 1;
            *known = last;
        }
        *known
    };
    view.members.iter().map(part).collect()
}

fn single(tally: &Tally, answer: &[usize], view: &View) -> Option<usize> {
    if tally.open || tally.answers() != 2 {
        return None;
    }
    let alone = tally.count.iter().position(|&count| count == 1)?;
    view.members.iter().position(|&group| answer[group] == alone)
}
