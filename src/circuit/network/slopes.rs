//! Which way a reading moves with each range of a network, where it moves one way whatever the other ranges are.
//!
//! Why: at such a range one end gives the greatest reading and the other the least, so only one end has to be tried. By Tellegen's theorem what
//! is read moves with a voltage as the current that a probing current at the port drives there, and with a resistance as that current times the one
//! that flows there. Both keep their sign whatever the resistance itself is, since it only divides them; so each is looked at with the branch taken
//! away and all else over its ranges, by the elimination that encloses. It must not know parts.

use super::arm::Arm;
use super::mesh::{ASKED, SOURCES};
use super::range::Range;
use super::wide_mesh::{Norton, WideMesh};

/// Which way a reading moves when a value rises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slope {
    /// It never falls.
    Rising,
    /// It never rises.
    Falling,
    /// It may do either.
    Unclear,
}

/// The slopes of one branch.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slopes {
    /// With its own voltage.
    pub(super) volts: Slope,
    /// With its resistance.
    pub(super) ohms: Slope,
}

/// What is read between the points 0 and 1 of a network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Between {
    /// Volts, nothing else joining them.
    Volts,
    /// Ohm.
    Ohms,
    /// Ampere through the last branch, from 0 to 1.
    LastBranch,
}

/// A sign, as far as it is known.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sign {
    Positive,
    Negative,
    Zero,
    Unclear,
}

impl Sign {
    fn of(range: Range) -> Sign {
        match (range.low >= 0.0, range.high <= 0.0) {
            (true, true) => Sign::Zero,
            (true, false) => Sign::Positive,
            (false, true) => Sign::Negative,
            (false, false) => Sign::Unclear,
        }
    }

    fn times(self, other: Sign) -> Sign {
        match (self, other) {
            (Sign::Zero, _) | (_, Sign::Zero) => Sign::Zero,
            (Sign::Unclear, _) | (_, Sign::Unclear) => Sign::Unclear,
            (one, other) if one == other => Sign::Positive,
            _ => Sign::Negative,
        }
    }

    fn slope(self) -> Slope {
        match self {
            Sign::Positive | Sign::Zero => Slope::Rising,
            Sign::Negative => Slope::Falling,
            Sign::Unclear => Slope::Unclear,
        }
    }
}

/// The slopes of each branch that has a range, none for the others. `size` points, numbered from 0 without gaps.
pub(super) fn slopes(arms: &[Arm], size: usize, what: Between) -> Vec<Option<Slopes>> {
    let branches = arms.iter().map(Norton::of).collect();
    let mut look = Look { rest: WideMesh::new(size), branches, held: Vec::new(), held_branches: Vec::new() };
    let last = arms.len().saturating_sub(1);
    if let (Between::LastBranch, Some(read)) = (what, arms.last()) {
        look.held = if read.ohms == Range::ZERO { held(arms, read.volts) } else { Vec::new() };
        look.held_branches = look.held.iter().map(Norton::of).collect();
    }
    let each = arms.iter().enumerate().map(|(number, arm)| {
        let is_wide = arm.volts.is_wide() || arm.ohms.is_wide();
        is_wide.then(|| match what {
            Between::Ohms => Slopes { volts: Slope::Rising, ohms: Slope::Rising },
            Between::LastBranch if number == last => look.of_the_read_one(number, arm),
            Between::Volts | Between::LastBranch => look.of(number, arm),
        })
    });
    each.collect()
}

/// The branches without the last, which holds point 0 that many volts above point 1: the two become one, and the branches at 1 bring the
/// difference along.
fn held(arms: &[Arm], volts: Range) -> Vec<Arm> {
    let moved = |arm: &Arm| match (arm.from, arm.to) {
        (1, 1) => *arm,
        (1, to) => Arm { from: 0, volts: arm.volts + volts, to, ..*arm },
        (from, 1) => Arm { to: 0, volts: arm.volts - volts, from, ..*arm },
        _ => *arm,
    };
    arms.iter().take(arms.len().saturating_sub(1)).map(moved).collect()
}

/// A network, looked at with one branch after the other taken away.
struct Look {
    rest: WideMesh,
    branches: Vec<Norton>,
    /// Where a branch without any resistance is read: the others as it holds them.
    held: Vec<Arm>,
    held_branches: Vec<Norton>,
}

impl Look {
    fn of(&mut self, number: usize, arm: &Arm) -> Slopes {
        let (asked, driven) = match self.held.get(number).copied() {
            None => {
                without(&mut self.rest, &self.branches, number, arm);
                (asked(&self.rest, arm), driven(&self.rest, arm))
            }
            Some(held) => {
                let others = self.branches.get(..self.held.len()).unwrap_or(&[]);
                without(&mut self.rest, others, number, arm);
                let asked = asked(&self.rest, arm);
                if held.from == held.to {
                    (asked, Sign::of(-held.volts))
                } else {
                    without(&mut self.rest, &self.held_branches, number, &held);
                    (asked, driven(&self.rest, &held))
                }
            }
        };
        Slopes { volts: asked.slope(), ohms: asked.times(driven).slope() }
    }

    /// Of the branch whose current is read: its own voltage is against it, its own resistance brings it nearer to 0.
    fn of_the_read_one(&mut self, number: usize, arm: &Arm) -> Slopes {
        without(&mut self.rest, &self.branches, number, arm);
        Slopes { volts: Slope::Falling, ohms: Sign::Negative.times(driven(&self.rest, arm)).slope() }
    }
}

/// Makes the mesh that of all branches but one, `arm`, of which only that one's ends are left.
fn without(rest: &mut WideMesh, branches: &[Norton], left_out: usize, arm: &Arm) {
    rest.clear();
    for (_, branch) in branches.iter().enumerate().filter(|(number, _)| *number != left_out) {
        rest.add(branch);
    }
    rest.feed(0, ASKED, Range::exactly(1.0));
    rest.feed(1, ASKED, Range::exactly(-1.0));
    rest.eliminate_all_but([arm.from, arm.to]);
}

/// The current that flows into the first end and out of the second; each end tells it by itself.
fn through(rest: &WideMesh, arm: &Arm, feeding: usize) -> Range {
    rest.inflow(arm.from, feeding).both(-rest.inflow(arm.to, feeding))
}

/// The sign of the current that the rest and the branch's own voltage drive through it.
fn driven(rest: &WideMesh, arm: &Arm) -> Sign {
    let siemens = rest.between(arm.from, arm.to);
    // Nothing leads back to where it came from, so nothing flows.
    if siemens == Range::ZERO { Sign::Zero } else { Sign::of(through(rest, arm, SOURCES) - arm.volts * siemens) }
}

/// The sign of the probing current through a branch. It flows from the highest voltage, where it goes in, to the lowest.
fn asked(rest: &WideMesh, arm: &Arm) -> Sign {
    match (arm.from, arm.to) {
        (0, _) | (_, 1) => Sign::Positive,
        (_, 0) | (1, _) => Sign::Negative,
        _ => Sign::of(through(rest, arm, ASKED)),
    }
}
