//! Root sum square: what several readings together may be off by, where a book asks for it with a stated coverage.
//!
//! Source: JCGM 100:2008. A meter's ±a with no more known is a rectangular distribution, u = a/√3 (4.3.7); of readings that don't hang
//! together u² is the sum of the squares (5.1.2); U = k·u, k from the normal distribution (6.3, table G.1).
//!
//! A sum of a few rectangular distributions is not normal. What lies outside ±k·u is then less than k says for k of 1.96 and more (three
//! equal ones: 1.937 and 2.379 would do where the normal has 1.960 and 2.576, G.2.2 from memory), and more than it says for k of 1.8 and
//! less. So nothing below 95 % is given; and never more than the widths added up, which is certain.
//!
//! Must not know: which readings, what is reckoned from them.

use super::Exact;
use super::guard_band::quantile;

/// Digits that a joined width keeps; the last is rounded up.
const DIGITS: f64 = 4.0;

/// A coverage asked for, and its factor.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RootSumSquare {
    coverage: f64,
    factor: f64,
}

impl RootSumSquare {
    /// From the coverage, 0.95 or more and below 1; none for any other.
    pub fn new(coverage: f64) -> Option<RootSumSquare> {
        let sound = (0.95..1.0).contains(&coverage);
        sound.then(|| RootSumSquare { coverage, factor: quantile(f64::midpoint(1.0, coverage)) })
    }

    /// The coverage asked for, 0.95 to 1.
    pub fn coverage(self) -> f64 {
        self.coverage
    }

    /// How many standard uncertainties it takes: 1.960 for 95 %.
    pub fn factor(self) -> f64 {
        self.factor
    }

    /// The half width of a sum whose parts may be off by these limits of error: k·√(Σa²/3), to four digits, rounded up.
    pub fn join(self, limits_of_error: &[Exact]) -> Exact {
        let squares: f64 = limits_of_error.iter().map(|limit| limit.to_f64().powi(2)).sum();
        let joined = Exact::from_f64(self.factor * (squares / 3.0).sqrt());
        let added_up = || limits_of_error.iter().fold(Exact::zero(), |sum, limit| &sum + limit);
        joined.as_ref().map_or_else(added_up, rounded_up)
    }
}

/// A width, nought or more, to four digits, the last rounded up.
pub fn rounded_up(width: &Exact) -> Exact {
    if width.is_zero() {
        return width.clone();
    }
    let size = width.to_f64().log10().floor().clamp(-12.0, 12.0);
    // Small whole numbers, so the way to an integer loses nothing.
    let decimals = (DIGITS - 1.0 - size).max(0.0) as i32;
    let near = width.rounded(decimals.unsigned_abs());
    if near < *width { near + Exact::pow10(-decimals) } else { near }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_of_the_normal_distribution() {
        // JCGM 100:2008 table G.1 (from memory): 95 % 1.960, 95.45 % 2, 99 % 2.576, 99.73 % 3.
        for (coverage, factor) in [(0.95, 1.960), (0.9545, 2.0), (0.99, 2.576), (0.9973, 3.0)] {
            let found = RootSumSquare::new(coverage).unwrap().factor();
            assert!((found - factor).abs() < 5e-4, "{coverage}: {found}");
        }
        let none = [0.9499, 1.0, 0.5, 0.0, -1.0, f64::NAN];
        assert!(none.iter().all(|coverage| RootSumSquare::new(*coverage).is_none()));
    }

    #[test]
    fn joined_widths_are_rounded_up() {
        let rss = RootSumSquare::new(0.95).unwrap();
        let joined = |widths: &[&str]| rss.join(&widths.iter().map(|w| Exact::parse(w).unwrap()).collect::<Vec<_>>());
        // 1.959964 √(2 · 0.05²/3) = 0.0800152
        assert_eq!(joined(&["0.05", "0.05"]), Exact::parse("0.08002").unwrap());
        assert_eq!(joined(&["0", "0"]), Exact::zero());
        // 1.9599640 · 5e6/√3 · √2 = 8001519.5…
        assert_eq!(joined(&["5000000", "5000000"]), Exact::from_int(8_001_520));
    }
}
