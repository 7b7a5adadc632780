//! Makes a network smaller without moving what is seen at two of its points.
//!
//! Why: each part with a range doubles the corners to try. Parts in series and parts in parallel that nothing taps become one part whose range is
//! exact, because each of them stands in one place only. If too many are left, points are taken out by the star-mesh transformation on
//! ranges: still enclosing, no longer the tightest, since one conductance then stands in several places. It must not know what is read.

use super::arm::{Arm, millman, parallel};
use super::corners::compact;
use super::mesh::{ASKED, Mesh, SOURCES};
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
    /// By point: how many branches it had when they were last counted.
    degree: Vec<usize>,
}

impl Reduced {
    /// A network with `points` points, of which `kept` stay.
    pub(super) fn new(points: usize, arms: Vec<Arm>, kept: [usize; 2]) -> Reduced {
        Reduced { arms, kept, points, degree: Vec::new() }
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

    /// In place: networks are made smaller by the ten thousand. Branches with sources that are not to be joined go before.
    fn join_parallel(&mut self, joining: Joining) {
        let stays = |arm: &Arm| joining == Joining::Exact && arm.volts != Range::ZERO;
        for arm in self.arms.iter_mut().filter(|arm| !stays(arm)) {
            *arm = arm.towards(arm.from.max(arm.to));
        }
        let points = self.points;
        self.arms.sort_by_key(|arm| if stays(arm) { 0 } else { 1 + arm.from * points + arm.to });
        let join = if joining == Joining::Exact { parallel } else { millman };
        self.arms.dedup_by(|next, arm| {
            let joined = (next.from, next.to) == (arm.from, arm.to) && !stays(next) && !stays(arm);
            if joined {
                *arm = join(*arm, *next);
            }
            joined
        });
    }

    /// Takes out points with one branch or two.
    fn join_series(&mut self) {
        let mut degree = std::mem::take(&mut self.degree);
        self.count(&mut degree);
        for point in 0..self.points {
            if self.kept.contains(&point) || degree[point] == 0 || degree[point] > 2 {
                continue;
            }
            let mut place = 0;
            let legs = [self.leg(point, &mut place), self.leg(point, &mut place)];
            for leg in legs.iter().flatten() {
                degree[leg.from] -= 1;
                degree[leg.to] -= 1;
            }
            if let [Some(one), Some(other)] = legs {
                let joined = one.in_series(other);
                if joined.from != joined.to {
                    degree[joined.from] += 1;
                    degree[joined.to] += 1;
                    self.arms.push(joined);
                }
            }
        }
        self.degree = degree;
    }

    /// Takes out the next branch at a point from a place on, turned to lead there.
    fn leg(&mut self, point: usize, place: &mut usize) -> Option<Arm> {
        let at = |arm: &Arm| arm.from == point || arm.to == point;
        *place += self.arms.get(*place..)?.iter().position(at)?;
        Some(self.arms.swap_remove(*place).towards(point))
    }

    /// Takes the branches at a point out, each turned to lead there.
    fn legs(&mut self, point: usize) -> Vec<Arm> {
        let mut place = 0;
        std::iter::from_fn(|| self.leg(point, &mut place)).collect()
    }

    /// Counts the branches at each point.
    fn count(&self, degree: &mut Vec<usize>) {
        degree.clear();
        degree.resize(self.points, 0);
        for arm in &self.arms {
            degree[arm.from] += 1;
            degree[arm.to] += 1;
        }
    }

    /// Finds out roughly how far the ranges of each branch move what is read, the others being at one value each: by Tellegen's theorem what is
    /// read moves with a resistance as the current in it times the current that one ampere at the kept points drives through it.
    pub(super) fn weigh(&mut self, load: Load) {
        let (arms, levels) = self.levels();
        let across = |arm: &Arm, feeding: usize| levels[arm.from][feeding] - levels[arm.to][feeding];
        let drawn = match load {
            Load::Nothing => 0.0,
            Load::OneAmpere => 1.0,
            Load::Branch { volts, ohms } => {
                (levels[0][SOURCES] - levels[1][SOURCES] - volts) / (levels[0][ASKED] + ohms)
            }
        };
        for (arm, compact) in self.arms.iter_mut().zip(&arms) {
            let rest = arm.at_rest();
            let (volts, ohms) = (rest.volts.low, rest.ohms.low);
            let ampere = (across(compact, SOURCES) - volts) / ohms;
            let share = across(compact, ASKED) / ohms;
            let width = (arm.ohms.high - arm.ohms.low).min(WIDEST.max(WIDEST * ohms));
            let moved = share.abs() * ((ampere.abs() + (drawn * share).abs()) * width + arm.volts.width());
            arm.weight = if moved.is_finite() { moved } else { f64::MAX };
        }
    }

    /// The arms with their points numbered anew, the kept ones 0 and 1, and the voltage of every such point, each branch at one value, the
    /// second kept point being at 0: once driven by the sources, once by one ampere into the first kept point.
    fn levels(&self) -> (Vec<Arm>, Vec<[f64; 2]>) {
        let arms = compact(&self.arms, self.kept);
        let size = arms.iter().map(|arm| arm.from.max(arm.to) + 1).max().unwrap_or(0).max(2);
        let mut mesh: Mesh<f64, 2> = Mesh::new(size);
        for arm in &arms {
            let rest = arm.at_rest();
            mesh.add(arm.from, arm.to, rest.volts.low, rest.ohms.low);
        }
        mesh.feed(0, ASKED, 1.0);
        mesh.eliminate_all_but([0, 1]);
        mesh.eliminate(0);
        let levels = mesh.voltages();
        (arms, levels)
    }

    /// Takes out the point whose branches move the reading least by star-mesh on ranges; false if only the kept points are left.
    pub(super) fn take_one_out(&mut self) -> bool {
        let mut degree = Vec::new();
        self.count(&mut degree);
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
