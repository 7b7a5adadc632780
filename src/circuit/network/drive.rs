//! What moves each relay, fuse and diode in a given state, and whether it may, must or can't move.
//!
//! Why: one set of judgements serves the nominal solution (ranges of one value) and the enclosing one. It must not know how outcomes are
//! searched for.

use super::branch::{Branch, Supply};
use super::circuit::Network;
use super::enclose::{Effort, Enclosed, Port, enclose};
use super::fuse::{FuseAnswer, fuse_answer};
use super::part::{Part, PartId, Place, Relay};
use super::point::PointId;
use super::problem::NetworkProblem;
use super::range::Range;
use super::solution::Solution;
use super::state::{Device, State};

/// Voltages closer than this, relative, count as equal.
const SAME: f64 = 1e-9;

/// A device with the quantity that moves it: coil volts without sign, share of the fuse's rating, volts or ampere forward.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drive {
    /// The part.
    pub(super) part: PartId,
    /// Its kind.
    pub(super) device: Device,
    /// Within what the quantity lies.
    pub(super) size: Range,
}

/// What a relay or diode does, over all of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Judgement {
    /// Whether it may stay as it is.
    pub(super) may_stay: bool,
    /// Whether it may move.
    pub(super) may_move: bool,
    /// Whether it must move for a part of the range at least.
    pub(super) is_driven: bool,
}

/// A relay: surely in from `pull_in`, surely out up to `drop_out`, either way between.
fn judge_relay(relay: &Relay, coil: Range, pulled_in: bool) -> Judgement {
    let surely_in = |volts: f64| volts >= relay.pull_in * (1.0 - SAME);
    let surely_out = |volts: f64| volts <= relay.drop_out * (1.0 + SAME);
    if pulled_in {
        Judgement {
            may_stay: !surely_out(coil.high),
            may_move: !surely_in(coil.low),
            is_driven: surely_out(coil.low),
        }
    } else {
        Judgement {
            may_stay: !surely_in(coil.low),
            may_move: !surely_out(coil.high),
            is_driven: surely_in(coil.high),
        }
    }
}

/// A diode: starts at its forward voltage, stops when its current would turn round.
fn judge_diode(drop: Range, size: Range, conducting: bool) -> Judgement {
    let (least, most) = if conducting {
        (-size.high, -size.low)
    } else {
        (size.low - drop.high, size.high - drop.low)
    };
    let edge = SAME * drop.high;
    Judgement {
        may_stay: least <= edge,
        may_move: most > edge,
        is_driven: most > edge,
    }
}

impl Network {
    /// What a relay or diode does under this drive.
    pub(super) fn judge(&self, drive: &Drive, state: &State) -> Judgement {
        let moved = state.has_moved(drive.part);
        match self.fitted(drive.part).map(|fitted| &fitted.part) {
            Ok(Part::Relay(relay)) => judge_relay(relay, drive.size, moved),
            Ok(Part::Diode { drop, .. }) => judge_diode(drop.range(), drive.size, moved),
            _ => Judgement {
                may_stay: true,
                may_move: false,
                is_driven: false,
            },
        }
    }

    /// All drives at nominal values.
    pub(super) fn nominal_drives(
        &self,
        solution: &Solution,
        state: &State,
    ) -> Result<Vec<Drive>, NetworkProblem> {
        let measure = |quantity| {
            let size = match quantity {
                Quantity::Volts(from, to) => solution.across(from, to).unwrap_or(0.0),
                Quantity::Ampere(place) => solution
                    .current(place)
                    .ok_or_else(|| self.undivided(place))?,
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
            let first = look(Effort::FirstLook)?;
            let is_decided = first.is_none_or(|drive| self.is_decided(&drive, state));
            drives.extend(if is_decided {
                first
            } else {
                look(Effort::Full)?
            });
        }
        Ok(drives)
    }

    /// Whether a drive leaves no doubt about what its device does.
    fn is_decided(&self, drive: &Drive, state: &State) -> bool {
        if drive.device == Device::Fuse {
            return fuse_answer(drive.size.high) == FuseAnswer::Holds;
        }
        let judgement = self.judge(drive, state);
        judgement.may_stay != judgement.may_move
    }

    fn enclose_quantity(
        &self,
        branches: &[Branch<Range>],
        quantity: Quantity,
        effort: Effort,
    ) -> Result<Range, NetworkProblem> {
        let found = match quantity {
            Quantity::Volts(from, to) => {
                let port = Port::Voltage {
                    from: from.0,
                    to: to.0,
                };
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
        let found = enclose(
            self.points.len(),
            branches,
            Port::Current { branch },
            effort,
        );
        let found = found.map_err(|found| self.nothing_limits(branches, &found))?;
        if found.range.width().is_finite() {
            Ok(found)
        } else {
            Err(self.undivided(place))
        }
    }

    fn undivided(&self, place: Place) -> NetworkProblem {
        NetworkProblem::Undivided {
            part: self.part_name(place.part).to_owned(),
        }
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
            Part::Fuse { rating, .. } if !moved => {
                measure(through)?.abs() / Range::exactly(*rating)
            }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diode_starts_at_its_drop_and_stops_at_no_current() {
        let drop = Range::exactly(0.7);
        assert!(!judge_diode(drop, Range::exactly(0.6), false).may_move);
        assert!(judge_diode(drop, Range::exactly(0.8), false).is_driven);
        assert!(!judge_diode(drop, Range::exactly(0.1), true).may_move);
        assert!(!judge_diode(drop, Range::exactly(-0.1), true).may_stay);
        let either = judge_diode(drop, Range::between(0.5, 0.9), false);
        assert!(either.may_stay && either.may_move);
    }
}
