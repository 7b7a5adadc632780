//! The network itself: points, parts, and what is the matter with each part.
//!
//! Why: a plain list that is cheap to copy, so that each fault and each setup is a copy with a change. It must not know how it is solved.

use std::collections::BTreeSet;

use super::part::{Part, PartId, Path, Place, Position, Relay};
use super::point::{PointId, Points};
use super::problem::NetworkProblem;
use super::spread::Basis;

/// Whether a motor turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turning {
    /// As it should.
    Free,
    /// Held fast.
    Stalled,
}

/// A part as it stands in the network.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    /// The author's name.
    pub(super) name: String,
    /// What it is.
    pub(super) part: Part,
    /// Whether its main path is interrupted.
    pub(super) broken: BTreeSet<Path>,
    /// The position that it sticks in.
    pub(super) stuck: Option<Position>,
    /// Whether it turns, if it is a motor.
    pub(super) turning: Turning,
}

/// A direct-current network of named points and parts.
#[derive(Clone, Debug)]
pub struct Network {
    pub(super) points: Points,
    pub(super) parts: Vec<Fitted>,
}

impl Default for Network {
    fn default() -> Network {
        Network::new()
    }
}

impl Network {
    /// A network that has only the point `ground`.
    pub fn new() -> Network {
        Network {
            points: Points::new(),
            parts: Vec::new(),
        }
    }

    /// The point of this name, made if there is none yet; `ground` is [`super::GROUND`].
    pub fn point(&mut self, name: &str) -> PointId {
        self.points.named(name)
    }

    /// The point of this name, if there is one.
    pub fn find_point(&self, name: &str) -> Option<PointId> {
        self.points.find(name)
    }

    /// The part of this name, if there is one.
    pub fn find_part(&self, name: &str) -> Option<PartId> {
        self.parts
            .iter()
            .position(|fitted| fitted.name == name)
            .map(PartId)
    }

    /// A point's name; empty for one that lies inside a part or in another network.
    pub fn point_name(&self, point: PointId) -> &str {
        self.points.name(point).unwrap_or_default()
    }

    /// A part's name; empty for one of another network.
    pub fn part_name(&self, part: PartId) -> &str {
        self.parts
            .get(part.0)
            .map_or("", |fitted| fitted.name.as_str())
    }

    /// Adds a part.
    ///
    /// # Errors
    /// If the name is taken, a point is of another network, a path begins and ends at one point, or a rating makes no sense.
    pub fn add(&mut self, name: &str, part: Part) -> Result<PartId, NetworkProblem> {
        if self.find_part(name).is_some() {
            return Err(NetworkProblem::NameTaken {
                name: name.to_owned(),
            });
        }
        self.check(name, &part)?;
        Ok(self.fit(name.to_owned(), part))
    }

    /// Adds a part that is known to be in order.
    pub(super) fn fit(&mut self, name: String, part: Part) -> PartId {
        self.parts.push(Fitted {
            name,
            part,
            broken: BTreeSet::new(),
            stuck: None,
            turning: Turning::Free,
        });
        PartId(self.parts.len() - 1)
    }

    fn check(&self, name: &str, part: &Part) -> Result<(), NetworkProblem> {
        for (one, other) in part.paths() {
            if !self.points.holds(one) || !self.points.holds(other) {
                return Err(NetworkProblem::Foreign);
            }
            if one == other {
                let point = self.point_name(one).to_owned();
                return Err(NetworkProblem::SameEnds {
                    part: name.to_owned(),
                    point,
                });
            }
        }
        match part {
            Part::Fuse { rating, .. } => check_rating(name, *rating),
            Part::Relay(relay) => check_relay(name, relay),
            _ => Ok(()),
        }
    }

    /// The part, or word that it is none of this network's.
    pub(super) fn fitted(&self, part: PartId) -> Result<&Fitted, NetworkProblem> {
        self.parts.get(part.0).ok_or(NetworkProblem::Foreign)
    }

    /// The part, to change it.
    pub(super) fn fitted_mut(&mut self, part: PartId) -> Result<&mut Fitted, NetworkProblem> {
        self.parts.get_mut(part.0).ok_or(NetworkProblem::Foreign)
    }

    /// Whether the place is one of this network's.
    pub(super) fn check_place(&self, place: Place) -> Result<(), NetworkProblem> {
        let fitted = self.fitted(place.part)?;
        match (place.path, &fitted.part) {
            (Path::Main, _) | (Path::Coil, Part::Relay(_)) => Ok(()),
            (Path::Coil, other) => Err(fitted.wrong_kind(
                other.kind(),
                "a relay, the only part with a coil of its own",
            )),
        }
    }

    /// The parts with a presumed value, each widened ten times either way where `chosen` says so.
    pub(super) fn widened(&self, chosen: impl Fn(PartId) -> bool) -> Network {
        let mut copy = self.clone();
        for (number, fitted) in copy.parts.iter_mut().enumerate() {
            if chosen(PartId(number)) {
                for spread in fitted.part.spreads() {
                    *spread = spread.widened();
                }
            }
        }
        copy
    }

    /// The parts that have a presumed value.
    pub(super) fn presumed(&self) -> Vec<PartId> {
        let has = |fitted: &Fitted| {
            fitted
                .part
                .clone()
                .spreads()
                .iter()
                .any(|spread| spread.basis() == Basis::Presumed)
        };
        self.parts
            .iter()
            .enumerate()
            .filter(|(_, fitted)| has(fitted))
            .map(|(number, _)| PartId(number))
            .collect()
    }
}

impl Fitted {
    /// The problem of a defect that doesn't suit the part.
    pub(super) fn wrong_kind(&self, found: &'static str, expected: &'static str) -> NetworkProblem {
        NetworkProblem::WrongKind {
            part: self.name.clone(),
            found,
            expected,
        }
    }

    /// Whether this path can conduct at all.
    pub(super) fn is_sound(&self, path: Path) -> bool {
        !self.broken.contains(&path)
    }
}

fn check_rating(name: &str, rating: f64) -> Result<(), NetworkProblem> {
    if rating.is_finite() && rating > 0.0 {
        Ok(())
    } else {
        Err(NetworkProblem::BadRating {
            part: name.to_owned(),
            found: rating,
        })
    }
}

fn check_relay(name: &str, relay: &Relay) -> Result<(), NetworkProblem> {
    check_rating(name, relay.pull_in)?;
    check_rating(name, relay.drop_out)?;
    if relay.make.is_none() && relay.rest.is_none() {
        return Err(NetworkProblem::NoContact {
            relay: name.to_owned(),
        });
    }
    if relay.drop_out >= relay.pull_in {
        let Relay {
            pull_in, drop_out, ..
        } = *relay;
        return Err(NetworkProblem::RelayLimits {
            relay: name.to_owned(),
            pull_in,
            drop_out,
        });
    }
    Ok(())
}

/// The rating that a fuse may have.
pub(super) fn checked_rating(name: &str, rating: f64) -> Result<f64, NetworkProblem> {
    check_rating(name, rating).map(|()| rating)
}
