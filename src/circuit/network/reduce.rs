//! Makes a network smaller without moving what is seen at two of its points.
//!
//! Why: each part with a range doubles the corners to try. Parts in series and parts in parallel that nothing taps become one part whose range is
//! exact, because each of them stands in one place only. If too many are left, points are taken out by the star-mesh transformation on
//! ranges: still enclosing, no longer the tightest, since one conductance then stands in several places. It must not know what is read.

use std::collections::BTreeMap;

use super::arm::{Arm, millman, parallel};
use super::mesh::Mesh;
use super::range::Range;

/// How wide a range of ohms counts at most when it is weighed: so many times its own resistance, or so many ohm. Beyond, a part is as good as open.
const WIDEST: f64 = 10.0;

/// What draws current at the kept points when a network is read.
#[derive(Clone, Copy)]
pub(super) enum Load {
    /// Nothing: a voltage is read.
    Nothing,
    /// An ohmmeter.
    OneAmpere,
    /// A branch whose current is read.
    Branch {
        /// Its own voltage.
        volts: f64,
        /// Its resistance.
        ohms: f64,
    },
}

/// What drives a network while it is weighed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Drive {
    /// Its own sources.
    Sources,
    /// One ampere into the first kept point and out of the second.
    OneAmpere,
}

/// How parallel branches may be joined.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Joining {
    /// Only those without sources: exact.
    Exact,
    /// All, by Millman's theorem on ranges: enclosing.
    Enclosing,
}

/// A network under reduction, with two points that stay.
pub(super) struct Reduced {
    /// Its branches.
    pub(super) arms: Vec<Arm>,
    kept: [usize; 2],
    points: usize,
}

impl Reduced {
    /// A network with `points` points, of which `kept` stay.
    pub(super) fn new(points: usize, arms: Vec<Arm>, kept: [usize; 2]) -> Reduced {
        Reduced { arms, kept, points }
    }

    /// How many ranges are left to try at both ends.
    pub(super) fn ranges(&self) -> usize {
        self.arms.iter().map(|arm| usize::from(arm.volts.is_wide()) + usize::from(arm.ohms.is_wide())).sum()
    }

    /// Joins series and parallel branches and drops dead ends until nothing more is to be done.
    pub(super) fn simplify(&mut self, joining: Joining) {
        loop {
            let before = self.arms.len();
            self.arms.retain(|arm| arm.from != arm.to);
            self.join_parallel(joining);
            self.join_series();
            if self.arms.len() == before {
                return;
            }
        }
    }

    fn join_parallel(&mut self, joining: Joining) {
        let mut seen: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        let mut kept: Vec<Arm> = Vec::with_capacity(self.arms.len());
        for &arm in &self.arms {
            if joining == Joining::Exact && arm.volts != Range::ZERO {
                kept.push(arm);
                continue;
            }
            let arm = arm.towards(arm.from.max(arm.to));
            match seen.get(&(arm.from, arm.to)) {
                Some(&place) => {
                    let join = if joining == Joining::Exact { parallel } else { millman };
                    kept[place] = join(kept[place], arm);
                }
                None => {
                    seen.insert((arm.from, arm.to), kept.len());
                    kept.push(arm);
                }
            }
        }
        self.arms = kept;
    }

    /// Takes out points with one branch or two.
    fn join_series(&mut self) {
        let mut degree = self.degrees();
        for point in 0..self.points {
            if self.kept.contains(&point) || degree[point] == 0 || degree[point] > 2 {
                continue;
            }
            let legs = self.legs(point);
            for leg in &legs {
                degree[leg.from] -= 1;
                degree[leg.to] -= 1;
            }
            if let [one, other] = legs.as_slice() {
                let joined = one.in_series(*other);
                if joined.from != joined.to {
                    degree[joined.from] += 1;
                    degree[joined.to] += 1;
                    self.arms.push(joined);
                }
            }
        }
    }

    /// Takes the branches at a point out, each turned to lead there.
    fn legs(&mut self, point: usize) -> Vec<Arm> {
        let (legs, rest) = self.arms.iter().partition(|arm| arm.from == point || arm.to == point);
        self.arms = rest;
        let legs: Vec<Arm> = legs;
        legs.into_iter().map(|arm| arm.towards(point)).collect()
    }

    fn degrees(&self) -> Vec<usize> {
        let mut degree = vec![0; self.points];
        for arm in &self.arms {
            degree[arm.from] += 1;
            degree[arm.to] += 1;
        }
        degree
    }

    /// Finds out roughly how far the ranges of each branch move what is read, the others being at one value each: by Tellegen's theorem what is
    /// read moves with a resistance as the current in it times the current that one ampere at the kept points drives through it.
    pub(super) fn weigh(&mut self, load: Load) {
        let driven = self.levels(Drive::Sources);
        let asked = self.levels(Drive::OneAmpere);
        let [first, second] = self.kept;
        let drawn = match load {
            Load::Nothing => 0.0,
            Load::OneAmpere => 1.0,
            Load::Branch { volts, ohms } => (driven[first] - driven[second] - volts) / (asked[first] + ohms),
        };
        for arm in &mut self.arms {
            let rest = arm.at_rest();
            let (volts, ohms) = (rest.volts.low, rest.ohms.low);
            let ampere = (driven[arm.from] - driven[arm.to] - volts) / ohms;
            let share = (asked[arm.from] - asked[arm.to]) / ohms;
            let width = (arm.ohms.high - arm.ohms.low).min(WIDEST.max(WIDEST * ohms));
            let moved = share.abs() * ((ampere.abs() + (drawn * share).abs()) * width + arm.volts.width());
            arm.weight = if moved.is_finite() { moved } else { f64::MAX };
        }
    }

    /// The voltage of every point, each branch at one value, the second kept point being at 0.
    fn levels(&self, drive: Drive) -> Vec<f64> {
        let mut mesh: Mesh<f64> = Mesh::new(self.points);
        for arm in &self.arms {
            let rest = arm.at_rest();
            let volts = if drive == Drive::Sources { rest.volts.low } else { 0.0 };
            mesh.add(arm.from, arm.to, volts, rest.ohms.low);
        }
        if drive == Drive::OneAmpere {
            mesh.feed(self.kept[0], 1.0);
        }
        let degree = self.degrees();
        let mut order: Vec<usize> =
            (0..self.points).filter(|point| degree[*point] > 0 && *point != self.kept[1]).collect();
        order.sort_by_key(|point| degree[*point]);
        order.into_iter().for_each(|point| mesh.eliminate(point));
        mesh.voltages()
    }

    /// Takes out the point whose branches move the reading least by star-mesh on ranges; false if only the kept points are left.
    pub(super) fn take_one_out(&mut self) -> bool {
        let degree = self.degrees();
        let mut weight = vec![0.0; self.points];
        for arm in &self.arms {
            weight[arm.from] += arm.weight;
            weight[arm.to] += arm.weight;
        }
        let open = (0..self.points).filter(|point| degree[*point] > 0 && !self.kept.contains(point));
        let lightest = |one: &usize, other: &usize| {
            weight[*one].total_cmp(&weight[*other]).then(degree[*one].cmp(&degree[*other]))
        };
        let Some(point) = open.min_by(lightest) else { return false };
        let legs = self.legs(point);
        for (place, one) in legs.iter().enumerate() {
            for (offset, other) in legs[place + 1..].iter().enumerate() {
                let second = place + 1 + offset;
                let rest = legs.iter().enumerate().filter(|(third, _)| *third != place && *third != second);
                let rest = rest.fold(Range::ZERO, |sum, (_, leg)| sum + leg.siemens());
                let joined = one.in_series(*other);
                self.arms.push(Arm { ohms: joined.ohms + one.ohms * other.ohms * rest, ..joined });
            }
        }
        true
    }
}
