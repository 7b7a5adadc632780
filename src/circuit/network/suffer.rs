//! Makes a defect in a network.
//!
//! Why: each kind of part takes a defect in its own way, or not at all. It must not know why the defect is asked for.

use super::check::checked_rating;
use super::circuit::Network;
use super::defect::Defect;
use super::fitted::Turning;
use super::meter::Meter;
use super::part::{Part, Position};
use super::place::{PartId, Path, Place};
use super::point::PointId;
use super::problem::NetworkProblem;
use super::spread::Spread;

impl Network {
    /// Makes one defect.
    pub(super) fn suffer(&mut self, defect: &Defect) -> Result<(), NetworkProblem> {
        match *defect {
            Defect::Open(at) => {
                self.check_place(at)?;
                self.fitted_mut(at.part)?.broken.insert(at.path);
                Ok(())
            }
            Defect::Short { from, to, ohm } => self.short(from, to, ohm),
            Defect::Adds { at, ohm } => self.add_in_series(at, ohm),
            Defect::Sticks { part, position } => self.stick(part, position),
            Defect::Weak { battery, emf, internal } => self.weaken(battery, emf, internal),
            Defect::Rating { fuse, ampere } => self.rerate(fuse, ampere),
            Defect::Stalls(motor) => self.stall(motor),
            Defect::Becomes { at, ohm } => self.replace(at, ohm),
        }
    }

    fn short(&mut self, from: PointId, to: PointId, ohm: Spread) -> Result<(), NetworkProblem> {
        self.check_probes(from, to)?;
        let name = format!("short from {} to {}", self.point_name(from), self.point_name(to));
        self.fit(name, Part::Conductor { from, to, ohm });
        Ok(())
    }

    /// Puts a resistance in series with the path, at a new point inside the part.
    pub(super) fn add_in_series(&mut self, at: Place, ohm: Spread) -> Result<(), NetworkProblem> {
        self.check_place(at)?;
        let inner = self.points.inner();
        let fitted = self.fitted_mut(at.part)?;
        let name = format!("resistance added at {}", fitted.name);
        let Some(entry) = fitted.part.entry(at.path) else {
            return Err(NetworkProblem::Foreign);
        };
        let outer = std::mem::replace(entry, inner);
        self.fit(name, Part::Conductor { from: outer, to: inner, ohm });
        Ok(())
    }

    fn stick(&mut self, part: PartId, position: Position) -> Result<(), NetworkProblem> {
        let fitted = self.fitted_mut(part)?;
        match (&fitted.part, position) {
            (Part::Switch { .. } | Part::Relay(_), _) | (Part::Fuse { .. }, Position::Closed) => {
                fitted.stuck = Some(position);
                Ok(())
            }
            (other, _) => {
                Err(fitted.wrong_kind(other.kind(), "a switch or relay that sticks, or a fuse that is bridged"))
            }
        }
    }

    fn weaken(&mut self, battery: PartId, emf: Option<Spread>, internal: Option<Spread>) -> Result<(), NetworkProblem> {
        let fitted = self.fitted_mut(battery)?;
        match &mut fitted.part {
            Part::Battery { emf: old_emf, internal: old_internal, .. } => {
                *old_emf = emf.unwrap_or(*old_emf);
                *old_internal = internal.unwrap_or(*old_internal);
                Ok(())
            }
            other => {
                let kind = other.kind();
                Err(fitted.wrong_kind(kind, "a battery, the only part that can be weak"))
            }
        }
    }

    fn rerate(&mut self, fuse: PartId, ampere: f64) -> Result<(), NetworkProblem> {
        let checked = checked_rating(self.part_name(fuse), ampere)?;
        let fitted = self.fitted_mut(fuse)?;
        match &mut fitted.part {
            Part::Fuse { rating, .. } => {
                *rating = checked;
                Ok(())
            }
            other => {
                let kind = other.kind();
                Err(fitted.wrong_kind(kind, "a fuse, the only part with a rating to be wrong"))
            }
        }
    }

    fn stall(&mut self, motor: PartId) -> Result<(), NetworkProblem> {
        let fitted = self.fitted_mut(motor)?;
        match &fitted.part {
            Part::Motor { stalled: Some(_), .. } => {
                fitted.turning = Turning::Stalled;
                Ok(())
            }
            Part::Motor { stalled: None, .. } => Err(fitted
                .wrong_kind("motor without a stalled current", "one with the current that it takes when held fast")),
            other => Err(fitted.wrong_kind(other.kind(), "a motor, the only part that can stall")),
        }
    }

    fn replace(&mut self, at: Place, ohm: Spread) -> Result<(), NetworkProblem> {
        self.check_place(at)?;
        let fitted = self.fitted_mut(at.part)?;
        match (&mut fitted.part, at.path) {
            (Part::Relay(relay), Path::Coil) => relay.coil_ohm = ohm,
            (Part::Relay(relay), Path::Main) => relay.contact_ohm = ohm,
            (Part::Motor { running, stalled, .. }, _) => {
                *running = ohm;
                *stalled = stalled.map(|_| ohm);
            }
            (Part::Battery { internal, .. }, _) => *internal = ohm,
            (Part::Meter { meter, .. }, _) => *meter = Meter::Other(ohm),
            (
                Part::Fuse { ohm: old, .. }
                | Part::Conductor { ohm: old, .. }
                | Part::Switch { ohm: old, .. }
                | Part::Diode { ohm: old, .. },
                _,
            ) => *old = ohm,
        }
        Ok(())
    }
}
