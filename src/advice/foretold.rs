//! What circuits say of a test before it is taken: where a range that a fault foretells begins and ends, and which
//! answers a fault leaves no room for.

use std::sync::Arc;

use crate::book::FaultId;
use crate::circuit::Foretold;
use crate::circuit::network::Range;
use crate::reasoning::cells::Cell;
use crate::reasoning::likelihood::Barred;
use crate::units::{Exact, Interval};

/// The most values that a reading is cut at for the sake of circuits.
const MOST_CUTS: usize = 12;
/// Ends closer than this part of all that is foretold are one.
const CLOSE: f64 = 0.02;

/// What is foretold under each set of faults.
pub(super) type Told = Vec<(Vec<FaultId>, Arc<Foretold>)>;

/// The ends of what is foretold, those that lie close together taken as one.
pub(super) fn cuts(told: &Told) -> Vec<Exact> {
    let ranges = || told.iter().map(|(_, told)| told.allowance(told.hull()));
    let mut ends: Vec<f64> =
        ranges().flat_map(|Range { low, high }| [low, high]).filter(|end| end.is_finite()).collect();
    ends.sort_by(f64::total_cmp);
    let (Some(first), Some(last)) = (ends.first().copied(), ends.last().copied()) else { return Vec::new() };
    let mut close = (last - first) * CLOSE;
    loop {
        let mut kept: Vec<f64> = Vec::new();
        for end in &ends {
            if kept.last().is_none_or(|before| end - before > close) {
                kept.push(*end);
            }
        }
        if kept.len() <= MOST_CUTS || close <= 0.0 {
            kept.truncate(MOST_CUTS);
            return kept.into_iter().filter_map(rounded).collect();
        }
        close *= 1.5;
    }
}

/// A value that is shown to people: four digits of it.
fn rounded(value: f64) -> Option<Exact> {
    let size = if value == 0.0 { 0 } else { value.abs().log10().floor().clamp(-12.0, 12.0) as i32 };
    let decimals = u32::try_from(3 - size).unwrap_or(0);
    Exact::from_f64(value).map(|value| value.rounded(decimals))
}

/// Which answers a set of faults leaves no room for; nothing where it leaves room for all.
pub(super) fn barred(told: &Told, cells: &[Cell]) -> Vec<Barred> {
    let barred = told.iter().map(|(faults, told)| Barred {
        faults: faults.clone(),
        answers: cells.iter().map(|cell| matches!(cell, Cell::Range { inside, .. } if !allows(told, inside))).collect(),
        exact: told.is_exact(),
    });
    barred.filter(|barred| barred.answers.contains(&true)).collect()
}

fn allows(told: &Foretold, inside: &Interval) -> bool {
    let low = inside.low.value().map_or(f64::NEG_INFINITY, Exact::to_f64);
    let high = inside.high.value().map_or(f64::INFINITY, Exact::to_f64);
    told.allows(low, high)
}
