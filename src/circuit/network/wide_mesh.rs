//! Elimination of points from a network of conductances that are wide ranges, each new one as tight as its own formula allows.
//!
//! Why: a star's new conductances g_i·g_k/Σg rise with g_i and g_k and fall with every other, and the share g_i/Σg of its inflow rises with g_i and
//! falls with the others. So both are extreme where some ends stand low and the others high, and a share is never above 1, which the plain
//! arithmetic of `mesh` doesn't see: there g_i stands above and below the line as if it were two things. `mesh` is for ranges of one value with its
//! rounding, this for ranges that parts lie in. It must not know what is read.

use super::arm::Arm;
use super::mesh::SOURCES;
use super::range::Range;

/// More than a sum, product or quotient of a few positive numbers can be off by rounding, as a share of it.
const ROUNDING: f64 = 1e-14;

/// A branch as a conductance with a current beside it (Norton's theorem).
#[derive(Clone, Copy)]
pub(super) struct Norton {
    from: usize,
    to: usize,
    siemens: Range,
    /// From its source into `from`, out of `to`.
    ampere: Range,
}

impl Norton {
    /// The same of a branch.
    pub(super) fn of(arm: &Arm) -> Norton {
        let siemens = arm.siemens();
        let ampere = if arm.volts == Range::ZERO { Range::ZERO } else { arm.volts * siemens };
        Norton { from: arm.from, to: arm.to, siemens, ampere }
    }
}

/// Conductances between points, the currents that their sources feed into each, and those of one ampere fed in elsewhere.
pub(super) struct WideMesh {
    size: usize,
    between: Vec<Range>,
    inflow: Vec<[Range; 2]>,
    neighbours: Vec<usize>,
    /// The conductances of a point that goes, by neighbour.
    star: Vec<Range>,
}

impl WideMesh {
    /// Points without branches.
    pub(super) fn new(size: usize) -> WideMesh {
        WideMesh {
            size,
            between: vec![Range::ZERO; size * size],
            inflow: vec![[Range::ZERO; 2]; size],
            neighbours: Vec::with_capacity(size),
            star: Vec::with_capacity(size),
        }
    }

    /// Becomes points without branches again.
    pub(super) fn clear(&mut self) {
        self.between.fill(Range::ZERO);
        self.inflow.fill([Range::ZERO; 2]);
    }

    /// Adds a branch; one whose ends are one point says nothing.
    pub(super) fn add(&mut self, branch: &Norton) {
        if branch.from == branch.to {
            return;
        }
        self.join(branch.from, branch.to, branch.siemens);
        if branch.ampere != Range::ZERO {
            self.feed(branch.from, SOURCES, branch.ampere);
            self.feed(branch.to, SOURCES, -branch.ampere);
        }
    }

    fn join(&mut self, one: usize, other: usize, siemens: Range) {
        let sum = self.between(one, other) + siemens;
        self.between[one * self.size + other] = sum;
        self.between[other * self.size + one] = sum;
    }

    /// Feeds a current into a point, in one of the feedings.
    pub(super) fn feed(&mut self, point: usize, feeding: usize, ampere: Range) {
        self.inflow[point][feeding] = self.inflow[point][feeding] + ampere;
    }

    /// The conductance between two points.
    pub(super) fn between(&self, one: usize, other: usize) -> Range {
        self.between[one * self.size + other]
    }

    /// The current that is fed into a point.
    pub(super) fn inflow(&self, point: usize, feeding: usize) -> Range {
        self.inflow[point][feeding]
    }

    /// Takes out all points but two, each time one that has the fewest neighbours.
    pub(super) fn eliminate_all_but(&mut self, kept: [usize; 2]) {
        let mut open: Vec<usize> = (0..self.size).filter(|point| !kept.contains(point)).collect();
        let degree = |mesh: &Self, point: usize| {
            mesh.between[point * mesh.size..][..mesh.size].iter().filter(|siemens| siemens.high > 0.0).count()
        };
        while let Some(place) = (0..open.len()).min_by_key(|&place| degree(self, open[place])) {
            self.eliminate(open.swap_remove(place));
        }
    }

    fn eliminate(&mut self, point: usize) {
        let row = point * self.size;
        let mut neighbours = std::mem::take(&mut self.neighbours);
        neighbours.clear();
        neighbours.extend((0..self.size).filter(|&other| self.between[row + other].high > 0.0));
        let inflow = self.inflow[point];
        let mut star = std::mem::take(&mut self.star);
        star.clear();
        star.extend(neighbours.iter().map(|&other| self.between[row + other]));
        // All of the star but one or two.
        let rest = |one: usize, other: usize| {
            let rest = star.iter().enumerate().filter(|(place, _)| *place != one && *place != other);
            rest.fold((0.0, 0.0), |(low, high), (_, siemens)| (low + siemens.low, high + siemens.high))
        };
        for (place, &one) in neighbours.iter().enumerate() {
            let own = star[place];
            let (low, high) = rest(place, place);
            let share = outwards(quotient(own.low, own.low + high), quotient(own.high, own.high + low));
            for (feeding, &ampere) in inflow.iter().enumerate().filter(|(_, ampere)| **ampere != Range::ZERO) {
                self.feed(one, feeding, share * ampere);
            }
            for (far, &other) in neighbours.iter().enumerate().skip(place + 1) {
                let (low, high) = rest(place, far);
                let far = star[far];
                let least = quotient(own.low * far.low, own.low + far.low + high);
                let most = quotient(own.high * far.high, own.high + far.high + low);
                self.join(one, other, outwards(least, most));
            }
        }
        for &one in &neighbours {
            self.between[one * self.size + point] = Range::ZERO;
        }
        (self.neighbours, self.star) = (neighbours, star);
    }
}

/// A quotient of sizes; nothing divided by anything is nothing.
fn quotient(above: f64, below: f64) -> f64 {
    if above == 0.0 { 0.0 } else { above / below }
}

/// Two sizes with all that rounding may have taken from them.
fn outwards(low: f64, high: f64) -> Range {
    Range { low: low * (1.0 - ROUNDING), high: high * (1.0 + ROUNDING) }
}
