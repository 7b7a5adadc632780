//! Which presumed values matter for a reading.
//!
//! Why: a circuit with a usual value put in for a fuse's resistance still rules out, as long as that value could be ten times off either way without
//! anybody seeing it in the reading. It must not know verdicts.

use super::circuit::Network;
use super::expected::ExpectedOutcome;
use super::meter::Reading;
use super::place::PartId;
use super::problem::NetworkProblem;

/// A change of a reading that nobody would see: volts, ampere, ohm, and as a share of the reading.
const UNSEEN: f64 = 1e-3;

impl Network {
    /// The presumed parts that move the reading visibly when their value is ten times smaller or greater.
    pub(super) fn unranged(&self, reading: &Reading, known: &[ExpectedOutcome]) -> Result<Vec<PartId>, NetworkProblem> {
        let presumed = self.presumed();
        if presumed.is_empty() || !self.moves(reading, known, |_| true)? {
            return Ok(Vec::new());
        }
        let mut unranged = Vec::new();
        for &part in &presumed {
            if self.moves(reading, known, |other| other == part)? {
                unranged.push(part);
            }
        }
        Ok(if unranged.is_empty() { presumed } else { unranged })
    }

    fn moves(
        &self,
        reading: &Reading,
        known: &[ExpectedOutcome],
        widen: impl Fn(PartId) -> bool,
    ) -> Result<bool, NetworkProblem> {
        let found = match self.widened(widen).enclose_reading(reading) {
            Ok(found) => found,
            Err(NetworkProblem::TooManyOutcomes { .. }) => return Ok(true),
            Err(problem) => return Err(problem),
        };
        let is_same = |one: &ExpectedOutcome, other: &ExpectedOutcome| {
            one.outcome.state == other.outcome.state
                && is_unseen(one.range.low, other.range.low)
                && is_unseen(one.range.high, other.range.high)
        };
        Ok(found.len() != known.len() || !found.iter().zip(known).all(|(one, other)| is_same(one, other)))
    }
}

/// Whether two readings look the same.
fn is_unseen(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= UNSEEN * one.abs().max(1.0)
}
