//! The same unit with another prefix, where a number would be long: `40 Mohm` for `40000000 ohm`.

use super::Unit;
use crate::units::Exact;

/// The prefixes of the table of units (SI brochure, BIPM, 9th ed.).
const PREFIXES: [&str; 5] = ["", "µ", "m", "k", "M"];
/// From here on a number is long.
const LONG: i64 = 10_000;
/// Below one part in so many it is long again.
const SMALL: i64 = 1_000;

impl Unit {
    /// This unit, or, if the number of a value (in base units) is 10,000 and more or below a thousandth, the one with the
    /// prefix that leaves it from 1 to 1000, if the table has one.
    pub(super) fn prefixed(&self, base: &Exact) -> &Unit {
        let size = self.from_base(base).abs();
        let short = size < Exact::from_int(LONG) && &size * Exact::from_int(SMALL) >= Exact::from_int(1);
        if short || size.is_zero() {
            return self;
        }
        let fits = |unit: &&'static Unit| {
            let size = unit.from_base(base).abs();
            size >= Exact::from_int(1) && size < Exact::from_int(1000)
        };
        self.siblings().find(fits).unwrap_or(self)
    }

    /// All units of the table that differ in the prefix only.
    fn siblings(&self) -> impl Iterator<Item = &'static Unit> + use<'_> {
        let own = |unit: &&Unit| unit.dimension == self.dimension && unit.takes_width() == self.takes_width();
        let stem = Unit::all().filter(own).map(|unit| unit.symbol).find(|stem| is_prefixed(self.symbol, stem));
        let stem = stem.unwrap_or(self.symbol);
        Unit::all().filter(own).filter(move |unit| is_prefixed(unit.symbol, stem))
    }
}

fn is_prefixed(symbol: &str, stem: &str) -> bool {
    symbol.strip_suffix(stem).is_some_and(|prefix| PREFIXES.contains(&prefix))
}

#[cfg(test)]
mod tests {
    use crate::units::{Bound, Exact, Interval, Unit};

    fn above(unit: &str, number: i64) -> String {
        let unit = Unit::find(unit).unwrap();
        let low = Bound::Open(unit.to_base(&Exact::from_int(number)));
        unit.show_range_short(&Interval { low, high: Bound::Unbounded })
    }

    #[test]
    fn a_long_number_gets_the_prefix_that_leaves_it_short() {
        assert_eq!(above("ohm", 40_000_000), "above 40 Mohm");
        assert_eq!(above("ohm", 12_500), "above 12.5 kohm");
        assert_eq!(above("kohm", 40_000), "above 40 Mohm");
        assert_eq!(above("mA", 20_000), "above 20 A");
        assert_eq!(above("mA", -20_000), "above -20 A");
    }

    #[test]
    fn what_is_short_or_has_no_other_prefix_stays_as_it_is() {
        assert_eq!(above("ohm", 9_999), "above 9999 ohm");
        assert_eq!(above("ohm", 0), "above 0 ohm");
        assert_eq!(above("rpm", 20_000), "above 20000 rpm");
        assert_eq!(above("kPa gauge", 20_000), "above 20000 kPa gauge");
        assert_eq!(above("min", 20_000), "above 20000 min");
    }

    #[test]
    fn each_end_has_its_own_prefix() {
        let unit = Unit::find("A").unwrap();
        let end = |above: i64, below: i64| Bound::Closed(Exact::ratio(above, below).unwrap());
        assert_eq!(unit.show_range_short(&Interval { low: end(1, 2000), high: end(40_000, 1) }), "500 µA to 40000 A");
        let unit = Unit::find("ohm").unwrap();
        assert_eq!(unit.show_range_short(&Interval { low: end(500, 1), high: end(40_000, 1) }), "500 ohm to 40 kohm");
    }
}
