//! One reading of a linear network, enclosed over the ranges of all its parts.
//!
//! Why: it joins the steps: ideal links away, series and parallel together, few enough ranges, all corners. It must not know relays or fuses;
//! their positions are settled before.

use super::arm::Arm;
use super::branch::Branch;
use super::extremes::{Asked, extremes};
use super::islands::Islands;
use super::links::{Joined, SourceLoop, join};
use super::port::{Effort, Enclosed, Method, Port};
use super::range::Range;
use super::reduce::{Joining, Load, Reduced};

/// Ideal sources with a range of their own tried at both ends each.
const MOST_IDEAL_SOURCES: usize = 6;

/// A linear network with ranges, under a look of some effort.
struct Linear<'a> {
    points: usize,
    branches: &'a [Branch<Range>],
    effort: Effort,
}

/// Encloses a reading over all ranges.
pub(super) fn enclose(
    points: usize,
    branches: &[Branch<Range>],
    port: Port,
    effort: Effort,
) -> Result<Enclosed, SourceLoop> {
    enclose_sources(points, &mut branches.to_vec(), port, effort, MOST_IDEAL_SOURCES)
}

/// An ideal source with a range feeds several branches at once, so it is set to either end before its points are joined. Those over
/// the limit are joined with their range, which encloses still.
fn enclose_sources(
    points: usize,
    branches: &mut [Branch<Range>],
    port: Port,
    effort: Effort,
    sources_left: usize,
) -> Result<Enclosed, SourceLoop> {
    let is_open = |branch: &Branch<Range>| branch.ohms == Range::ZERO && branch.volts.is_wide();
    let Some(number) = branches.iter().position(is_open) else {
        return Linear { points, branches, effort }.read(port);
    };
    if sources_left == 0 {
        let enclosed = Linear { points, branches, effort }.read(port)?;
        return Ok(Enclosed { method: Method::StarMesh, ..enclosed });
    }
    let volts = branches[number].volts;
    let [low, high] = volts.ends();
    branches[number].volts = low;
    let at_low = enclose_sources(points, branches, port, effort, sources_left - 1)?;
    branches[number].volts = high;
    let at_high = enclose_sources(points, branches, port, effort, sources_left - 1)?;
    branches[number].volts = volts;
    Ok(at_low.hull(at_high))
}

impl Linear<'_> {
    fn read(&self, port: Port) -> Result<Enclosed, SourceLoop> {
        let joined = join(self.points, self.branches)?;
        Ok(match port {
            Port::Voltage { from, to } => {
                let enclosed = self.between(&joined, [from, to], Load::Nothing, Asked::Volts);
                let above = joined.offset[from] - joined.offset[to];
                Enclosed { range: enclosed.range + above, ..enclosed }
            }
            Port::Resistance { from, to } => self.between(&joined, [from, to], Load::OneAmpere, Asked::Ohms),
            Port::Current { branch } => {
                let mut rest = self.branches.to_vec();
                let through = rest.remove(branch);
                let rest = Linear { branches: &rest, ..*self };
                rest.current(&join(self.points, rest.branches)?, &through)
            }
        })
    }

    /// The current through a branch that this network drives, without it.
    fn current(&self, joined: &Joined<Range>, through: &Branch<Range>) -> Enclosed {
        let Branch { from, to, volts, ohms, .. } = joined.between_roots(through);
        if from == to {
            // the network holds both ends a fixed voltage apart
            return Enclosed { range: -volts / through.ohms, method: Method::EveryCorner };
        }
        let load = Load::Branch { volts: volts.at_rest().low, ohms: ohms.at_rest().low };
        self.between(joined, [through.from, through.to], load, Asked::Ampere { volts, ohms })
    }

    /// Encloses what is read between two points over all corners.
    fn between(&self, joined: &Joined<Range>, ends: [usize; 2], load: Load, asked: Asked) -> Enclosed {
        let kept = ends.map(|end| joined.root[end]);
        if kept[0] == kept[1] {
            return Enclosed::nothing();
        }
        let mut reduced = Reduced::new(self.points, reachable(self.points, self.branches, joined, kept), kept);
        reduced.simplify(Joining::Exact);
        let most = self.effort.ranges() - asked.own().iter().filter(|range| range.is_wide()).count();
        let mut method = Method::EveryCorner;
        if reduced.ranges() > most {
            reduced.weigh(load);
        }
        while reduced.ranges() > most {
            method = Method::StarMesh;
            let is_last = !reduced.take_one_out();
            reduced.simplify(Joining::Enclosing);
            if is_last {
                break;
            }
        }
        Enclosed { range: extremes(&reduced.arms, kept, asked), method }
    }
}

/// The branches that hang together with either of the kept points, between roots.
fn reachable(points: usize, branches: &[Branch<Range>], joined: &Joined<Range>, kept: [usize; 2]) -> Vec<Arm> {
    let arms = branches.iter().filter(|branch| branch.ohms != Range::ZERO).map(|branch| {
        let Branch { from, to, volts, ohms, .. } = joined.between_roots(branch);
        Arm { from, to, volts, ohms, weight: 0.0 }
    });
    let arms: Vec<Arm> = arms.collect();
    let islands = Islands::new(points, arms.iter().map(|arm| (arm.from, arm.to)));
    let near = kept.map(|point| islands.find(point));
    arms.into_iter().filter(|arm| near.contains(&islands.find(arm.from))).collect()
}
