//! Makes a network smaller without moving what is seen at two of its points.
//!
//! Why: each part with a range doubles the corners to try. Parts in series and parts in parallel that nothing taps become one part whose range is
//! exact, because each of them stands in one place only. If too many are left, points are taken out by the star-mesh transformation on
//! ranges: still enclosing, no longer the tightest, since one conductance then stands in several places. It must not know what is read.

use std::collections::BTreeMap;

use super::arm::{Arm, millman, parallel};
use super::range::Range;

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
                let joined =
                    Arm { from: one.from, to: other.from, volts: one.volts - other.volts, ohms: one.ohms + other.ohms };
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

    /// Takes out the point with the fewest branches by star-mesh on ranges; false if only the kept points are left.
    pub(super) fn take_one_out(&mut self) -> bool {
        let degree = self.degrees();
        let open = (0..self.points).filter(|point| degree[*point] > 0 && !self.kept.contains(point));
        let Some(point) = open.min_by_key(|&point| degree[point]) else {
            return false;
        };
        let legs = self.legs(point);
        for (place, one) in legs.iter().enumerate() {
            for (offset, other) in legs[place + 1..].iter().enumerate() {
                let second = place + 1 + offset;
                let rest = legs.iter().enumerate().filter(|(third, _)| *third != place && *third != second);
                let rest = rest.fold(Range::ZERO, |sum, (_, leg)| sum + leg.siemens());
                self.arms.push(Arm {
                    from: one.from,
                    to: other.from,
                    volts: one.volts - other.volts,
                    ohms: one.ohms + other.ohms + one.ohms * other.ohms * rest,
                });
            }
        }
        true
    }
}
