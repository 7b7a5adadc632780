//! What may be wrong with a network: the faults of a circuit declaration, and the changes of a setup.
//!
//! Why: a fault is the sound network with a change, nothing more, so that each is reckoned in the same way. It must not know their names in a
//! rulebook.

use super::circuit::{Network, Turning, checked_rating};
use super::part::{Part, PartId, Place, Position};
use super::point::PointId;
use super::problem::NetworkProblem;
use super::spread::Spread;

/// Resistance of a short where the author gives none, ohm (algorithms.md section 7).
pub const SHORT_OHM: f64 = 0.01;

/// One change to a sound network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Defect {
    /// The path conducts no more: a broken wire, a blown fuse, a dead motor, a connector pulled off.
    Open(Place),
    /// Two points touch.
    Short {
        /// One.
        from: PointId,
        /// The other.
        to: PointId,
        /// Resistance of the touch, ohm; see [`Defect::short`].
        ohm: Spread,
    },
    /// Resistance in series with the path: corrosion, a burnt contact.
    Adds {
        /// The path.
        at: Place,
        /// How much, ohm.
        ohm: Spread,
    },
    /// A switch or relay stays in a position whatever moves it; a fuse stuck closed is bridged and never opens.
    Sticks {
        /// The part.
        part: PartId,
        /// Where it stays.
        position: Position,
    },
    /// A battery that is discharged or worn.
    Weak {
        /// The battery.
        battery: PartId,
        /// Its voltage without load instead, volts.
        emf: Option<Spread>,
        /// Its internal resistance instead, ohm.
        internal: Option<Spread>,
    },
    /// A fuse of another rating in this place.
    Rating {
        /// The fuse.
        fuse: PartId,
        /// Its rating, ampere.
        ampere: f64,
    },
    /// A motor held fast.
    Stalls(PartId),
    /// A part replaced by a plain resistance: a coil with shorted turns, a direct feed through a lead.
    Becomes {
        /// The path.
        at: Place,
        /// Its resistance instead, ohm.
        ohm: Spread,
    },
}

impl Defect {
    /// A short of [`SHORT_OHM`].
    pub fn short(from: PointId, to: PointId) -> Defect {
        Defect::Short {
            from,
            to,
            ohm: Spread::fixed(SHORT_OHM, SHORT_OHM, SHORT_OHM),
        }
    }
}

impl Network {
    /// A copy with these defects, made in their order.
    ///
    /// # Errors
    /// If a defect names a part or point of another network or a kind of part that can't have it.
    pub fn with(&self, defects: &[Defect]) -> Result<Network, NetworkProblem> {
        let mut copy = self.clone();
        for defect in defects {
            copy.suffer(defect)?;
        }
        Ok(copy)
    }

    fn suffer(&mut self, defect: &Defect) -> Result<(), NetworkProblem> {
        match *defect {
            Defect::Open(at) => {
                self.check_place(at)?;
                self.fitted_mut(at.part)?.broken.insert(at.path);
                Ok(())
            }
            Defect::Short { from, to, ohm } => self.short(from, to, ohm),
            Defect::Adds { at, ohm } => self.add_in_series(at, ohm),
            Defect::Sticks { part, position } => self.stick(part, position),
            Defect::Weak {
                battery,
                emf,
                internal,
            } => self.weaken(battery, emf, internal),
            Defect::Rating { fuse, ampere } => self.rerate(fuse, ampere),
            Defect::Stalls(motor) => self.stall(motor),
            Defect::Becomes { at, ohm } => self.replace(at, ohm),
        }
    }

    fn short(&mut self, from: PointId, to: PointId, ohm: Spread) -> Result<(), NetworkProblem> {
        if !self.points.holds(from) || !self.points.holds(to) {
            return Err(NetworkProblem::Foreign);
        }
        if from == to {
            return Err(NetworkProblem::SamePoint {
                point: self.point_name(from).to_owned(),
            });
        }
        let name = format!(
            "short from {} to {}",
            self.point_name(from),
            self.point_name(to)
        );
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
        self.fit(
            name,
            Part::Conductor {
                from: outer,
                to: inner,
                ohm,
            },
        );
        Ok(())
    }

    fn stick(&mut self, part: PartId, position: Position) -> Result<(), NetworkProblem> {
        let fitted = self.fitted_mut(part)?;
        match (&fitted.part, position) {
            (Part::Switch { .. } | Part::Relay(_), _) | (Part::Fuse { .. }, Position::Closed) => {
                fitted.stuck = Some(position);
                Ok(())
            }
            (other, _) => Err(fitted.wrong_kind(
                other.kind(),
                "a switch or relay that sticks, or a fuse that is bridged",
            )),
        }
    }

    fn weaken(
        &mut self,
        battery: PartId,
        emf: Option<Spread>,
        internal: Option<Spread>,
    ) -> Result<(), NetworkProblem> {
        let fitted = self.fitted_mut(battery)?;
        match &mut fitted.part {
            Part::Battery {
                emf: old_emf,
                internal: old_internal,
                ..
            } => {
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
            Part::Motor {
                stalled: Some(_), ..
            } => {
                fitted.turning = Turning::Stalled;
                Ok(())
            }
            Part::Motor { stalled: None, .. } => Err(fitted.wrong_kind(
                "motor without a stalled current",
                "one with the current that it takes when held fast",
            )),
            other => Err(fitted.wrong_kind(other.kind(), "a motor, the only part that can stall")),
        }
    }

    fn replace(&mut self, at: Place, ohm: Spread) -> Result<(), NetworkProblem> {
        self.check_place(at)?;
        let fitted = self.fitted_mut(at.part)?;
        match (&mut fitted.part, at.path) {
            (Part::Relay(relay), super::part::Path::Coil) => relay.coil_ohm = ohm,
            (Part::Relay(relay), super::part::Path::Main) => relay.contact_ohm = ohm,
            (
                Part::Motor {
                    running, stalled, ..
                },
                _,
            ) => {
                *running = ohm;
                *stalled = stalled.map(|_| ohm);
            }
            (Part::Battery { internal, .. }, _) => *internal = ohm,
            (Part::Meter { meter, .. }, _) => *meter = super::meter::Meter::Other(ohm),
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
