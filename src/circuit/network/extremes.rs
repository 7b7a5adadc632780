//! The least and the greatest of a reading over all ranges of a network.
//!
//! Why: they lie at corners (see `corners`), and where a reading moves one way with a range (see `slopes`), only at one of its ends. With each range
//! that is set to an end the others move more clearly, so the slopes are looked at again until nothing more is decided; of what is left every corner is
//! tried. It must not know parts.

use super::arm::Arm;
use super::corners::{Seen, at_corners, compact, wide_in};
use super::range::Range;
use super::slopes::{Between, Slope, Slopes, slopes};

/// With no more ranges than this all corners are tried at once.
const FEW: usize = 3;

/// What is read between the two kept points of a network.
#[derive(Clone, Copy, Debug)]
pub(super) enum Asked {
    /// Volts, nothing else joining them.
    Volts,
    /// Ohm, all sources gone.
    Ohms,
    /// Ampere through this branch, from the first to the second.
    Ampere {
        /// Its own voltage.
        volts: Range,
        /// Its resistance.
        ohms: Range,
    },
}

/// Which end of the reading is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Least,
    Greatest,
}

impl Asked {
    fn between(self) -> Between {
        match self {
            Asked::Volts => Between::Volts,
            Asked::Ohms => Between::Ohms,
            Asked::Ampere { .. } => Between::LastBranch,
        }
    }

    /// The ranges of its own.
    pub(super) fn own(self) -> Vec<Range> {
        match self {
            Asked::Volts | Asked::Ohms => Vec::new(),
            Asked::Ampere { volts, ohms } => vec![volts, ohms],
        }
    }

    /// The reading where the network shows this. Nothing between the points is no voltage and endless resistance.
    pub(super) fn read(self, seen: Seen, own: &[Range]) -> Range {
        let is_open = seen.siemens == Range::ZERO;
        match (self, own) {
            (Asked::Ampere { .. }, &[volts, ohms]) => {
                (seen.short - volts * seen.siemens) / (Range::exactly(1.0) + ohms * seen.siemens)
            }
            (Asked::Ohms, _) if is_open => Range::exactly(f64::INFINITY),
            (Asked::Ohms, _) => Range::exactly(1.0) / seen.siemens,
            _ if is_open => Range::ZERO,
            _ => seen.short / seen.siemens,
        }
    }
}

/// From the least to the greatest that is read between the kept points.
pub(super) fn extremes(arms: &[Arm], kept: [usize; 2], asked: Asked) -> Range {
    let mut arms = compact(arms, kept);
    if let Asked::Ampere { volts, ohms } = asked {
        arms.push(Arm { from: 0, to: 1, volts, ohms, weight: 0.0 });
    }
    let size = arms.iter().map(|arm| arm.from.max(arm.to) + 1).max().unwrap_or(0).max(2);
    let whole = Ranges { arms, size, asked };
    if whole.count() <= FEW {
        return whole.hull();
    }
    let slopes = slopes(&whole.arms, size, asked.between());
    let least = whole.clone().end(&slopes, End::Least);
    let greatest = whole.end(&slopes, End::Greatest);
    Range { low: least.low, high: greatest.high }
}

/// A network between the points 0 and 1, its points numbered from there without gaps. A branch whose current is read is its last.
#[derive(Clone)]
struct Ranges {
    arms: Vec<Arm>,
    size: usize,
    asked: Asked,
}

impl Ranges {
    fn count(&self) -> usize {
        self.arms.iter().map(wide_in).sum()
    }

    /// The end of the reading that is looked for, with its rounding; `known` are the slopes.
    fn end(mut self, known: &[Option<Slopes>], end: End) -> Range {
        let before = self.count();
        self.set(known, end);
        if self.count() <= FEW {
            return self.hull();
        }
        if self.count() < before {
            let known = slopes(&self.arms, self.size, self.asked.between());
            return self.end(&known, end);
        }
        self.hull()
    }

    fn set(&mut self, known: &[Option<Slopes>], end: End) {
        let towards = |range: &mut Range, slope: Slope| {
            let [low, high] = range.ends();
            match (slope, end) {
                _ if !range.is_wide() => {}
                (Slope::Rising, End::Least) | (Slope::Falling, End::Greatest) => *range = low,
                (Slope::Rising, End::Greatest) | (Slope::Falling, End::Least) => *range = high,
                (Slope::Unclear, _) => {}
            }
        };
        for (arm, known) in self.arms.iter_mut().zip(known) {
            if let Some(known) = known {
                towards(&mut arm.volts, known.volts);
                towards(&mut arm.ohms, known.ohms);
            }
        }
    }

    /// The reading over every corner of the ranges that are left.
    fn hull(mut self) -> Range {
        let own = match (self.asked, self.arms.pop()) {
            (Asked::Ampere { .. }, Some(read)) => vec![read.volts, read.ohms],
            (_, last) => {
                self.arms.extend(last);
                Vec::new()
            }
        };
        let mut all: Option<Range> = None;
        at_corners(&self.arms, [0, 1], &own, |seen, own| {
            let here = self.asked.read(seen, own);
            all = Some(all.map_or(here, |so_far| so_far.hull(here)));
        });
        all.unwrap_or(Range::ZERO)
    }
}
