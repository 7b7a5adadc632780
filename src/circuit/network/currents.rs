//! The currents that belong to given voltages.
//!
//! Why: a part with resistance follows Ohm's law; a link without any carries what its points need. It must not know parts.

use std::collections::{BTreeMap, BTreeSet};

use super::branch::Branch;
use super::links::Joined;
use super::place::Place;

/// The current of each branch; of a link without resistance, from what flows on at its ends.
pub(super) fn currents(
    branches: &[Branch<f64>],
    joined: &Joined<f64>,
    voltage: &[f64],
) -> BTreeMap<Place, Option<f64>> {
    let mut current = BTreeMap::new();
    let mut leaving = vec![0.0; voltage.len()];
    for branch in branches.iter().filter(|branch| branch.ohms != 0.0) {
        let flow = (voltage[branch.from] - voltage[branch.to] - branch.volts) / branch.ohms;
        leaving[branch.from] += flow;
        leaving[branch.to] -= flow;
        current.insert(branch.place, Some(flow));
    }
    for (number, flow) in link_currents(branches, joined, leaving) {
        if let Some(branch) = branches.get(number) {
            current.insert(branch.place, flow);
        }
    }
    current
}

/// The currents of links: they form trees, so each end link carries what leaves its outer point, and the rest follows.
fn link_currents(branches: &[Branch<f64>], joined: &Joined<f64>, mut leaving: Vec<f64>) -> Vec<(usize, Option<f64>)> {
    let undivided: BTreeSet<usize> = joined.spare.iter().map(|&spare| joined.root[branches[spare].from]).collect();
    let is_clear = |link: usize| !undivided.contains(&joined.root[branches[link].from]);
    let (mut open, blurred): (Vec<usize>, Vec<usize>) = joined.links.iter().copied().partition(|&link| is_clear(link));
    let mut found: Vec<(usize, Option<f64>)> =
        blurred.into_iter().chain(joined.spare.iter().copied()).map(|link| (link, None)).collect();
    let mut degree = vec![0_usize; leaving.len()];
    for &link in &open {
        degree[branches[link].from] += 1;
        degree[branches[link].to] += 1;
    }
    while let Some(place) =
        open.iter().position(|&link| degree[branches[link].from] == 1 || degree[branches[link].to] == 1)
    {
        let link = open.swap_remove(place);
        let (from, to) = (branches[link].from, branches[link].to);
        // current out of `from` through the link makes up for what else leaves there
        let flow = if degree[from] == 1 { -leaving[from] } else { leaving[to] };
        leaving[from] += flow;
        leaving[to] -= flow;
        degree[from] -= 1;
        degree[to] -= 1;
        found.push((link, Some(flow)));
    }
    found
}
