//! Guard bands: how far a reading must stand clear of a limit before it counts as conforming, or as not.
//!
//! Source: JCGM 106:2012. A stated accuracy ±a with no more known is a rectangular distribution, u = a/√3 (JCGM 100:2008, 4.3.7). The
//! probability that the true value lies within limits is Φ((TU − y)/u) − Φ((TL − y)/u) (clause 7); the acceptance limit stands off the
//! tolerance by w = z·u (clause 8.3), with z the quantile of the probability that is asked for.
//!
//! Must not know: which reading, which limit.

use super::Exact;

/// A guard band: with which probability a limit must be kept before a reading is judged.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct GuardBand {
    wanted: f64,
}

impl GuardBand {
    /// From the probability asked for, above 0.5 and below 1; none for any other.
    pub fn new(wanted: f64) -> Option<GuardBand> {
        (wanted > 0.5 && wanted < 1.0).then_some(GuardBand { wanted })
    }

    /// The probability asked for, 0.5 to 1.
    pub fn wanted(self) -> f64 {
        self.wanted
    }

    /// The guard band in units of the standard uncertainty: 1.645 for 95 %.
    pub fn multiple(self) -> f64 {
        quantile(self.wanted)
    }

    /// The guard band of a meter's limit of error, to five digits: z/√3 of it, 0.950 for 95 %, 1.343 for 99 %.
    pub fn width(self, limit_of_error: &Exact) -> Exact {
        let width = limit_of_error.to_f64() * self.multiple() / 3_f64.sqrt();
        let size = if width > 0.0 { width.log10().floor().clamp(-12.0, 12.0) } else { 0.0 };
        // Small whole numbers, so the way to an integer loses nothing.
        let decimals = (4.0 - size).max(0.0) as u32;
        Exact::from_f64(width).map_or_else(|| limit_of_error.clone(), |width| width.rounded(decimals))
    }

    /// The probability that a value lies within limits, read as `centre` with a guard band of `half_width` about it; a limit that is none
    /// is not there.
    pub fn within(self, centre: f64, half_width: f64, low: Option<f64>, high: Option<f64>) -> f64 {
        conformance(centre, half_width / self.multiple(), low, high)
    }
}

/// The probability that the true value lies within limits: JCGM 106:2012, clause 7. Without uncertainty it is 0 or 1.
pub fn conformance(reading: f64, uncertainty: f64, low: Option<f64>, high: Option<f64>) -> f64 {
    let below = |limit: f64| {
        if uncertainty > 0.0 {
            share_below((limit - reading) / uncertainty)
        } else {
            f64::from(u8::from(reading <= limit))
        }
    };
    let upper = high.map_or(1.0, below);
    let lower = low.map_or(0.0, |low| if uncertainty > 0.0 { below(low) } else { f64::from(u8::from(reading < low)) });
    (upper - lower).clamp(0.0, 1.0)
}

/// The share of a normal distribution below so many standard deviations, by the series of G. Marsaglia, *Evaluating the normal
/// distribution*, J. Stat. Softw. 11(4), 2004.
fn share_below(deviations: f64) -> f64 {
    if deviations.abs() > 8.0 {
        return if deviations > 0.0 { 1.0 } else { 0.0 };
    }
    let (mut term, mut sum, mut number) = (deviations, deviations, 1.0);
    while term.abs() > 1e-17 && number < 400.0 {
        number += 2.0;
        term *= deviations * deviations / number;
        sum += term;
    }
    let density = (-deviations * deviations / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    0.5 + sum * density
}

/// So many standard deviations have this share of a normal distribution below them; by halving.
pub(super) fn quantile(share: f64) -> f64 {
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..80 {
        let middle = (low + high) / 2.0;
        if share_below(middle) < share { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}
