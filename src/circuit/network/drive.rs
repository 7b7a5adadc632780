//! What moves each relay, fuse and diode in a given state: coil volts, fuse ampere, diode volts or ampere.
//!
//! Why: measured at nominal values or over the ranges, in the same places. It must not know what follows from it.

use super::branch::{Branch, Supply};
use super::circuit::Network;
use super::enclose::enclose;
use super::judge::Drive;
use super::part::Part;
use super::place::{PartId, Place};
use super::point::PointId;
use super::port::{Effort, Enclosed, Port};
use super::problem::NetworkProblem;
use super::range::Range;
use super::solution::Solution;
use super::state::{Device, State};

impl Network {
    /// All drives at nominal values.
    pub(super) fn nominal_drives(&self, solution: &Solution, state: &State) -> Result<Vec<Drive>, NetworkProblem> {
        let measure = |quantity| {
            let size = match quantity {
                Quantity::Volts(from, to) => solution.across(from, to).unwrap_or(0.0),
                Quantity::Ampere(place) => solution.current(place).ok_or_else(|| self.undivided(place))?,
            };
            Ok(Range::exactly(size))
        };
        let mut drives = Vec::new();
        for (part, device) in self.devices() {
            drives.extend(self.drive(part, device, state, measure)?);
        }
        Ok(drives)
    }

    /// All drives over the ranges of the parts. A first look that decides a device is not refined.
    pub(super) fn enclosed_drives(&self, state: &State) -> Result<Vec<Drive>, NetworkProblem> {
        let branches = self.branches::<Range>(state, Supply::Connected);
        let mut drives = Vec::new();
        for (part, device) in self.devices() {
            let look = |effort| {
                let measure = |quantity| self.enclose_quantity(&branches, quantity, effort);
                self.drive(part, device, state, measure)
            };
            let is_decided = |drive: &Option<Drive>| drive.is_none_or(|drive| self.is_decided(&drive, state));
            let first = look(Effort::FirstLook)?;
            drives.extend(if is_decided(&first) { first } else { look(Effort::Full)? });
        }
        Ok(drives)
    }

    fn enclose_quantity(
        &self,
        branches: &[Branch<Range>],
        quantity: Quantity,
        effort: Effort,
    ) -> Result<Range, NetworkProblem> {
        let found = match quantity {
            Quantity::Volts(from, to) => {
                let port = Port::Voltage { from: from.0, to: to.0 };
                enclose(self.points.len(), branches, port, effort)
                    .map_err(|found| self.nothing_limits(branches, &found))
            }
            Quantity::Ampere(place) => self.enclose_current(branches, place, effort),
        };
        found.map(|enclosed| enclosed.range)
    }

    /// The current through a place over the ranges of the parts; 0 if it does not conduct.
    pub(super) fn enclose_current(
        &self,
        branches: &[Branch<Range>],
        place: Place,
        effort: Effort,
    ) -> Result<Enclosed, NetworkProblem> {
        let Some(branch) = branches.iter().position(|branch| branch.place == place) else {
            return Ok(Enclosed::nothing());
        };
        let found = enclose(self.points.len(), branches, Port::Current { branch }, effort);
        let found = found.map_err(|found| self.nothing_limits(branches, &found))?;
        if found.range.width().is_finite() { Ok(found) } else { Err(self.undivided(place)) }
    }

    fn undivided(&self, place: Place) -> NetworkProblem {
        NetworkProblem::Undivided { part: self.part_name(place.part).to_owned() }
    }

    /// The drive of one device; none for a fuse that has opened.
    fn drive(
        &self,
        part: PartId,
        device: Device,
        state: &State,
        measure: impl Fn(Quantity) -> Result<Range, NetworkProblem>,
    ) -> Result<Option<Drive>, NetworkProblem> {
        let moved = state.has_moved(part);
        let through = Quantity::Ampere(part.into());
        let size = match &self.fitted(part)?.part {
            Part::Relay(relay) => measure(Quantity::Volts(relay.coil.0, relay.coil.1))?.abs(),
            Part::Fuse { rating, .. } if !moved => measure(through)?.abs() / Range::exactly(*rating),
            Part::Diode { .. } if moved => measure(through)?,
            Part::Diode { anode, cathode, .. } => measure(Quantity::Volts(*anode, *cathode))?,
            _ => return Ok(None),
        };
        Ok(Some(Drive { part, device, size }))
    }
}

/// What has to be measured for a device.
#[derive(Clone, Copy)]
enum Quantity {
    Volts(PointId, PointId),
    Ampere(Place),
}
