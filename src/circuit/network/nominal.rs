//! The network at its nominal values: what a technician would read on a vehicle that is exactly as drawn.
//!
//! Why: it is the reading to name in an explanation, and the point about which tests sample. It must not know ranges of readings.

use super::branch::{Branch, Supply};
use super::circuit::Network;
use super::enclose::enclose;
use super::meter::{Ammeter, Reading};
use super::part::Part;
use super::point::PointId;
use super::port::{Effort, Port};
use super::problem::NetworkProblem;
use super::range::Range;
use super::solution::Solution;
use super::state::State;

impl Network {
    /// Solves the network at the nominal values of its parts, once for each outcome that may come about.
    ///
    /// # Errors
    /// If sources without resistance form a loop, 0-ohm parts share a fuse's current, or the outcomes are too many.
    pub fn solve(&self) -> Result<Vec<Solution>, NetworkProblem> {
        let mut solved: Vec<(State, Solution)> = Vec::new();
        let outcomes = self.settle(|state| {
            let solution = self.solve_in(state)?;
            let drives = self.nominal_drives(&solution, state);
            solved.push((state.clone(), solution));
            drives
        })?;
        let solutions = outcomes.into_iter().filter_map(|outcome| {
            let place = solved.iter().position(|(state, _)| *state == outcome.state)?;
            let (_, mut solution) = solved.swap_remove(place);
            solution.outcome = outcome;
            Some(solution)
        });
        Ok(solutions.collect())
    }

    /// A copy with the reading's instrument connected.
    ///
    /// # Errors
    /// If the reading names points or parts of another network, or one point twice.
    pub fn with_instrument(&self, reading: &Reading) -> Result<Network, NetworkProblem> {
        let mut copy = self.clone();
        match *reading {
            Reading::Voltage { plus, minus, meter } => {
                self.check_probes(plus, minus)?;
                copy.fit("meter".to_owned(), Part::Meter { plus, minus, meter });
            }
            Reading::Current { through, meter } => {
                self.check_place(through)?;
                if let Ammeter::InSeries(ohm) = meter {
                    copy.add_in_series(through, ohm)?;
                }
            }
            Reading::Resistance { from, to } => self.check_probes(from, to)?,
        }
        Ok(copy)
    }

    /// What the reading shows at nominal values in a solution of the network with its instrument; none where nothing joins the probes.
    pub fn read(&self, reading: &Reading, solution: &Solution) -> Option<f64> {
        match *reading {
            Reading::Voltage { plus, minus, .. } => solution.across(plus, minus),
            Reading::Current { through, .. } => solution.current(through),
            Reading::Resistance { from, to } => {
                self.nominal_resistance(from, to, &self.unpowered(&solution.outcome.state))
            }
        }
    }

    /// Ohm between two points with every supply lifted, in this state.
    fn nominal_resistance(&self, from: PointId, to: PointId, state: &State) -> Option<f64> {
        let exactly = |branch: Branch<f64>| Branch {
            from: branch.from,
            to: branch.to,
            volts: Range::exactly(branch.volts),
            ohms: Range::exactly(branch.ohms),
            place: branch.place,
        };
        let branches: Vec<Branch<Range>> = self.branches(state, Supply::Lifted).into_iter().map(exactly).collect();
        let found = enclose(self.points.len(), &branches, Port::Resistance { from: from.0, to: to.0 }, Effort::Full);
        found.ok().map(|enclosed| enclosed.range.low)
    }
}
