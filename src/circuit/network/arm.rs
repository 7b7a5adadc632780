//! A branch over ranges, and two in parallel as one.
//!
//! Why: the smallest steps of a reduction, each exact or enclosing by itself. It must not know the rest of the network.

use super::range::Range;

/// A branch with U(from) − U(to) = volts + ohms · I, over ranges.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arm {
    /// One end.
    pub(super) from: usize,
    /// The other end.
    pub(super) to: usize,
    /// Its own voltage.
    pub(super) volts: Range,
    /// Its resistance, above 0.
    pub(super) ohms: Range,
    /// How far its ranges alone move what is read, as far as it has been tried.
    pub(super) weight: f64,
}

impl Arm {
    /// The same seen from the other end.
    fn turned(self) -> Arm {
        Arm { from: self.to, to: self.from, volts: -self.volts, ..self }
    }

    /// The same so that it leads to `point`; for one that ends there.
    pub(super) fn towards(self, point: usize) -> Arm {
        if self.to == point { self } else { self.turned() }
    }

    /// One branch for two that both lead to a point which nothing else touches.
    pub(super) fn in_series(self, other: Arm) -> Arm {
        Arm {
            from: self.from,
            to: other.from,
            volts: self.volts - other.volts,
            ohms: self.ohms + other.ohms,
            weight: self.weight + other.weight,
        }
    }

    /// The same with one value in place of each range.
    pub(super) fn at_rest(self) -> Arm {
        Arm { volts: self.volts.at_rest(), ohms: self.ohms.at_rest(), ..self }
    }

    pub(super) fn siemens(self) -> Range {
        Range::exactly(1.0) / self.ohms
    }
}

/// One branch for two without sources between the same points.
pub(super) fn parallel(one: Arm, other: Arm) -> Arm {
    let ohms = Range::exactly(1.0) / (one.siemens() + other.siemens());
    Arm { ohms, weight: one.weight + other.weight, ..one }
}

/// One branch for two in the same direction between the same points (Millman's theorem): the voltage is their mean weighted by
/// conductance, which is extreme where the larger voltage has the most weight and the smaller the least, or the reverse.
pub(super) fn millman(one: Arm, other: Arm) -> Arm {
    let mean = |a: f64, b: f64, of_a: f64, of_b: f64| {
        let (weight_a, weight_b) = (Range::exactly(of_a), Range::exactly(of_b));
        (weight_a * Range::exactly(a) + weight_b * Range::exactly(b)) / (weight_a + weight_b)
    };
    let (g, h) = (one.siemens(), other.siemens());
    let (a, b) = (one.volts, other.volts);
    let low = if a.low <= b.low { mean(a.low, b.low, g.high, h.low) } else { mean(a.low, b.low, g.low, h.high) };
    let high = if a.high >= b.high { mean(a.high, b.high, g.high, h.low) } else { mean(a.high, b.high, g.low, h.high) };
    Arm { volts: Range { low: low.low, high: high.high }, ..parallel(one, other) }
}
