//! The network itself: points, parts, and what is the matter with each part.
//!
//! Why: a plain list that is cheap to copy, so that each fault and each setup is a copy with a change. It must not know how it is solved.

use std::collections::BTreeSet;

use super::fitted::{Fitted, Turning};
use super::part::Part;
use super::place::PartId;
use super::point::{PointId, Points};
use super::problem::NetworkProblem;
use super::spread::Basis;

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
        Network { points: Points::new(), parts: Vec::new() }
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
        self.parts.iter().position(|fitted| fitted.name == name).map(PartId)
    }

    /// A point's name; empty for one that lies inside a part or in another network.
    pub fn point_name(&self, point: PointId) -> &str {
        self.points.name(point).unwrap_or_default()
    }

    /// A part's name; empty for one of another network.
    pub fn part_name(&self, part: PartId) -> &str {
        self.parts.get(part.0).map_or("", |fitted| fitted.name.as_str())
    }

    /// Adds a part.
    ///
    /// # Errors
    /// If the name is taken, a point is of another network, a path begins and ends at one point, or a rating makes no sense.
    pub fn add(&mut self, name: &str, part: Part) -> Result<PartId, NetworkProblem> {
        if self.find_part(name).is_some() {
            return Err(NetworkProblem::NameTaken { name: name.to_owned() });
        }
        self.check(name, &part)?;
        Ok(self.fit(name.to_owned(), part))
    }

    /// Adds a part that is known to be in order.
    pub(super) fn fit(&mut self, name: String, part: Part) -> PartId {
        self.parts.push(Fitted { name, part, broken: BTreeSet::new(), stuck: None, turning: Turning::Free });
        PartId(self.parts.len() - 1)
    }

    /// The part, or word that it is none of this network's.
    pub(super) fn fitted(&self, part: PartId) -> Result<&Fitted, NetworkProblem> {
        self.parts.get(part.0).ok_or(NetworkProblem::Foreign)
    }

    /// The part, to change it.
    pub(super) fn fitted_mut(&mut self, part: PartId) -> Result<&mut Fitted, NetworkProblem> {
        self.parts.get_mut(part.0).ok_or(NetworkProblem::Foreign)
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
        let has =
            |fitted: &Fitted| fitted.part.clone().spreads().iter().any(|spread| spread.basis() == Basis::Presumed);
        self.parts.iter().enumerate().filter(|(_, fitted)| has(fitted)).map(|(number, _)| PartId(number)).collect()
    }
}
