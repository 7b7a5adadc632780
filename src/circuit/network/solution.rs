//! One solved network: every voltage and current at the nominal values, with all relays, fuses and diodes in given positions.
//!
//! Why: it is what a technician would measure everywhere at once, and what decides the next relay or fuse. It must not know ranges.

use std::collections::BTreeMap;

use super::amount::Amount;
use super::branch::{Branch, Supply};
use super::circuit::Network;
use super::currents::currents;
use super::islands::Islands;
use super::links::{Joined, SourceLoop, join};
use super::mesh::Mesh;
use super::outcome::Outcome;
use super::place::Place;
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
        self.current.get(&place.into()).copied().unwrap_or(Some(0.0))
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
        let joined = join(points, &branches).map_err(|found| self.nothing_limits(&branches, &found))?;
        let islands = Islands::new(points, branches.iter().map(|branch| (branch.from, branch.to)));
        let voltage = voltages(points, &branches, &joined, &islands);
        let current = currents(&branches, &joined, &voltage);
        let island: Vec<usize> = (0..points).map(|point| islands.find(point)).collect();
        let floating = self.points.all_named().filter(|point| island[point.0] != GROUND.0).collect();
        Ok(Solution { outcome: Outcome::still(self, state), voltage, island, current, floating })
    }

    /// The problem of a source loop, with the names of the sources joined to it without resistance.
    pub(super) fn nothing_limits<T: Amount>(&self, branches: &[Branch<T>], found: &SourceLoop) -> NetworkProblem {
        let links: Vec<&Branch<T>> = branches.iter().filter(|branch| branch.ohms.is_zero()).collect();
        let groups = Islands::new(self.points.len(), links.iter().map(|link| (link.from, link.to)));
        let name = |branch: &Branch<T>| self.part_name(branch.place.part).to_owned();
        let closing = branches.get(found.0);
        let is_near =
            |link: &Branch<T>| closing.is_some_and(|closing| groups.find(link.from) == groups.find(closing.from));
        let sources = links.into_iter().filter(|link| !link.volts.is_zero() && is_near(link));
        NetworkProblem::NothingLimits {
            sources: sources.map(name).collect(),
            closed_by: closing.map(name).unwrap_or_default(),
        }
    }
}

/// The voltage of each point against the lowest-numbered point of its island.
fn voltages(points: usize, branches: &[Branch<f64>], joined: &Joined<f64>, islands: &Islands) -> Vec<f64> {
    let mut mesh: Mesh<f64> = Mesh::new(points);
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
    let above = |point: usize| level[joined.root[point]][0] + joined.offset[point];
    (0..points).map(|point| above(point) - above(islands.find(point))).collect()
}
