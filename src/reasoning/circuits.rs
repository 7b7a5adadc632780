//! What the circuits of a book say of the entries: a hypothesis under which a reading could not be what was read is ruled out, or spoken against.
//!
//! Only entries speak whose reading a circuit foretells, taken as the reading needs, with no change in place that could alter it and that the circuit
//! knows nothing of. Only faults are spoken of that the circuit knows; with several faults at once only sets all of whose members it knows, since
//! any other may do what no circuit shows. It must not know how a network is solved.

use std::sync::Arc;

use crate::book::circuits::Probe;
use crate::book::{Book, Circuit, CircuitId, FaultId, IndicationId, Setup};
use crate::circuit::network::Range;
use crate::circuit::supply::{DRIFT, readings};
use crate::circuit::table::usual_setups;
use crate::circuit::trouble::Trouble;
use crate::circuit::{Foretold, Known, Stand, Supply, Told, foretell_each};
use crate::job::{Entry, EntryId, EntryValue};
use crate::units::{Bound, Exact, Interval};

use super::evidence::Evidence;
use super::facts::Facts;
use super::hypotheses::FaultSet;
use super::weights::odds_of;

/// By how much a reading that a circuit does not foretell lessens the odds of a fault, where an element that matters has no range: 10 to 1.
/// A single value in a drawing is most often near the truth, but nobody stands behind how near (common practice, no source).
pub const AGAINST: f64 = 10.0;

/// The most sets of faults that one circuit is asked about; others are left alone.
const MOST_ASKED: usize = 3_000;

/// A reading that a circuit does not foretell under a hypothesis.
#[derive(Clone, PartialEq, Debug)]
pub struct CircuitSays {
    /// Which circuit.
    pub circuit: CircuitId,
    /// The hypothesis: a set of faults, empty for the sound vehicle.
    pub faults: FaultSet,
    /// The entry.
    pub entry: EntryId,
    /// The entries that a battery's voltage was taken from.
    pub supplies: Vec<EntryId>,
    /// What the reading would have shown.
    pub foretold: Arc<Foretold>,
    /// Whether it rules out; else it speaks against, by [`AGAINST`].
    pub exact: bool,
}

impl CircuitSays {
    /// All entries that it rests on, sorted, each once.
    pub fn entries(&self) -> Vec<EntryId> {
        let mut all: Vec<EntryId> = self.supplies.iter().copied().chain([self.entry]).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// A circuit that can't be reckoned, and so says nothing where it should.
#[derive(Clone, PartialEq, Debug)]
pub struct Silent {
    /// Which circuit.
    pub circuit: CircuitId,
    /// The first entry of which it should have spoken.
    pub entry: EntryId,
    /// The first hypothesis: a set of faults, empty for the sound vehicle.
    pub faults: FaultSet,
    /// Why.
    pub trouble: Trouble,
}

/// What the circuits make of the entries.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Said {
    /// All that they say against hypotheses, by circuit, entry, then set.
    pub against: Vec<CircuitSays>,
    /// Where they can't be reckoned, the first of each reason.
    pub silent: Vec<Silent>,
}

/// All that the circuits say of the entries.
pub fn says(facts: &Facts<'_>) -> Said {
    let mut all = Said::default();
    for id in facts.book.circuit_ids() {
        let circuit = facts.book.circuit(id);
        let sets = hypotheses(circuit, facts.book.at_once);
        let mut entries: Vec<EntryId> =
            circuit.probes.iter().flat_map(|probe| facts.entries(probe.reading)).copied().collect();
        entries.sort_unstable();
        entries.dedup();
        if entries.is_empty() {
            continue;
        }
        let before = before(facts, circuit);
        for entry in entries {
            Asking { facts, id, circuit, sets: &sets, before: &before }.of(entry, &mut all);
        }
    }
    all
}

/// What the circuits foretell of a reading under each set of faults that they know, were it taken so: for advice. Each with the circuit's
/// own word for how sure that is.
pub(crate) fn told_of(facts: &Facts<'_>, taken: &Entry) -> Vec<(FaultSet, Arc<Foretold>)> {
    let all = facts.book.circuit_ids().flat_map(|id| told_by(facts, id, taken));
    all.filter(|(set, _)| !set.is_empty()).collect()
}

/// What one circuit foretells of a reading for the sound vehicle (no fault) and under each set of faults that it knows, were it taken so.
pub(crate) fn told_by(facts: &Facts<'_>, id: CircuitId, taken: &Entry) -> Vec<(FaultSet, Arc<Foretold>)> {
    let circuit = facts.book.circuit(id);
    let Some((_, probe)) = circuit.probes_of(taken.indication).next() else { return Vec::new() };
    if circuit.unknown_change(facts.book, taken.indication, &taken.setup).is_some() {
        return Vec::new();
    }
    let sets = hypotheses(circuit, facts.book.at_once);
    let before = before(facts, circuit);
    let asking = Asking { facts, id, circuit, sets: &sets, before: &before };
    let (supplies, _) = asking.supplies(taken);
    let told = asking.told(taken, probe, &supplies);
    let each = sets.iter().zip(told.iter());
    each.filter_map(|(set, told)| Some((set.clone(), told.as_ref()?.as_ref().ok()?.clone()))).collect()
}

/// The setups that the vehicle has been in: those in which its readings are usually taken, and those of all entries.
fn before(facts: &Facts<'_>, circuit: &Circuit) -> Vec<Setup> {
    let mut setups = usual_setups(facts.book, circuit);
    for setup in facts.all().filter_map(|id| facts.entry(id)).map(|entry| &entry.setup) {
        if !setups.contains(setup) {
            setups.push(setup.clone());
        }
    }
    setups
}

/// The sound vehicle and every set of the faults that a circuit knows, smallest first.
fn hypotheses(circuit: &Circuit, at_once: usize) -> Vec<FaultSet> {
    let faults = circuit.faults();
    let mut sets: Vec<FaultSet> = vec![Vec::new()];
    let mut grown = 0;
    for _ in 0..at_once {
        let before = sets.len();
        for place in grown..before {
            let set = sets.get(place).cloned().unwrap_or_default();
            for fault in faults.iter().filter(|fault| set.last().is_none_or(|last| *fault > last)) {
                if sets.len() > MOST_ASKED {
                    return sets;
                }
                sets.push(set.iter().copied().chain([*fault]).collect());
            }
        }
        grown = before;
    }
    sets
}

/// Asking one circuit.
struct Asking<'a, 'f> {
    facts: &'a Facts<'f>,
    id: CircuitId,
    circuit: &'a Circuit,
    sets: &'a [FaultSet],
    /// Setups that the vehicle has been in.
    before: &'a [Setup],
}

impl Asking<'_, '_> {
    fn of(&self, id: EntryId, all: &mut Said) {
        let book = self.facts.book;
        let Some(entry) = self.facts.entry(id) else { return };
        let Some((_, probe)) = self.circuit.probes_of(entry.indication).next() else { return };
        let EntryValue::Interval(read) = &entry.value else { return };
        let speaks = book.indication(entry.indication).demand.holds(&entry.setup)
            && self.circuit.unknown_change(book, entry.indication, &entry.setup).is_none();
        if !speaks {
            return;
        }
        let (supplies, used) = self.supplies(entry);
        let (low, high) = ends(read);
        let told = self.told(entry, probe, &supplies);
        for (set, told) in self.sets.iter().zip(told.iter()) {
            let foretold = match told {
                None => continue,
                Some(Ok(foretold)) => foretold,
                Some(Err(trouble)) => {
                    if all.silent.iter().all(|known| known.circuit != self.id || known.trouble != *trouble) {
                        all.silent.push(Silent {
                            circuit: self.id,
                            entry: id,
                            faults: set.clone(),
                            trouble: trouble.clone(),
                        });
                    }
                    continue;
                }
            };
            if !foretold.allows(low, high) {
                let exact = foretold.is_exact();
                all.against.push(CircuitSays {
                    circuit: self.id,
                    faults: set.clone(),
                    entry: id,
                    supplies: used.clone(),
                    foretold: foretold.clone(),
                    exact,
                });
            }
        }
    }

    /// What a reading would show under each set; none where it is given.
    fn told(&self, entry: &Entry, probe: &Probe, supplies: &[Supply]) -> Arc<[Told]> {
        let warmth = self.facts.job.ambient.as_ref().map(Exact::to_f64);
        let stand = Stand { book: self.facts.book, circuit: self.circuit, setup: &entry.setup, faults: &[], warmth };
        foretell_each(&stand, Known { supplies, before: self.before }, probe, self.sets)
    }

    /// What was read at the posts of each battery and suits an entry, with the entries that say so.
    fn supplies(&self, entry: &Entry) -> (Vec<Supply>, Vec<EntryId>) {
        let (mut supplies, mut used) = (Vec::new(), Vec::new());
        for reading in readings(self.circuit) {
            if reading == entry.indication {
                continue;
            }
            let mut supply = Supply { reading, taken: Vec::new() };
            for (id, range) in self.suiting(entry, reading) {
                let Some(taken) = self.facts.entry(id) else { continue };
                supply.taken.push((range, taken.setup.clone()));
                used.push(id);
            }
            supplies.push(supply);
        }
        (supplies, used)
    }

    /// The entries of a battery's reading that suit an entry: those of the very setup, else all that agree on every state that the book
    /// names together with that reading.
    fn suiting(&self, entry: &Entry, reading: IndicationId) -> Vec<(EntryId, Range)> {
        let book = self.facts.book;
        let usable = self.facts.entries(reading).iter().filter_map(|id| {
            let taken = self.facts.entry(*id)?;
            let known = self.circuit.unknown_change(book, reading, &taken.setup).is_none();
            let range = volts(book, reading, &taken.value)?;
            (known && book.indication(reading).demand.holds(&taken.setup)).then_some((*id, taken, range))
        });
        let usable: Vec<(EntryId, &Entry, Range)> = usable.collect();
        let agrees = |taken: &Entry| {
            let mut states = book
                .setting_ids()
                .filter(|id| !crate::book::setup::is_change(book, *id) && book.state_matters(*id, reading));
            states.all(|state| taken.setup.value(state) == entry.setup.value(state))
        };
        let same: Vec<_> = usable.iter().filter(|(_, taken, _)| self.facts.same_setup(taken, entry)).collect();
        let chosen = if same.is_empty() { usable.iter().filter(|(_, taken, _)| agrees(taken)).collect() } else { same };
        chosen.into_iter().map(|(id, _, range)| (*id, *range)).collect()
    }
}

/// The ends of an entry as numbers, outwards; infinite where it has none.
fn ends(read: &Interval) -> (f64, f64) {
    let low = read.low.value().map_or(f64::NEG_INFINITY, |low| low.to_f64().next_down());
    let high = read.high.value().map_or(f64::INFINITY, |high| high.to_f64().next_up());
    (low, high)
}

/// A voltage that was read, with what it may drift until the next reading; none where it has no upper end.
fn volts(book: &Book, reading: IndicationId, value: &EntryValue) -> Option<Range> {
    let EntryValue::Interval(read) = value else { return None };
    let possible = book.indication(reading).reading().and_then(|reading| reading.range.as_ref());
    let most = possible.and_then(|(_, high)| high.value()).map(Exact::to_f64);
    let (low, high) = ends(read);
    let high = if matches!(read.high, Bound::Unbounded) { most? } else { high * (1.0 + DRIFT) };
    let low = low.max(0.0) * (1.0 - DRIFT);
    (low <= high).then_some(Range { low, high })
}

/// Adds to the logarithms of sets what the circuits speak against them.
pub(crate) fn add_odds(book: &Book, evidence: &Evidence, sets: &[FaultSet], logs: &mut [f64]) {
    if evidence.circuits.iter().all(|says| says.exact) {
        return;
    }
    for (set, log) in sets.iter().zip(logs) {
        for _ in counted(book, evidence, set) {
            *log -= AGAINST.ln();
        }
    }
}

/// What speaks against a set and counts: one factor a circuit, and none where a rule that counts for a member rests on the same entry.
pub fn counted<'e>(book: &Book, evidence: &'e Evidence, set: &'e [FaultId]) -> Vec<&'e CircuitSays> {
    let first = |circuit: CircuitId| {
        evidence.against(set).find(|says| says.circuit == circuit && !taken(book, evidence, set, says))
    };
    book.circuit_ids().filter_map(first).collect()
}

/// Whether a rule that changes the odds of a member rests on the same entry.
fn taken(book: &Book, evidence: &Evidence, set: &[FaultId], says: &CircuitSays) -> bool {
    let counts = |fault: &FaultId| {
        let rules = odds_of(book, evidence, *fault);
        rules.iter().any(|rule| rule.passed_over_for.is_none() && rule.choice.entries().contains(&says.entry))
    };
    set.iter().any(counts)
}

impl Evidence {
    /// What the circuits rule out: each set with the reading that does it.
    pub fn circuits_rule_out<'e>(&'e self, set: &'e [FaultId]) -> impl Iterator<Item = &'e CircuitSays> {
        self.circuits.iter().filter(move |says| says.exact && says.faults == set)
    }

    /// What the circuits speak against, without ruling it out.
    pub fn against<'e>(&'e self, set: &'e [FaultId]) -> impl Iterator<Item = &'e CircuitSays> {
        self.circuits.iter().filter(move |says| !says.exact && says.faults == set)
    }
}
