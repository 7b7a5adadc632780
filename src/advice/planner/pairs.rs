//! The pair bound: every two groups must be parted once, and each test can part only so much at a time.
//!
//! Taking test t of cost c at a node of weight W there splits that weight into answers of weight a1 .. am, and so
//! parts pairs of product e2 = sum of ai ak over i < k. Spread the cost c W over these pairs: each unit of product
//! pays c e1 / e2 with e1 = a1 + .. + am = W. Further down all ai are smaller or equal, and e2 / e1 falls with every
//! ai (its slope in ai has the sign of R R - e2(rest) with R = e1 - ai, and e2(rest) <= R R / 2). So a unit of
//! product pays there at least what it would pay here. Every pair that is [apart](mod@super::bounds) is parted in the
//! end, with its whole product (an undecided group counts as several, one for each answer it may give, chosen
//! beforehand). So a plan costs at least the sum, over all pairs that are apart, of pi pk times the least c e1 / e2
//! of the tests that can part them. That sum is found by splitting with the tests in rising order.
//!
//! Exact for two groups. It is good where each test touches few groups or costs differ widely. The bound is ours, not
//! a published one; the tests compare it with exhaustive search.

use fixedbitset::FixedBitSet;

use super::matrix::{Matrix, UNDECIDED};
use super::offer::{Offer, Offers};
use super::view::{Plain, View};

/// The pair bound of a state with these tests on offer.
pub(super) fn pairs(matrix: &Matrix, view: &View<'_>, offers: &Offers) -> f64 {
    let rate = |offer: &Offer| (offer.cost / between(offers.parts(offer).iter().map(|part| part.mass)), offer.column);
    let mut rates: Vec<(f64, usize)> = offers.list.iter().map(rate).filter(|rate| rate.0.is_finite()).collect();
    rates.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    match (&view.plain, &matrix.apart) {
        (Some(plain), None) => of_sets(matrix, plain, &rates),
        _ => of_lists(matrix, view, &rates),
    }
}

/// Where every group decides every test: cells are sets.
fn of_sets(matrix: &Matrix, plain: &Plain<'_>, rates: &[(f64, usize)]) -> f64 {
    let mut cells = vec![plain.live.clone()];
    let mut bound = 0.0;
    for &(rate, at) in rates {
        let sets = &matrix.columns[at].sets;
        for number in (0..cells.len()).rev() {
            let whole = |cell: &FixedBitSet, set: &FixedBitSet| cell.is_disjoint(set) || cell.is_subset(set);
            if sets.iter().all(|set| whole(&cells[number], set)) {
                continue;
            }
            let cell = cells.swap_remove(number);
            bound += rate * between(sets.iter().map(|set| plain.sums.over(&cell, set).weight / plain.total));
            for set in sets {
                let mut part = cell.clone();
                part.intersect_with(set);
                if part.count_ones(..) > 1 {
                    cells.push(part);
                }
            }
        }
        if cells.is_empty() {
            break;
        }
    }
    bound
}

fn of_lists(matrix: &Matrix, view: &View<'_>, rates: &[(f64, usize)]) -> f64 {
    let mut cells: Vec<Vec<usize>> = vec![(0..view.members.len()).collect()];
    let mut bound = 0.0;
    for &(rate, at) in rates {
        let mut next = Vec::with_capacity(cells.len() + 1);
        for cell in cells {
            let parts = parts(&matrix.columns[at].answer, view, &cell);
            if parts.len() < 2 {
                next.push(cell);
            } else {
                bound += rate * parted(matrix, view, &parts);
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

/// Sum of the products of all pairs.
fn between(masses: impl Iterator<Item = f64>) -> f64 {
    let (mut seen, mut sum) = (0.0, 0.0);
    for mass in masses {
        sum += seen * mass;
        seen += mass;
    }
    sum
}

/// A cell (places in the view) by answer; an undecided group may be parted from all others.
fn parts(answer: &[usize], view: &View<'_>, cell: &[usize]) -> Vec<Vec<usize>> {
    let mut parts: Vec<(usize, Vec<usize>)> = Vec::new();
    for &place in cell {
        let given = answer[view.members[place]];
        match parts.iter_mut().find(|(known, _)| *known == given && given != UNDECIDED) {
            Some((_, part)) => part.push(place),
            None => parts.push((given, vec![place])),
        }
    }
    parts.into_iter().map(|(_, part)| part).collect()
}

/// Sum of the products of the pairs in different parts that are apart.
fn parted(matrix: &Matrix, view: &View<'_>, parts: &[Vec<usize>]) -> f64 {
    let Some(apart) = &matrix.apart else {
        let mass = |part: &Vec<usize>| part.iter().map(|&place| view.weights[place]).sum();
        return between(parts.iter().map(mass));
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
