//! One solved network: every voltage and current at the nominal values, with all relays, fuses and diodes in given positions.
//!
//! Why: it is what a technician would measure everywhere at once, and what decides the next relay or fuse. It must not know ranges.

use std::collections::{BTreeMap, BTreeSet};

use super::branch::{Branch, Supply};
use super::circuit::Network;
use super::islands::Islands;
use super::links::{Joined, SourceLoop, join};
use super::mesh::Mesh;
use super::outcome::Outcome;
use super::part::{Part, Place};
use super::point::{GROUND, PointId};
use super::problem::NetworkProblem;
use super::state::State;

/// Every voltage and current of a network in one outcome, at nominal values.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The positions of relays, fuses and diodes.
    pub outcome: Outcome,
    voltage: Vec<f64>,
    island: Vec<usize>,
    current: BTreeMap<Place, Option<f64>>,
    floating: Vec<PointId>,
}

impl Solution {
    /// Volts of a point against ground; none if it floats.
    pub fn voltage(&self, point: PointId) -> Option<f64> {
        self.across(point, GROUND)
    }

    /// Volts of one point against another; none if no path joins them.
    pub fn across(&self, plus: PointId, minus: PointId) -> Option<f64> {
        let joined = self.island.get(plus.0)? == self.island.get(minus.0)?;
        joined.then(|| self.voltage[plus.0] - self.voltage[minus.0])
    }

    /// Ampere through a part, or a relay's coil: 0 if it does not conduct, none if it shares the current with another part of 0 ohm.
    pub fn current(&self, place: impl Into<Place>) -> Option<f64> {
        self.current
            .get(&place.into())
            .copied()
            .unwrap_or(Some(0.0))
    }

    /// The named points with no path to ground, in order.
    pub fn floating(&self) -> &[PointId] {
        &self.floating
    }
}

impl Network {
    /// Solves the network in one state.
    pub(super) fn solve_in(&self, state: &State) -> Result<Solution, NetworkProblem> {
        let branches = self.branches::<f64>(state, Supply::Connected);
        let points = self.points.len();
        let joined =
            join(points, &branches).map_err(|found| self.nothing_limits(&branches, &found))?;
        let islands = Islands::new(
            points,
            branches.iter().map(|branch| (branch.from, branch.to)),
        );
        let voltage = voltages(points, &branches, &joined, &islands);
        let current = currents(&branches, &joined, &voltage);
        let island: Vec<usize> = (0..points).map(|point| islands.find(point)).collect();
        let floating = self
            .points
            .all_named()
            .filter(|point| island[point.0] != GROUND.0)
            .collect();
        Ok(Solution {
            outcome: Outcome::still(self, state),
            voltage,
            island,
            current,
            floating,
        })
    }

    /// The problem of a source loop, with the names of the sources in it.
    pub(super) fn nothing_limits<T: Copy>(
        &self,
        branches: &[Branch<T>],
        found: &SourceLoop,
    ) -> NetworkProblem {
        let name = |branch: &Branch<T>| self.part_name(branch.place.part).to_owned();
        let is_source = |branch: &&Branch<T>| {
            let part = self
                .parts
                .get(branch.place.part.0)
                .map(|fitted| &fitted.part);
            match part {
                Some(Part::Battery { internal, .. }) => internal.high() == 0.0,
                Some(Part::Diode { ohm, .. }) => ohm.high() == 0.0,
                _ => false,
            }
        };
        let closing = branches.get(found.0);
        NetworkProblem::NothingLimits {
            sources: branches.iter().filter(is_source).map(name).collect(),
            closed_by: closing.map(name).unwrap_or_default(),
        }
    }
}

/// The voltage of each point against the lowest-numbered point of its island.
fn voltages(
    points: usize,
    branches: &[Branch<f64>],
    joined: &Joined<f64>,
    islands: &Islands,
) -> Vec<f64> {
    let mut mesh = Mesh::new(points);
    for branch in branches.iter().filter(|branch| branch.ohms != 0.0) {
        let between = joined.between_roots(branch);
        mesh.add(between.from, between.to, between.volts, between.ohms);
    }
    for point in (0..points).rev() {
        let is_root = joined.root[point] == point;
        let is_last = joined.root[islands.find(point)] == point;
        if is_root && !is_last {
            mesh.eliminate(point);
        }
    }
    let level = mesh.voltages();
    let above = |point: usize| level[joined.root[point]] + joined.offset[point];
    (0..points)
        .map(|point| above(point) - above(islands.find(point)))
        .collect()
}

/// The current of each branch; of a link without resistance, from what flows on at its ends.
fn currents(
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
fn link_currents(
    branches: &[Branch<f64>],
    joined: &Joined<f64>,
    mut leaving: Vec<f64>,
) -> Vec<(usize, Option<f64>)> {
    let undivided: BTreeSet<usize> = joined
        .spare
        .iter()
        .map(|&spare| joined.root[branches[spare].from])
        .collect();
    let is_clear = |link: usize| !undivided.contains(&joined.root[branches[link].from]);
    let (mut open, blurred): (Vec<usize>, Vec<usize>) = joined
        .links
        .iter()
        .copied()
        .partition(|&link| is_clear(link));
    let mut found: Vec<(usize, Option<f64>)> = blurred
        .into_iter()
        .chain(joined.spare.iter().copied())
        .map(|link| (link, None))
        .collect();
    let mut degree = vec![0_usize; leaving.len()];
    for &link in &open {
        degree[branches[link].from] += 1;
        degree[branches[link].to] += 1;
    }
    while let Some(place) = open
        .iter()
        .position(|&link| degree[branches[link].from] == 1 || degree[branches[link].to] == 1)
    {
        let link = open.swap_remove(place);
        let (from, to) = (branches[link].from, branches[link].to);
        // current out of `from` through the link makes up for what else leaves there
        let flow = if degree[from] == 1 {
            -leaving[from]
        } else {
            leaving[to]
        };
        leaving[from] += flow;
        leaving[to] -= flow;
        degree[from] -= 1;
        degree[to] -= 1;
        found.push((link, Some(flow)));
    }
    found
}
