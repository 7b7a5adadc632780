//! Every reading of a circuit under each setup that the book names for it, with each fault.
//!
//! Why: an author checks a circuit by what it foretells, and a technician sees which reading tells which faults apart. It must not know how it is
//! shown.

use std::sync::Arc;

use crate::book::{Book, Circuit, CircuitId, Demand, FaultId, IndicationId, SettingId, Setup};

use super::build::Stand;
use super::foretell::{Foretold, Known, foretell, is_given};
use super::supply::usual;
use super::trouble::Trouble;

/// What is known of one reading under one setup with one fault.
#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    /// What it would show.
    Told(Arc<Foretold>),
    /// It is the EMF of a battery: what is read is taken as it is.
    Given,
    /// The circuit can't be reckoned.
    Unable(Trouble),
}

/// One reading under one setup.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The reading.
    pub reading: IndicationId,
    /// The setup.
    pub setup: Setup,
    /// A change in place that the circuit knows nothing of; then there are no cells.
    pub unknown: Option<SettingId>,
    /// The sound vehicle first (no fault), then each fault.
    pub cells: Vec<(Option<FaultId>, Cell)>,
}

/// What a circuit foretells.
#[derive(Clone, PartialEq, Debug)]
pub struct Table {
    /// Which circuit.
    pub circuit: CircuitId,
    /// In order of its readings, then of setups.
    pub rows: Vec<Row>,
}

/// What to tabulate.
#[derive(Clone, Copy, Default, Debug)]
pub struct Wanted<'a> {
    /// Only this setup; all that the book names if none.
    pub setup: Option<&'a Setup>,
    /// Only these faults beside the sound vehicle; all that the circuit knows if none.
    pub faults: Option<&'a [FaultId]>,
}

/// The table of a circuit.
pub fn table(book: &Book, id: CircuitId, wanted: Wanted<'_>) -> Table {
    let circuit = book.circuit(id);
    let mut rows = Vec::new();
    for probe in &circuit.probes {
        let setups = wanted.setup.map_or_else(|| setups(book, circuit, probe.reading), |setup| vec![setup.clone()]);
        let needs = &book.indication(probe.reading).demand;
        for setup in setups.into_iter().filter(|setup| needs.holds(setup)) {
            let unknown = circuit.unknown_change(book, probe.reading, &setup);
            let mut cells = Vec::new();
            if unknown.is_none() {
                let faults = wanted.faults.map_or_else(|| circuit.faults(), <[FaultId]>::to_vec);
                for fault in std::iter::once(None).chain(faults.into_iter().map(Some)) {
                    let supposed: Vec<FaultId> = fault.into_iter().collect();
                    let stand = Stand { book, circuit, setup: &setup, faults: &supposed, warmth: None };
                    cells.push((fault, cell(&stand, probe)));
                }
            }
            rows.push(Row { reading: probe.reading, setup, unknown, cells });
        }
    }
    Table { circuit: id, rows }
}

fn cell(stand: &Stand<'_>, probe: &crate::book::circuits::Probe) -> Cell {
    if is_given(stand, probe) {
        return Cell::Given;
    }
    match foretell(stand, Known::default(), probe.at.into()) {
        Ok(told) if told.outcomes.len() > 1 => Cell::Told(told),
        Ok(told) => Cell::Told(as_read(stand, probe).unwrap_or(told)),
        Err(trouble) => Cell::Unable(trouble),
    }
}

/// What it would show while the battery is read within its tolerance, the fault in place; none where relays or fuses may end up in several
/// ways: which of them the battery was read in isn't known, so what it gives would be a guess, and a sound vehicle's counts.
fn as_read(stand: &Stand<'_>, probe: &crate::book::circuits::Probe) -> Option<Arc<Foretold>> {
    let supplies = usual(stand);
    let told = foretell(stand, Known { supplies: &supplies, before: &[] }, probe.at.into()).ok()?;
    (told.outcomes.len() == 1).then_some(told)
}

/// The setups, nothing changed for a test, in which the readings of a circuit are taken.
pub fn usual_setups(book: &Book, circuit: &Circuit) -> Vec<Setup> {
    let mut setups: Vec<Setup> = Vec::new();
    for probe in &circuit.probes {
        let usual = meeting(book, &Setup::normal(&book.settings), &book.indication(probe.reading).demand);
        setups.extend(usual.filter(|setup| setup.changes(book).next().is_none() && !setups.contains(setup)));
    }
    setups
}

/// The setups under which a reading of a circuit is of interest: what it needs, what the book's conditions ask of it, and each change that
/// the circuit knows.
pub fn setups(book: &Book, circuit: &Circuit, reading: IndicationId) -> Vec<Setup> {
    let own = &book.indication(reading).demand;
    let Some(plain) = meeting(book, &Setup::normal(&book.settings), own) else { return Vec::new() };
    let mut setups = vec![plain.clone()];
    let asked = book.uses_of(reading).map_or(&[][..], |uses| uses.asked.as_slice());
    let wanted = asked.iter().filter_map(|asked| meeting(book, &plain, &asked.demand));
    let changed = circuit.knows.iter().filter(|id| crate::book::setup::is_change(book, **id)).map(|change| {
        let mut setup = plain.clone();
        setup.set(book, *change, 1);
        setup
    });
    for setup in wanted.chain(changed.collect::<Vec<_>>()) {
        if own.holds(&setup) && !setups.contains(&setup) {
            setups.push(setup);
        }
    }
    setups
}

/// A setup changed as little as need be to meet a demand; none if it can't be.
fn meeting(book: &Book, from: &Setup, demand: &Demand) -> Option<Setup> {
    let mut setup = from.clone();
    for term in &demand.terms {
        if setup.mask(term.setting) & term.allowed == 0 {
            let value = book.setting(term.setting).lowest(term.allowed);
            setup.set(book, term.setting, value);
        }
    }
    demand.holds(&setup).then_some(setup)
}
