//! Values and intervals as text in a unit.

use super::{Unit, awg};
use crate::units::{Bound, Dimension, Exact, Interval};

impl Unit {
    /// A value in base units as text in this unit: `10.9 V`. Exact where the decimals end within 12
    /// places, else 6 digits that count.
    pub fn show(&self, base: &Exact) -> String {
        self.show_number(&self.from_base(base))
    }

    /// A width in base units as text: `0.1 V`; of a temperature `1 K`, of a gauge pressure `5 kPa`.
    pub fn show_width(&self, base: &Exact) -> String {
        format!("{} {}", self.width_from_base(base), self.difference)
    }

    /// A reading in base units as text: `10.9 V`, `10.9 V ± 0.1 V` where that is shorter, else
    /// `10.8 V to 11 V`; `below 0.1 ohm`, `above 32 V`.
    pub fn show_interval(&self, base: &Interval) -> String {
        self.show_around(base).unwrap_or_else(|| self.show_range(base))
    }

    /// A range in base units as text, always by its ends: `22.5 V to 25.5 V`, `below 0.1 ohm`.
    pub fn show_range(&self, base: &Interval) -> String {
        if !self.takes_width()
            && !base.is_point()
            && let Some(area) = Unit::usual(Dimension::AREA)
        {
            return area.show_range(base);
        }
        self.by_ends(&self.interval_from_base(base), |number| self.show_number(number))
    }

    /// The same, an end of 10,000 and more, or below a thousandth, with the prefix that leaves its number short:
    /// `above 40 Mohm`, `9500 ohm to 12 kohm`.
    pub fn show_range_short(&self, base: &Interval) -> String {
        if !self.takes_width() {
            return self.show_range(base);
        }
        self.by_ends(base, |end| self.prefixed(end).show(end))
    }

    fn by_ends(&self, ends: &Interval, text: impl Fn(&Exact) -> String) -> String {
        match (&ends.low, &ends.high) {
            (Bound::Unbounded, Bound::Unbounded) => format!("any {}", self.noun),
            (Bound::Unbounded, Bound::Open(high)) => format!("below {}", text(high)),
            (Bound::Unbounded, Bound::Closed(high)) => format!("at most {}", text(high)),
            (Bound::Open(low), Bound::Unbounded) => format!("above {}", text(low)),
            (Bound::Closed(low), Bound::Unbounded) => format!("at least {}", text(low)),
            (Bound::Open(low) | Bound::Closed(low), Bound::Open(high) | Bound::Closed(high)) => {
                let (low, high) = (text(low), text(high));
                if low == high { low } else { format!("{low} to {high}") }
            }
        }
    }

    /// `centre ± half width`, if both ends belong to the reading, the width is a small part of the centre
    /// and the centre needs no more decimals than the ends.
    fn show_around(&self, base: &Interval) -> Option<String> {
        let ends = self.interval_from_base(base);
        let (Bound::Closed(low), Bound::Closed(high)) = (&ends.low, &ends.high) else {
            return None;
        };
        let (centre, half) = (ends.centre()?, (high - low).half());
        let small = &half * Exact::from_int(5) <= centre.abs();
        let short = low.is_short() && high.is_short() && decimals(&centre) <= decimals(low).max(decimals(high));
        let around = self.takes_width() && small && short && !half.is_zero();
        around.then(|| format!("{} ± {half} {}", self.show_number(&centre), self.difference))
    }

    fn show_number(&self, number: &Exact) -> String {
        let text = if self.takes_width() { number.to_string() } else { awg::text(number) };
        format!("{text} {}", self.symbol)
    }
}

fn decimals(number: &Exact) -> u32 {
    Exact::digits(&number.to_string())
}
