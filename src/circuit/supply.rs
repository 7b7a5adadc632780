//! The voltage of each battery without load: from the book, or from what was read at its posts.
//!
//! Why: a technician never measures an EMF. What is read at the posts is lower by what the circuit draws through the internal resistance at
//! that moment, so that drop is reckoned and added. With nothing switched on it is nought by itself. It must not know entries, only
//! what was read under which setup.

use crate::book::circuits::{Does, ElementKind, Emf, Spot};
use crate::book::{ElementIx, IndicationId, Setup};

use super::build::{Feed, Stand};
use super::foretell::{Ask, ask};
use super::network::Range;
use super::trouble::Trouble;
use super::values;

/// A drop at the internal resistance below which nobody sees whether its basis is sound, volts.
const UNSEEN_DROP: f64 = 1e-3;

/// What was read at a battery's posts.
#[derive(Clone, PartialEq, Debug)]
pub struct Supply {
    /// The reading that a battery takes as its EMF.
    pub reading: IndicationId,
    /// Each value, volts, with the setup that it was taken under.
    pub taken: Vec<(Range, Setup)>,
}

/// The feeds of all batteries, by element.
pub(super) struct Feeds {
    /// By element; none for what is no battery, or whose EMF stands in the book.
    pub(super) feeds: Vec<Option<Feed>>,
    /// Whether every one of them rests on ranges.
    pub(super) exact: bool,
}

/// The EMF of each battery that is fed by a reading.
pub(super) fn feeds(stand: &Stand<'_>, supplies: &[Supply]) -> Result<Feeds, Trouble> {
    let mut all = Feeds { feeds: Vec::new(), exact: true };
    for (place, element) in stand.circuit.elements.iter().enumerate() {
        let feed = match &element.kind {
            ElementKind::Battery { emf: Emf::Read(reading), .. } => {
                let (range, exact) = emf(stand, ElementIx::at(place), *reading, supplies)?;
                all.exact &= exact;
                Some(Feed::Emf(range))
            }
            _ => None,
        };
        all.feeds.push(feed);
    }
    Ok(all)
}

/// Whether a supposed fault gives this battery a voltage of its own.
pub(super) fn is_weakened(stand: &Stand<'_>, battery: ElementIx) -> bool {
    stand.acting().any(|(_, effect)| matches!(effect.does, Does::Weakens(at, ..) if at == battery))
}

fn emf(
    stand: &Stand<'_>,
    battery: ElementIx,
    reading: IndicationId,
    supplies: &[Supply],
) -> Result<(Range, bool), Trouble> {
    if is_weakened(stand, battery) {
        return Ok((Range::ZERO, true));
    }
    let taken = at_posts(stand, reading, supplies);
    if taken.is_empty() {
        let bounds = possible(stand, reading).ok_or(Trouble::NoVolts(reading))?;
        return Ok((bounds, true));
    }
    let (mut hull, mut exact): (Option<Range>, bool) = (None, true);
    for (volts, setup) in taken {
        let (range, sound) = with_drop(&Stand { setup: &setup, ..*stand }, battery, volts, supplies)?;
        hull = Some(hull.map_or(range, |hull| hull.hull(range)));
        exact &= sound;
    }
    hull.map(|range| (range, exact)).ok_or(Trouble::NoVolts(reading))
}

/// What is known at the posts: what was read, else the tolerance for this setup.
fn at_posts(stand: &Stand<'_>, reading: IndicationId, supplies: &[Supply]) -> Vec<(Range, Setup)> {
    if let Some(supply) = supplies.iter().find(|supply| supply.reading == reading && !supply.taken.is_empty()) {
        return supply.taken.clone();
    }
    tolerance(stand, reading).map(|range| vec![(range, stand.setup.clone())]).unwrap_or_default()
}

/// The tolerance line that holds and names most, if its ends are constants; of two that tie both hold.
fn tolerance(stand: &Stand<'_>, reading: IndicationId) -> Option<Range> {
    let lines = values::tolerance_lines(stand.book, reading);
    let most = lines.iter().filter(|line| line.demand.holds(stand.setup)).map(|line| line.named).max()?;
    let chosen = lines.iter().filter(|line| line.demand.holds(stand.setup) && line.named == most);
    let mut both = Range { low: 0.0, high: f64::INFINITY };
    for line in chosen {
        both.low = both.low.max(line.low.as_constant()?.to_f64());
        both.high = both.high.min(line.high.as_constant()?.to_f64());
    }
    (both.low <= both.high).then_some(both)
}

/// What the book says is physically possible; none where it gives no upper end.
fn possible(stand: &Stand<'_>, reading: IndicationId) -> Option<Range> {
    let (low, high) = stand.book.indication(reading).reading()?.range.as_ref()?;
    let low = low.value().map_or(0.0, |volts| volts.to_f64().max(0.0));
    let high = high.value()?.to_f64();
    (low <= high).then_some(Range { low, high })
}

/// Volts at the posts, and what the circuit loses inside the battery then.
fn with_drop(
    stand: &Stand<'_>,
    battery: ElementIx,
    volts: Range,
    supplies: &[Supply],
) -> Result<(Range, bool), Trouble> {
    let volts = Range { low: volts.low.max(0.0), high: volts.high };
    let feeds: Vec<Option<Feed>> = stand
        .circuit
        .elements
        .iter()
        .enumerate()
        .map(|(place, element)| {
            let ElementKind::Battery { emf: Emf::Read(reading), .. } = &element.kind else { return None };
            if ElementIx::at(place) == battery {
                return Some(Feed::Posts(volts));
            }
            let others = at_posts(stand, *reading, supplies).into_iter().map(|(range, _)| range).reduce(Range::hull);
            others.or_else(|| possible(stand, *reading)).map(Feed::Posts)
        })
        .collect();
    let current = ask(stand, &feeds, &[], Ask::Amperes(Spot::Main(battery)))?;
    let internal = match stand.circuit.element(battery).map(|element| &element.kind) {
        Some(ElementKind::Battery { internal, .. }) => values::or_usual(internal.as_ref(), values::USUAL_INTERNAL_OHM),
        _ => values::or_usual(None, values::USUAL_INTERNAL_OHM),
    };
    let internal = internal.map_err(|problem| {
        let name = stand.circuit.element(battery).map_or(String::new(), |element| element.name.clone());
        Trouble::Value(name, problem)
    })?;
    let drop = current.hull() * internal.range();
    let sound = current.is_exact() && internal.basis() == super::network::Basis::Stated;
    Ok((volts + drop, sound || drop.abs().high < UNSEEN_DROP))
}
