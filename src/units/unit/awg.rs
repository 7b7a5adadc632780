//! American wire gauge: each step drawn thinner by one fixed ratio.
//!
//! Source: ASTM B258, d = 0.005 in · 92^((36 − n)/39); the area is that of a solid round wire. 4/0, 3/0
//! and 2/0 count as −3, −2 and −1, 1/0 as 0. Wire made to vehicle standards may be 5–12 % thinner.

use std::f64::consts::PI;

use crate::units::Exact;

/// Diameter of gauge 36 in metres: 0.005 in.
const GAUGE_36: f64 = 0.000_127;
/// Ratio of the diameters of gauge 4/0 and gauge 36, which lie 39 steps apart.
const RATIO: f64 = 92.0;
const STEPS: f64 = 39.0;
/// The thickest and the thinnest gauge of the standard that a vehicle could hold.
pub(super) const THICKEST: i64 = -3;
pub(super) const THINNEST: i64 = 40;

/// The gauge number for its text, which may be written with noughts: -3 for `4/0`, 12 for `12`. `None`
/// for any other text or a gauge that is not drawn.
pub fn number(text: &str) -> Option<Exact> {
    let gauge = match text {
        "4/0" | "0000" => -3,
        "3/0" | "000" => -2,
        "2/0" | "00" => -1,
        "1/0" | "0" => 0,
        _ => return Exact::parse(text).ok().filter(is_drawn),
    };
    Some(Exact::from_int(gauge))
}

/// The text for a gauge number, with noughts below 1: `4/0` for -3.
pub(super) fn text(gauge: &Exact) -> String {
    let noughts = Exact::one() - gauge;
    if (1..=4).any(|count| noughts == Exact::from_int(count)) { format!("{noughts}/0") } else { gauge.to_string() }
}

/// Whether wire of this gauge is drawn: 4/0 to 40.
pub(super) fn is_drawn(gauge: &Exact) -> bool {
    (Exact::from_int(THICKEST)..=Exact::from_int(THINNEST)).contains(gauge)
}

/// The area in m², to 12 digits, of a gauge; one thicker or thinner than all counts as the last.
pub(super) fn area(gauge: &Exact) -> Exact {
    let held = gauge.clone().clamp(Exact::from_int(THICKEST), Exact::from_int(THINNEST));
    let diameter = GAUGE_36 * RATIO.powf((36.0 - held.to_f64()) / STEPS);
    let square_metres = PI / 4.0 * diameter * diameter;
    // the thinnest is 5e-9 m²: 12 digits of it end at the 20th decimal
    Exact::from_f64(square_metres).unwrap_or_else(Exact::zero).rounded(20)
}

/// The gauge number of an area in m², a whole one where it is one to a millionth of a step; 0 or less
/// counts as the thinnest.
pub(super) fn gauge(area: &Exact) -> Exact {
    let diameter = (area.to_f64().max(f64::MIN_POSITIVE) * 4.0 / PI).sqrt();
    let steps = 36.0 - STEPS * (diameter / GAUGE_36).ln() / RATIO.ln();
    let number = Exact::from_f64(steps).unwrap_or_else(|| Exact::from_int(THINNEST));
    number.rounded(6)
}
