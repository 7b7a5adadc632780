//! What a reading must show, given the ranges of the parts: the answer that rules faults out.
//!
//! Why: a reading outside every outcome's range can't come from this network; a range is only worth that much if each part that matters has a
//! range that its author stands behind. It must not know faults' names or verdicts.

use super::branch::Supply;
use super::circuit::Network;
use super::enclose::enclose;
use super::islands::Islands;
use super::meter::Reading;
use super::outcome::Outcome;
use super::place::PartId;
use super::point::{GROUND, PointId};
use super::port::{Effort, Enclosed, Method, Port};
use super::problem::NetworkProblem;
use super::range::Range;
use super::state::{Device, State};

/// What a reading shows in one outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpectedOutcome {
    /// How relays, fuses and diodes end up.
    pub outcome: Outcome,
    /// Within what the reading then lies: volts, ampere or ohm.
    pub range: Range,
    /// How the range was found.
    pub method: Method,
}

/// What a reading shows over all values of the parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// Each outcome that may come about, at least one.
    pub outcomes: Vec<ExpectedOutcome>,
    /// The parts that matter for the reading but have only a presumed value.
    pub unranged: Vec<PartId>,
    /// The named points under the probes that have no path to ground but through the instrument: they read 0 V, and may pick up anything.
    pub floating: Vec<PointId>,
}

impl Expected {
    /// The smallest range that holds every outcome's.
    pub fn range(&self) -> Range {
        let ranges = self.outcomes.iter().map(|expected| expected.range);
        ranges.reduce(Range::hull).unwrap_or(Range::ZERO)
    }

    /// Whether it may rule a fault out: every part that matters has a range of its own, and no relay chatters.
    pub fn is_exact(&self) -> bool {
        self.unranged.is_empty() && self.outcomes.iter().all(|expected| expected.outcome.chattering.is_empty())
    }

    /// Whether a reading within these bounds may come from this network.
    pub fn allows(&self, reading: Range) -> bool {
        self.outcomes.iter().any(|expected| expected.range.low <= reading.high && reading.low <= expected.range.high)
    }
}

impl Network {
    /// What the reading shows over the ranges of all parts: always enclosing.
    ///
    /// # Errors
    /// As [`Network::solve`] and [`Network::with_instrument`].
    pub fn expected(&self, reading: &Reading) -> Result<Expected, NetworkProblem> {
        let outcomes = self.enclose_reading(reading)?;
        let unranged = self.unranged(reading, &outcomes)?;
        let floating = self.floating_probes(reading, &outcomes);
        Ok(Expected { outcomes, unranged, floating })
    }

    pub(super) fn enclose_reading(&self, reading: &Reading) -> Result<Vec<ExpectedOutcome>, NetworkProblem> {
        let fitted = self.with_instrument(reading)?;
        let outcomes = fitted.settle(|state| fitted.enclosed_drives(state))?;
        let mut expected: Vec<ExpectedOutcome> = Vec::new();
        for outcome in outcomes {
            let Enclosed { range, method } = fitted.enclose_outcome(reading, &outcome.state)?;
            expected.push(ExpectedOutcome { outcome, range, method });
        }
        Ok(expected)
    }

    /// The reading in one state, by the instrument already connected.
    fn enclose_outcome(&self, reading: &Reading, state: &State) -> Result<Enclosed, NetworkProblem> {
        let (port, state, supply) = match *reading {
            Reading::Current { through, .. } => {
                return self.enclose_current(&self.branches(state, Supply::Connected), through, Effort::Full);
            }
            Reading::Voltage { plus, minus, .. } => {
                (Port::Voltage { from: plus.0, to: minus.0 }, state.clone(), Supply::Connected)
            }
            Reading::Resistance { from, to } => {
                (Port::Resistance { from: from.0, to: to.0 }, self.unpowered(state), Supply::Lifted)
            }
        };
        let branches = self.branches(&state, supply);
        enclose(self.points.len(), &branches, port, Effort::Full)
            .map_err(|found| self.nothing_limits(&branches, &found))
    }

    /// The state after the supply is taken away: blown fuses stay blown, all else returns.
    pub(super) fn unpowered(&self, state: &State) -> State {
        state.keeping(|part| self.fitted(part).is_ok_and(|fitted| fitted.device() == Some(Device::Fuse)))
    }

    /// The probed points without a path to ground when the instrument is taken away, in any outcome.
    fn floating_probes(&self, reading: &Reading, outcomes: &[ExpectedOutcome]) -> Vec<PointId> {
        let Reading::Voltage { plus, minus, .. } = *reading else {
            return Vec::new();
        };
        let probes = [plus, minus];
        let floats = |point: PointId| outcomes.iter().any(|expected| self.floats(point, &expected.outcome.state));
        probes.into_iter().filter(|&point| floats(point)).collect()
    }

    fn floats(&self, point: PointId, state: &State) -> bool {
        let branches = self.branches::<f64>(state, Supply::Connected);
        let pairs = branches.iter().map(|branch| (branch.from, branch.to));
        let islands = Islands::new(self.points.len(), pairs);
        islands.find(point.0) != islands.find(GROUND.0)
    }
}
