//! The voltage of each battery without load: from the book, or from what was read at its posts.
//!
//! Why: a technician never measures an EMF. What is read at the posts is lower by what the circuit draws through the internal resistance at
//! that moment, so that drop is reckoned and added. With nothing switched on it is nought by itself. It must not know entries, only
//! what was read under which setup.

use std::collections::BTreeSet;

use crate::book::circuits::{Does, ElementKind, Emf, Quantity, Spot};
use crate::book::{Circuit, ElementIx, FaultId, IndicationId, Setup};

use super::build::{Feed, Stand};
use super::foretell::{Ask, ask, subsets};
use super::network::{Basis, Range};
use super::trouble::Trouble;
use super::values;

/// What a battery's voltage may move between two readings, as a share of it: it sags under load and recovers (common practice, no source).
pub const DRIFT: f64 = 0.005;
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

/// The EMF of each battery that is fed by a reading; `burnt` are fuses that may have opened before.
pub(super) fn feeds(stand: &Stand<'_>, supplies: &[Supply], burnt: &[ElementIx]) -> Result<Feeds, Trouble> {
    let mut all = Feeds { feeds: Vec::new(), exact: true };
    for (place, element) in stand.circuit.elements.iter().enumerate() {
        let feed = match &element.kind {
            ElementKind::Battery { emf: Emf::Read(reading), .. } => {
                let read = Read { stand, supplies, battery: ElementIx::at(place), reading: *reading };
                let (range, exact) = read.emf(burnt)?;
                all.exact &= exact;
                Some(Feed::Emf(range))
            }
            _ => None,
        };
        all.feeds.push(feed);
    }
    Ok(all)
}

/// The voltage at the posts of each battery that is fed by a reading, where it can be told more closely than by its EMF: what was read
/// there, less what the circuit draws more now than then. In the setup of the reading itself that is the reading.
pub(super) fn feeds_at_posts(
    stand: &Stand<'_>,
    supplies: &[Supply],
    loose: &Feeds,
    opened: &[ElementIx],
) -> Option<Feeds> {
    let mut all = Feeds { feeds: loose.feeds.clone(), exact: true };
    for (place, element) in stand.circuit.elements.iter().enumerate() {
        let (ElementKind::Battery { emf: Emf::Read(reading), .. }, battery) = (&element.kind, ElementIx::at(place))
        else {
            continue;
        };
        let read = Read { stand, supplies, battery, reading: *reading };
        if is_weakened(stand, battery) && !read.is_read_here() {
            continue;
        }
        let (range, exact) = read.posts(&loose.feeds, opened)?;
        all.exact &= exact;
        if let Some(feed) = all.feeds.get_mut(place) {
            *feed = Some(Feed::Posts(range));
        }
    }
    Some(all)
}

/// Whether a supposed fault gives this battery a voltage of its own.
pub(super) fn is_weakened(stand: &Stand<'_>, battery: ElementIx) -> bool {
    stand.acting().any(|(_, effect)| matches!(effect.does, Does::Weakens(at, ..) if at == battery))
}

/// One battery that a reading feeds.
struct Read<'r, 'a> {
    stand: &'r Stand<'a>,
    supplies: &'r [Supply],
    battery: ElementIx,
    reading: IndicationId,
}

/// Volts at the posts, the setup that they belong to, and the faults that were there.
struct Taken<'t> {
    volts: Range,
    setup: Setup,
    faults: &'t [FaultId],
}

impl Read<'_, '_> {
    /// What is known at the posts: what was read, with the faults supposed; else the tolerance, which is of a sound vehicle.
    fn taken(&self) -> Vec<Taken<'_>> {
        let found = self.supplies.iter().find(|supply| supply.reading == self.reading && !supply.taken.is_empty());
        if let Some(supply) = found {
            let each = supply.taken.iter();
            return each
                .map(|(volts, setup)| Taken { volts: *volts, setup: setup.clone(), faults: self.stand.faults })
                .collect();
        }
        let line = tolerance(self.stand, self.reading);
        line.map(|volts| vec![Taken { volts, setup: self.stand.setup.clone(), faults: &[] }]).unwrap_or_default()
    }

    fn emf(&self, burnt: &[ElementIx]) -> Result<(Range, bool), Trouble> {
        if is_weakened(self.stand, self.battery) {
            return Ok((Range::ZERO, true));
        }
        let mut hull: Option<(Range, bool)> = None;
        for taken in self.taken() {
            let (ampere, sound) = self.drawn(&taken, burnt)?;
            let (internal, stated) = self.internal()?;
            let drop = ampere * internal;
            let seen = (sound && stated) || drop.abs().high < UNSEEN_DROP;
            let found = (self.own(taken.volts) + drop, seen && self.is_ranged());
            hull = Some(hull.map_or(found, |(range, exact)| (range.hull(found.0), exact && found.1)));
        }
        match hull {
            Some(found) => Ok(found),
            None => possible(self.stand, self.reading)
                .map(|range| (self.own(range), self.is_ranged()))
                .ok_or(Trouble::NoVolts(self.reading)),
        }
    }

    /// Whether it was read by itself under a setup that is alike for the circuit: then it is what it was, weak or not.
    fn is_read_here(&self) -> bool {
        let read = self.share().is_none()
            && self.supplies.iter().any(|supply| supply.reading == self.reading && !supply.taken.is_empty());
        read && self.taken().iter().all(|taken| self.is_here(taken))
    }

    fn is_here(&self, taken: &Taken<'_>) -> bool {
        let then = Stand { setup: &taken.setup, faults: taken.faults, ..*self.stand };
        then.positions() == self.stand.positions() && acting(&then) == acting(self.stand)
    }

    /// Volts at the posts now; none where relays or fuses may end up in several ways, or nothing was read.
    fn posts(&self, loose: &[Option<Feed>], opened: &[ElementIx]) -> Option<(Range, bool)> {
        let now = ask(self.stand, loose, opened, Ask::Amperes(Spot::Main(self.battery)));
        let now = now.ok().filter(|now| now.outcomes.len() == 1 && !now.chatters);
        if now.is_none() && !is_weakened(self.stand, self.battery) {
            return None;
        }
        let mut hull: Option<(Range, bool)> = None;
        for taken in self.taken() {
            let volts = self.own(taken.volts);
            let found = if self.is_here(&taken) {
                (volts, true)
            } else {
                let now = now.as_ref()?;
                let (ampere, sound) = self.drawn(&taken, opened).ok()?;
                let (internal, stated) = self.internal().ok()?;
                let change = (ampere - now.hull()) * internal;
                let seen = (sound && now.is_exact() && stated) || change.abs().high < UNSEEN_DROP;
                (volts + change, seen)
            };
            hull = Some(hull.map_or(found, |(range, exact)| (range.hull(found.0), exact && found.1)));
        }
        hull.map(|(range, exact)| (Range { low: range.low.max(0.0), ..range }, exact && self.is_ranged()))
    }

    /// What the battery gave when that was read, ampere, and whether every element that matters has a range.
    fn drawn(&self, taken: &Taken<'_>, burnt: &[ElementIx]) -> Result<(Range, bool), Trouble> {
        let stand = Stand { setup: &taken.setup, faults: taken.faults, ..*self.stand };
        let elements = stand.circuit.elements.iter().enumerate();
        let feeds: Vec<Option<Feed>> = elements
            .map(|(place, element)| {
                let ElementKind::Battery { emf: Emf::Read(reading), .. } = &element.kind else { return None };
                let other = Read { battery: ElementIx::at(place), reading: *reading, ..*self };
                if other.battery == self.battery {
                    let volts = self.own(taken.volts);
                    return Some(Feed::Posts(Range { low: volts.low.max(0.0), high: volts.high }));
                }
                let volts = other.taken().into_iter().map(|taken| taken.volts).reduce(Range::hull);
                volts.or_else(|| possible(&stand, *reading)).map(|volts| Feed::Posts(other.own(volts)))
            })
            .collect();
        let what = Ask::Amperes(Spot::Main(self.battery));
        let told = ask(&stand, &feeds, &[], what)?;
        let (mut range, mut sound) = (told.hull(), told.is_exact());
        for opened in subsets(burnt) {
            let told = ask(&stand, &feeds, &opened, what)?;
            range = range.hull(told.hull());
            sound &= told.is_exact();
        }
        Ok((range, sound))
    }

    /// What this battery gives of a voltage that was read.
    fn own(&self, volts: Range) -> Range {
        self.share().map_or(volts, |share| {
            volts * Range { low: share.low.to_f64().next_down(), high: share.high.to_f64().next_up() }
        })
    }

    fn share(&self) -> Option<&Quantity> {
        match self.stand.circuit.element(self.battery).map(|element| &element.kind) {
            Some(ElementKind::Battery { share, .. }) => share.as_deref(),
            _ => None,
        }
    }

    /// Whether its author stands behind its share.
    fn is_ranged(&self) -> bool {
        self.share().is_none_or(|share| share.ranged)
    }

    /// The internal resistance, ohm, and whether it has a range.
    fn internal(&self) -> Result<(Range, bool), Trouble> {
        let element = self.stand.circuit.element(self.battery);
        let words = match element.map(|element| &element.kind) {
            Some(ElementKind::Battery { internal, .. }) => internal.as_ref(),
            _ => None,
        };
        let spread = values::or_usual(words, values::USUAL_INTERNAL_OHM).map_err(|problem| {
            Trouble::Value(element.map_or(String::new(), |element| element.name.clone()), problem)
        })?;
        Ok((spread.range(), spread.basis() == Basis::Stated))
    }
}

/// What the supposed faults do, by number.
fn acting(stand: &Stand<'_>) -> Vec<usize> {
    stand.acting().map(|(place, _)| place).collect()
}

/// What is read at the posts where nothing is wrong with a battery: within tolerance, with the supposed faults in place, as a technician
/// would find it. Nothing where a supposed fault weakens a battery: then the sound vehicle says what it had.
pub(super) fn usual(stand: &Stand<'_>) -> Vec<Supply> {
    let batteries = || stand.circuit.elements.iter().enumerate();
    if batteries().any(|(place, _)| is_weakened(stand, ElementIx::at(place))) {
        return Vec::new();
    }
    let each = readings(stand.circuit).filter_map(|reading| {
        let taken = vec![(tolerance(stand, reading)?, stand.setup.clone())];
        Some(Supply { reading, taken })
    });
    each.collect()
}

/// The readings that the circuit takes as the voltage of a battery, each once.
pub(crate) fn readings(circuit: &Circuit) -> impl Iterator<Item = IndicationId> {
    let read = circuit.elements.iter().filter_map(|element| match &element.kind {
        ElementKind::Battery { emf: Emf::Read(reading), .. } => Some(*reading),
        _ => None,
    });
    read.collect::<BTreeSet<_>>().into_iter()
}

/// The tolerance line that holds and names most, if its ends are constants; of two that tie both hold.
pub(super) fn tolerance(stand: &Stand<'_>, reading: IndicationId) -> Option<Range> {
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
