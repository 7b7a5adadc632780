//! Whether a part, place or rating may stand in a network.
//!
//! Why: what is let in here is solved later without a second thought. It must not know how.

use super::circuit::Network;
use super::part::Part;
use super::place::{Path, Place};
use super::point::PointId;
use super::problem::NetworkProblem;
use super::relay::Relay;

impl Network {
    /// Whether a part of this name may be added.
    pub(super) fn check(&self, name: &str, part: &Part) -> Result<(), NetworkProblem> {
        for (one, other) in part.paths() {
            if !self.points.holds(one) || !self.points.holds(other) {
                return Err(NetworkProblem::Foreign);
            }
            if one == other {
                let point = self.point_name(one).to_owned();
                return Err(NetworkProblem::SameEnds { part: name.to_owned(), point });
            }
        }
        match part {
            Part::Fuse { rating, .. } => check_rating(name, *rating),
            Part::Relay(relay) => check_relay(name, relay),
            _ => Ok(()),
        }
    }

    /// Whether the place is one of this network's.
    pub(super) fn check_place(&self, place: Place) -> Result<(), NetworkProblem> {
        let fitted = self.fitted(place.part)?;
        match (place.path, &fitted.part) {
            (Path::Main, _) | (Path::Coil, Part::Relay(_)) => Ok(()),
            (Path::Coil, other) => {
                Err(fitted.wrong_kind(other.kind(), "a relay, the only part with a coil of its own"))
            }
        }
    }

    /// Whether two probes may be set.
    pub(super) fn check_probes(&self, one: PointId, other: PointId) -> Result<(), NetworkProblem> {
        if !self.points.holds(one) || !self.points.holds(other) {
            return Err(NetworkProblem::Foreign);
        }
        if one == other {
            return Err(NetworkProblem::SamePoint { point: self.point_name(one).to_owned() });
        }
        Ok(())
    }
}

fn check_rating(name: &str, rating: f64) -> Result<(), NetworkProblem> {
    if rating.is_finite() && rating > 0.0 {
        Ok(())
    } else {
        Err(NetworkProblem::BadRating { part: name.to_owned(), found: rating })
    }
}

fn check_relay(name: &str, relay: &Relay) -> Result<(), NetworkProblem> {
    check_rating(name, relay.pull_in)?;
    check_rating(name, relay.drop_out)?;
    if relay.make.is_none() && relay.rest.is_none() {
        return Err(NetworkProblem::NoContact { relay: name.to_owned() });
    }
    if relay.drop_out >= relay.pull_in {
        let Relay { pull_in, drop_out, .. } = *relay;
        return Err(NetworkProblem::RelayLimits { relay: name.to_owned(), pull_in, drop_out });
    }
    Ok(())
}

/// The rating that a fuse may have.
pub(super) fn checked_rating(name: &str, rating: f64) -> Result<f64, NetworkProblem> {
    check_rating(name, rating).map(|()| rating)
}
