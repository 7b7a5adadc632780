//! Circuits of a book, resolved: elements between points, readings across and through them, and what each fault does to them.
//!
//! Why: the book says what is drawn in shop words; here every name is a number and every value stands in base units, so that the physics
//! (`crate::circuit`) needs no words. It must not know how a network is solved.

use crate::source::Span;
use crate::units::Exact;

use super::digest::Digest;
use super::ids::{CircuitId, ElementIx, FaultId, IndicationId, PartId, PointIx, SettingId};
use super::model::Book;
use super::setup::{Setup, Term, can_affect};

/// A value with its range, in base units.
#[derive(Clone, PartialEq, Debug)]
pub struct Quantity {
    /// The least.
    pub low: Exact,
    /// The value named, or the middle of the range.
    pub nominal: Exact,
    /// The greatest.
    pub high: Exact,
    /// Whether its author gave a range. A single value is none: it is reckoned with, but rules nothing out.
    pub ranged: bool,
}

/// Where a battery's voltage without load comes from.
#[derive(Clone, PartialEq, Debug)]
pub enum Emf {
    /// From the book, in volts.
    Given(Quantity),
    /// From this reading, taken at the battery's posts.
    Read(IndicationId),
}

/// What a load takes.
#[derive(Clone, PartialEq, Debug)]
pub enum Taken {
    /// A current, ampere.
    Current(Quantity),
    /// A power, watt.
    Power(Quantity),
}

/// What a motor or lamp takes, at a voltage and under a setup.
#[derive(Clone, PartialEq, Debug)]
pub struct Load {
    /// Whether the motor is held fast then.
    pub stalled: bool,
    /// What it takes.
    pub takes: Taken,
    /// At this many volts.
    pub volts: Exact,
    /// Where it holds; everywhere if empty.
    pub setup: Vec<Term>,
}

/// The resistance of a plain conductor.
#[derive(Clone, PartialEq, Debug)]
pub enum Ohms {
    /// From the book, in ohm.
    Given(Quantity),
    /// A copper wire.
    Copper {
        /// Its length in m.
        length: Exact,
        /// Its section in m².
        area: Exact,
    },
    /// The book doesn't say; the usual value of its kind is put in.
    Usual,
}

/// The parts of a relay.
#[derive(Clone, PartialEq, Debug)]
pub struct RelayWords {
    /// The coil's points.
    pub coil: (PointIx, PointIx),
    /// The coil's resistance, ohm.
    pub coil_ohms: Option<Quantity>,
    /// The common contact, 30.
    pub common: PointIx,
    /// What it is joined to when pulled in, 87.
    pub make: Option<PointIx>,
    /// What it is joined to at rest, 87a.
    pub rest: Option<PointIx>,
    /// Resistance of a closed contact, ohm.
    pub contact_ohms: Option<Quantity>,
    /// Coil voltage at which it has surely pulled in, volts.
    pub pulls_in: Option<Exact>,
    /// Coil voltage at which it has surely dropped out, volts.
    pub drops_out: Option<Exact>,
}

/// What an element is, with its values.
#[derive(Clone, PartialEq, Debug)]
pub enum ElementKind {
    /// A battery, from its minus to its plus.
    Battery {
        /// Voltage without load.
        emf: Emf,
        /// Share of the reading that it gives, where it is one of several that are read as a whole.
        share: Option<Box<Quantity>>,
        /// Internal resistance, ohm.
        internal: Option<Quantity>,
        /// Share of time that it is switched on, if it is pulsed.
        duty: Option<Quantity>,
    },
    /// A fuse.
    Fuse {
        /// Its rating, ampere.
        rating: Exact,
        /// Its resistance, ohm.
        ohms: Option<Quantity>,
    },
    /// A wire, connector or resistor.
    Conductor(Ohms),
    /// A motor or lamp.
    Load {
        /// What it takes; the first holds where no other does.
        loads: Vec<Load>,
        /// Share of time that it is switched on, if it is pulsed.
        duty: Option<Quantity>,
    },
    /// A switch that the setup moves.
    Switch {
        /// Its resistance when closed, ohm.
        ohms: Option<Quantity>,
    },
    /// A relay.
    Relay(Box<RelayWords>),
    /// A diode, from its anode to its cathode.
    Diode {
        /// Forward voltage, volts.
        drop: Option<Quantity>,
        /// Resistance on top of it, ohm.
        ohms: Option<Quantity>,
    },
}

/// When an element conducts, as far as the setup decides it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Switching {
    /// It conducts only where one of these holds; always if empty.
    pub closed: Vec<Vec<Term>>,
    /// It doesn't conduct where one of these holds.
    pub open: Vec<Vec<Term>>,
}

impl Switching {
    /// Whether the element conducts under a setup.
    pub fn conducts(&self, setup: &Setup) -> bool {
        let any = |lists: &[Vec<Term>]| lists.iter().any(|terms| all_hold(terms, setup));
        (self.closed.is_empty() || any(&self.closed)) && !any(&self.open)
    }

    /// Every setup word in it.
    pub fn terms(&self) -> impl Iterator<Item = &Term> {
        self.closed.iter().chain(&self.open).flatten()
    }
}

/// Whether a setup has all of these.
pub fn all_hold(terms: &[Term], setup: &Setup) -> bool {
    terms.iter().all(|term| setup.mask(term.setting) & term.allowed != 0)
}

/// One element of a circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct Element {
    /// As declared, or its kind where it has no name.
    pub name: String,
    /// Its kind as written: `wire`, `pressure switch`.
    pub word: String,
    /// What it is.
    pub kind: ElementKind,
    /// Its two points; of a relay those of its coil.
    pub ends: (PointIx, PointIx),
    /// When it conducts.
    pub switching: Switching,
    /// The part of the book that bears its name.
    pub part: Option<PartId>,
    /// Its line.
    pub span: Span,
}

/// One current path of an element; a relay has two.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Spot {
    /// The element itself; of a relay its contact.
    Main(ElementIx),
    /// A relay's coil.
    Coil(ElementIx),
}

impl Spot {
    /// The element.
    pub fn element(self) -> ElementIx {
        match self {
            Spot::Main(element) | Spot::Coil(element) => element,
        }
    }
}

/// What an instrument loads the circuit with, ohm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct MeterOhms {
    /// The least, as the bits of a number, so that two may be compared.
    least: u64,
    /// The greatest likewise.
    most: u64,
}

impl MeterOhms {
    /// A voltmeter set to low impedance: about 3 kohm, some hundreds of kohm on others (common practice, no source).
    pub const LOW_IMPEDANCE: MeterOhms = MeterOhms { least: 2_000_f64.to_bits(), most: 500_000_f64.to_bits() };

    /// From the book; a single value counts as ± 20 %, since meters are no resistors (common practice, no source).
    pub fn around(ohms: &Quantity) -> MeterOhms {
        let slack = if ohms.ranged { 0.0 } else { 0.2 };
        MeterOhms::between(ohms.low.to_f64() * (1.0 - slack), ohms.high.to_f64() * (1.0 + slack))
    }

    /// A lamp rated at a voltage: hot it has volts²/watt, cold a tenth of that (from memory).
    pub fn of_lamp(takes: &Taken, volts: &Exact) -> MeterOhms {
        let volts = volts.to_f64();
        let hot = |value: &Exact| match takes {
            Taken::Power(_) => volts * volts / value.to_f64(),
            Taken::Current(_) => volts / value.to_f64(),
        };
        let (Taken::Power(range) | Taken::Current(range)) = takes;
        MeterOhms::between(hot(&range.high) * 0.1, hot(&range.low) * 1.1)
    }

    fn between(least: f64, most: f64) -> MeterOhms {
        MeterOhms { least: least.max(1e-3).to_bits(), most: most.max(1e-3).to_bits() }
    }

    /// The least and the greatest, ohm.
    pub fn ends(self) -> (f64, f64) {
        (f64::from_bits(self.least), f64::from_bits(self.most))
    }
}

/// What is measured where.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ProbeAt {
    /// Volts across two points.
    Volts(PointIx, PointIx),
    /// Volts across two points with an instrument that loads them: a test lamp, a low-impedance meter.
    Loaded(PointIx, PointIx, MeterOhms),
    /// Ohms across two points, the supply off.
    Ohms(PointIx, PointIx),
    /// Amperes through an element.
    Amperes(Spot),
}

/// A reading that the circuit foretells.
#[derive(Clone, PartialEq, Debug)]
pub struct Probe {
    /// Which.
    pub reading: IndicationId,
    /// Where it is taken.
    pub at: ProbeAt,
    /// Its line.
    pub span: Span,
}

/// How something is stuck.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stuck {
    /// A contact that never closes.
    Open,
    /// A contact that never opens.
    Closed,
    /// A motor held fast.
    Fast,
}

/// One thing that a fault does.
#[derive(Clone, PartialEq, Debug)]
pub enum Does {
    /// The path is broken.
    Opens(Spot),
    /// The element is broken at times, and whole at others.
    MayOpen(ElementIx),
    /// Two points touch.
    Shorts(PointIx, PointIx),
    /// Ohms in series.
    Adds(Spot, Quantity),
    /// It stays as it is.
    Sticks(ElementIx, Stuck),
    /// A battery with another voltage without load, perhaps another internal resistance.
    Weakens(ElementIx, Quantity, Option<Quantity>),
    /// A fuse of another rating, ampere.
    Rates(ElementIx, Exact),
    /// Another resistance, ohm.
    Becomes(Spot, Quantity),
    /// A motor or lamp that takes something else.
    Takes(ElementIx, Taken),
    /// Nothing at all: the author says that the fault leaves this circuit as it is.
    Nothing,
}

impl Does {
    /// The element at which it happens, if it happens at one.
    pub fn element(&self) -> Option<ElementIx> {
        match self {
            Does::Shorts(..) | Does::Nothing => None,
            Does::Opens(spot) | Does::Adds(spot, _) | Does::Becomes(spot, _) => Some(spot.element()),
            Does::MayOpen(element)
            | Does::Sticks(element, _)
            | Does::Weakens(element, ..)
            | Does::Rates(element, _)
            | Does::Takes(element, _) => Some(*element),
        }
    }
}

/// What a fault does to the circuit; a fault may have several.
#[derive(Clone, PartialEq, Debug)]
pub struct Effect {
    /// Which fault.
    pub fault: FaultId,
    /// What it does.
    pub does: Does,
    /// Its line.
    pub span: Span,
}

/// A resolved circuit.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Circuit {
    /// As declared.
    pub name: String,
    /// Its points in order of first mention; `ground` comes first.
    pub points: Vec<String>,
    /// Its elements.
    pub elements: Vec<Element>,
    /// The readings that it foretells.
    pub probes: Vec<Probe>,
    /// What faults do to it.
    pub effects: Vec<Effect>,
    /// The states and changes that it knows, sorted.
    pub knows: Vec<SettingId>,
    /// What tells it from every other circuit: the texts of its book, which settle all that is resolved, the profile that
    /// its limits are taken from, its name.
    pub digest: Digest,
    /// Its name in the declaration.
    pub span: Span,
}

impl Circuit {
    /// The faults that it knows, in book order.
    pub fn faults(&self) -> Vec<FaultId> {
        let mut all: Vec<FaultId> = self.effects.iter().map(|effect| effect.fault).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The element of that number.
    pub fn element(&self, element: ElementIx) -> Option<&Element> {
        self.elements.get(element.place())
    }

    /// A point's name.
    pub fn point(&self, point: PointIx) -> &str {
        self.points.get(point.place()).map_or("", String::as_str)
    }

    /// The probes of a reading.
    pub fn probes_of(&self, reading: IndicationId) -> impl Iterator<Item = (usize, &Probe)> {
        self.probes.iter().enumerate().filter(move |(_, probe)| probe.reading == reading)
    }

    /// The first change in place that can alter a reading and that the circuit knows nothing of: of what is read then it must not speak.
    pub fn unknown_change(&self, book: &Book, reading: IndicationId, setup: &Setup) -> Option<SettingId> {
        setup.changes(book).find(|change| !self.knows.contains(change) && can_affect(book, *change, reading))
    }

    /// Whether what a fault does is there under a setup: not while the part at fault is swapped for a good one.
    pub fn acts(&self, book: &Book, effect: &Effect, setup: &Setup) -> bool {
        let swapped = |part: PartId| setup.changes(book).any(|change| book.setting(change).swaps == Some(part));
        let own = book.fault(effect.fault).part;
        let at = effect.does.element().and_then(|element| self.element(element)).and_then(|element| element.part);
        !own.into_iter().chain(at).any(swapped)
    }
}

impl Book {
    /// The ids of all circuits.
    pub fn circuit_ids(&self) -> impl Iterator<Item = CircuitId> + use<> {
        (0..self.circuits.len()).map(CircuitId::at)
    }

    /// The book by its rules and `shows` alone.
    #[must_use]
    pub fn without_circuits(mut self) -> Self {
        self.circuits.clear();
        self
    }

    /// Whether some circuit foretells a reading under a setup.
    pub fn foretells(&self, reading: IndicationId, setup: &Setup) -> bool {
        let speaks = |circuit: &Circuit| {
            circuit.probes_of(reading).next().is_some() && circuit.unknown_change(self, reading, setup).is_none()
        };
        self.circuits.iter().any(speaks) && self.indication(reading).demand.holds(setup)
    }
}
