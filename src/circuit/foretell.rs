//! What a reading would show: the network asked, the answer kept.
//!
//! Why: a verdict asks the same circuit again and again, with one entry more or less. The answer depends on nothing but the circuit, how the setup
//! places its elements, what the faults do and what feeds it; under these it is kept for the rest of the run. It must not know entries.

use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use crate::book::circuits::{Does, Element, ElementKind, Emf, MeterOhms, Probe, ProbeAt, Spot};
use crate::book::{ElementIx, PointIx, Setup};
use crate::kept::{Kept, Takes};

use super::build::{Built, Feed, Stand};
use super::network::{Expected, Meter, Range, Reading, Spread};
use super::supply::{Supply, feeds, feeds_at_posts, is_weakened};
use super::trouble::Trouble;

/// What a voltage may be off by what no circuit shows, volts: other currents in a shared ground, a contact's own voltage
/// (common practice, no source).
pub const STRAY_VOLTS: f64 = 0.05;
/// What a meter may show at a dead point, volts: the leakage of a switched-off output, damp, its own last digits (common practice, no source).
pub const DEAD_VOLTS: f64 = 0.3;
/// A point is dead if it can't be further from the other one than this, volts.
const NOUGHT_VOLTS: f64 = 1e-3;
/// What a point that hangs free may show on a 10 Mohm meter without meaning anything, volts: a ghost voltage (common practice, no source).
pub const GHOST_VOLTS: f64 = 0.5;
/// Leads and probes in a resistance, ohm (0.2 ohm to 0.5 ohm for shorted leads: check-values.md section 8).
pub const LEAD_OHMS: f64 = 0.5;
/// From here on a resistance may be damp and dirt where nothing connects, ohm (common practice, no source).
pub const DIRT_OHMS: f64 = 1e6;
/// How far a clamp's zero may drift, ampere (common practice, no source).
pub const CLAMP_DRIFT: f64 = 0.1;
/// The same as so many times what the meter may be off at nought by its own line, where that is less: a clamp for mA drifts by mA
/// (common practice, no source).
const CLAMP_DRIFT_NOUGHTS: f64 = 10.0;
/// How many fuses that may have opened earlier are followed.
const MOST_BURNT: usize = 3;
/// Bytes of the answers that are kept, about: one takes some hundred.
const MOST_KEPT: usize = 8 << 20;

/// What a reading shows in one way in which relays, fuses and diodes may end up.
#[derive(Clone, PartialEq, Debug)]
pub struct ForetoldOutcome {
    /// Within what it then lies: volts, ohms or amperes.
    pub range: Range,
    /// How that comes about, one phrase for each relay, fuse and diode that has moved.
    pub how: Vec<String>,
    /// The fuses that open then.
    pub blown: Vec<ElementIx>,
}

/// What a reading would show.
#[derive(Clone, PartialEq, Debug)]
pub struct Foretold {
    /// What is measured.
    pub what: Ask,
    /// Each outcome that may come about, at least one.
    pub outcomes: Vec<ForetoldOutcome>,
    /// Elements that matter and have no range: their author gave a single value, or none.
    pub unranged: Vec<String>,
    /// Probed points that hang free: they show 0 V, or a ghost voltage through the meter's own 10 Mohm.
    pub floating: Vec<String>,
    /// Whether a relay chatters in some outcome.
    pub chatters: bool,
    /// Whether the batteries' voltages rest on ranges.
    pub fed: bool,
    /// What the meter of a reading taken there may be off at nought, in base units; none if the book doesn't say.
    pub nought: Option<f64>,
}

impl Foretold {
    /// Whether it may rule out: every element that matters has a range, no probe hangs free.
    pub fn is_exact(&self) -> bool {
        self.unranged.is_empty() && self.floating.is_empty() && self.fed
    }

    /// The smallest range that holds every outcome's.
    pub fn hull(&self) -> Range {
        self.outcomes.iter().map(|outcome| outcome.range).reduce(Range::hull).unwrap_or(Range::ZERO)
    }

    /// Whether a reading within these ends may come of it.
    pub fn allows(&self, low: f64, high: f64) -> bool {
        self.allowed().any(|allowed| allowed.low <= high && low <= allowed.high)
    }

    /// Within what a reading may lie that comes of it, what no circuit shows allowed for. Where a relay chatters a meter shows a mean of
    /// what it would show in each position, so all between them may come of it.
    pub fn allowed(&self) -> impl Iterator<Item = Range> + '_ {
        let hull = self.chatters.then(|| self.hull());
        let each = self.outcomes.iter().map(|outcome| outcome.range).filter(|_| !self.chatters);
        hull.into_iter().chain(each).map(|range| self.allowance(range))
    }

    /// Adds what it would show with these fuses open from before.
    fn join(&mut self, stand: &Stand<'_>, other: &Foretold, opened: &[ElementIx]) {
        let names = opened.iter().filter_map(|fuse| stand.circuit.element(*fuse));
        let word = |element: &Element| match element.kind {
            ElementKind::Fuse { .. } => format!("fuse `{}` has opened before", element.name),
            _ => format!("`{}` open", element.name),
        };
        let opened_before: Vec<String> = names.map(word).collect();
        for outcome in &other.outcomes {
            let how = opened_before.iter().chain(&outcome.how).cloned().collect();
            self.outcomes.push(ForetoldOutcome { how, ..outcome.clone() });
        }
        add_new(&mut self.unranged, &other.unranged);
        add_new(&mut self.floating, &other.floating);
        self.chatters |= other.chatters;
    }

    pub(crate) fn allowance(&self, range: Range) -> Range {
        let off = match self.what {
            Ask::Volts(..) if !self.floating.is_empty() => GHOST_VOLTS,
            Ask::Volts(..) if range.abs().high < NOUGHT_VOLTS => DEAD_VOLTS,
            Ask::Volts(..) | Ask::Loaded(..) => STRAY_VOLTS,
            Ask::Ohms(..) => return Range { low: range.low.min(DIRT_OHMS), high: range.high + LEAD_OHMS },
            Ask::Amperes(_) => {
                self.nought.map_or(CLAMP_DRIFT, |nought| (nought * CLAMP_DRIFT_NOUGHTS).min(CLAMP_DRIFT))
            }
        };
        Range { low: range.low - off, high: range.high + off }
    }
}

fn add_new(all: &mut Vec<String>, more: &[String]) {
    for name in more {
        if !all.contains(name) {
            all.push(name.clone());
        }
    }
}

/// What is asked of a network.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Ask {
    /// Volts of one point against another, with a 10 Mohm meter.
    Volts(PointIx, PointIx),
    /// Volts of one point against another, with an instrument that loads them.
    Loaded(PointIx, PointIx, MeterOhms),
    /// Ohms between two points, the supply off.
    Ohms(PointIx, PointIx),
    /// Amperes through an element, with a clamp.
    Amperes(Spot),
}

impl From<ProbeAt> for Ask {
    fn from(at: ProbeAt) -> Ask {
        match at {
            ProbeAt::Volts(plus, minus) => Ask::Volts(plus, minus),
            ProbeAt::Loaded(plus, minus, ohms) => Ask::Loaded(plus, minus, ohms),
            ProbeAt::Ohms(from, to) => Ask::Ohms(from, to),
            ProbeAt::Amperes(spot) => Ask::Amperes(spot),
        }
    }
}

/// Whether the reading at a probe is the EMF of a battery itself: then it is given, not foretold.
pub fn is_given(stand: &Stand<'_>, probe: &crate::book::circuits::Probe) -> bool {
    let mut reads = stand
        .circuit
        .elements
        .iter()
        .enumerate()
        .filter(|(_, element)| {
            matches!(&element.kind, ElementKind::Battery { emf: Emf::Read(reading), .. } if *reading == probe.reading)
        })
        .map(|(place, _)| ElementIx::at(place))
        .peekable();
    reads.peek().is_some() && reads.all(|battery| !is_weakened(stand, battery))
}

/// What is known beside the setup of the moment.
#[derive(Clone, Copy, Default, Debug)]
pub struct Known<'a> {
    /// What was read at the posts of batteries.
    pub supplies: &'a [Supply],
    /// Setups that the vehicle has been in: a fuse that opens in one of them stays open.
    pub before: &'a [Setup],
}

/// What a reading would show.
///
/// # Errors
/// Why the circuit can't be reckoned.
pub fn foretell(stand: &Stand<'_>, known: Known<'_>, what: Ask) -> Result<Arc<Foretold>, Trouble> {
    let burnt = burnt_before(stand, known, what);
    let loose_joint = loose_joints(stand);
    if burnt.is_empty() && loose_joint.is_empty() {
        return one(stand, known, what, &[]);
    }
    let mut told: Option<Foretold> = None;
    let mut open: Vec<ElementIx> = burnt.iter().chain(&loose_joint).copied().collect();
    open.truncate(MOST_BURNT);
    for opened in std::iter::once(Vec::new()).chain(subsets(&open)) {
        let other = if burnt.is_empty() {
            one(stand, known, what, &opened)?
        } else {
            let loose = feeds(stand, known.supplies, &open)?;
            let told = ask(stand, &loose.feeds, &opened, what)?;
            Arc::new(Foretold { fed: loose.exact, ..(*told).clone() })
        };
        match &mut told {
            Some(told) => told.join(stand, &other, &opened),
            None => told = Some((*other).clone()),
        }
    }
    told.map(Arc::new).ok_or(Trouble::Network(super::network::NetworkProblem::Foreign))
}

/// What a reading would show with these elements open, whatever was open before.
fn one(stand: &Stand<'_>, known: Known<'_>, what: Ask, opened: &[ElementIx]) -> Answer {
    let loose = feeds(stand, known.supplies, opened)?;
    if let Some(tight) = feeds_at_posts(stand, known.supplies, &loose, opened)
        && let Ok(told) = ask(stand, &tight.feeds, opened, what)
    {
        return Ok(if tight.exact { told } else { Arc::new(Foretold { fed: false, ..(*told).clone() }) });
    }
    let told = ask(stand, &loose.feeds, opened, what)?;
    Ok(if loose.exact { told } else { Arc::new(Foretold { fed: false, ..(*told).clone() }) })
}

/// What the supposed faults open at times.
fn loose_joints(stand: &Stand<'_>) -> Vec<ElementIx> {
    let mut all: Vec<ElementIx> = stand
        .acting()
        .filter_map(|(_, effect)| if let Does::MayOpen(element) = effect.does { Some(element) } else { None })
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The fuses that may have opened in an earlier setup, at most [`MOST_BURNT`] of them.
fn burnt_before(stand: &Stand<'_>, known: Known<'_>, what: Ask) -> Vec<ElementIx> {
    let mut burnt: Vec<ElementIx> = Vec::new();
    let is = |kind: fn(&ElementKind) -> bool| stand.circuit.elements.iter().position(|element| kind(&element.kind));
    let fuses = is(|kind| matches!(kind, ElementKind::Fuse { .. })).is_some();
    // Whatever is asked, the same fuses open: so one and the same is asked, and kept.
    let battery = is(|kind| matches!(kind, ElementKind::Battery { .. })).map(ElementIx::at);
    let what = battery.map_or(what, |battery| Ask::Amperes(Spot::Main(battery)));
    for setup in known.before.iter().filter(|_| fuses && !stand.faults.is_empty()) {
        let earlier = Stand { setup, ..*stand };
        let Ok(fed) = feeds(&earlier, known.supplies, &[]) else { continue };
        let Ok(told) = ask(&earlier, &fed.feeds, &[], what) else { continue };
        burnt.extend(told.outcomes.iter().flat_map(|outcome| &outcome.blown));
    }
    burnt.sort_unstable();
    burnt.dedup();
    burnt.truncate(MOST_BURNT);
    burnt
}

/// Every choice of some of them.
pub(super) fn subsets(all: &[ElementIx]) -> Vec<Vec<ElementIx>> {
    let count = 1_usize << all.len();
    let chosen = |bits: usize| {
        all.iter().enumerate().filter(move |(place, _)| bits >> place & 1 == 1).map(|(_, fuse)| *fuse).collect()
    };
    (1..count).map(chosen).collect()
}

/// All that an answer depends on.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Key {
    digest: String,
    positions: Vec<u8>,
    acting: Vec<usize>,
    feeds: Vec<Option<(bool, u64, u64)>>,
    opened: Vec<ElementIx>,
    warmth: Option<u64>,
    what: Ask,
}

type Answer = Result<Arc<Foretold>, Trouble>;

static KEPT: LazyLock<Mutex<Kept<Key, Answer>>> = LazyLock::new(|| Mutex::new(Kept::within(MOST_KEPT)));

impl Takes for Key {
    fn takes(&self) -> usize {
        let lists = size_of_val(self.acting.as_slice())
            + size_of_val(self.feeds.as_slice())
            + size_of_val(self.opened.as_slice());
        size_of::<Key>() + self.digest.len() + self.positions.len() + lists
    }
}

impl Takes for Answer {
    fn takes(&self) -> usize {
        let words = |all: &[String]| size_of_val(all) + all.iter().map(String::len).sum::<usize>();
        let told = |told: &Foretold| {
            let outcomes =
                told.outcomes.iter().map(|outcome| words(&outcome.how) + size_of_val(outcome.blown.as_slice()));
            let lists = words(&told.unranged) + words(&told.floating) + size_of_val(told.outcomes.as_slice());
            size_of::<Foretold>() + outcomes.sum::<usize>() + lists
        };
        size_of::<Answer>() + self.as_ref().map_or(0, |answer| told(answer))
    }
}

/// Asks the network, unless the answer is known.
pub(super) fn ask(stand: &Stand<'_>, feeds: &[Option<Feed>], opened: &[ElementIx], what: Ask) -> Answer {
    let key = key(stand, feeds, opened, what);
    if let Some(known) = KEPT.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
        return known;
    }
    let answer = reckon(stand, feeds, opened, what).map(Arc::new);
    KEPT.lock().unwrap_or_else(PoisonError::into_inner).keep(key, answer.clone());
    answer
}

fn key(stand: &Stand<'_>, feeds: &[Option<Feed>], opened: &[ElementIx], what: Ask) -> Key {
    let bits = |feed: &Option<Feed>| {
        feed.map(|feed| match feed {
            Feed::Emf(range) => (false, range.low.to_bits(), range.high.to_bits()),
            Feed::Posts(range) => (true, range.low.to_bits(), range.high.to_bits()),
        })
    };
    Key {
        digest: stand.circuit.digest.hex().to_string(),
        positions: stand.positions(),
        acting: stand.acting().map(|(place, _)| place).collect(),
        feeds: feeds.iter().map(bits).collect(),
        opened: opened.to_vec(),
        warmth: stand.warmth.map(f64::to_bits),
        what,
    }
}

fn reckon(stand: &Stand<'_>, feeds: &[Option<Feed>], opened: &[ElementIx], what: Ask) -> Result<Foretold, Trouble> {
    let built = stand.build(feeds, opened, &mut |spread| spread)?;
    let reading = reading(&built, what).ok_or(super::network::NetworkProblem::Foreign)?;
    let expected = built.network.expected(&reading)?;
    Ok(told(stand, &built, &expected, what))
}

/// What is asked, as the network takes it.
pub fn reading(built: &Built, what: Ask) -> Option<Reading> {
    Some(match what {
        Ask::Volts(plus, minus) => Reading::voltage(built.point(plus), built.point(minus)),
        Ask::Loaded(plus, minus, ohms) => {
            let (least, most) = ohms.ends();
            let meter = Meter::Other(Spread::between(least, most).ok()?);
            Reading::Voltage { plus: built.point(plus), minus: built.point(minus), meter }
        }
        Ask::Ohms(from, to) => Reading::Resistance { from: built.point(from), to: built.point(to) },
        Ask::Amperes(spot) => Reading::current(built.place(spot)?),
    })
}

fn told(stand: &Stand<'_>, built: &Built, expected: &Expected, what: Ask) -> Foretold {
    let network = &built.network;
    let points = stand.circuit.points.iter().enumerate();
    let floating = points.filter(|(place, _)| expected.floating.contains(&built.point(PointIx::at(*place))));
    let element = |part| built.parts.iter().position(|own| *own == part).map(ElementIx::at);
    let outcomes = expected.outcomes.iter().map(|found| ForetoldOutcome {
        range: found.range,
        how: found.outcome.words(network),
        blown: found.outcome.blown.iter().filter_map(|blown| element(blown.fuse)).collect(),
    });
    Foretold {
        what,
        outcomes: outcomes.collect(),
        unranged: expected.unranged.iter().map(|part| network.part_name(*part).to_owned()).collect(),
        floating: if matches!(what, Ask::Loaded(..)) {
            Vec::new()
        } else {
            floating.map(|(_, name)| name.clone()).collect()
        },
        chatters: expected.outcomes.iter().any(|found| !found.outcome.chattering.is_empty()),
        fed: true,
        nought: stand
            .circuit
            .probes
            .iter()
            .find(|probe| Ask::from(probe.at) == what)
            .and_then(|probe| nought(stand, probe)),
    }
}

/// What the meter of a probe's reading may be off at nought; none if the book names no meter with the worth of its last digit.
fn nought(stand: &Stand<'_>, probe: &Probe) -> Option<f64> {
    let meter = stand.book.indication(probe.reading).reading()?.meter.as_ref()?;
    meter.digit.as_ref().map(|digit| (&meter.counts * digit).to_f64())
}
