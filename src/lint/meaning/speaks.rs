//! What a fault gives on some entries, by what it `shows` and by the circuits that know it.

use crate::book::circuits::{ElementKind, Emf, Probe};
use crate::book::{Book, Circuit, FaultId, IndicationId, Setup, ToleranceLine};
use crate::circuit::network::Range;
use crate::circuit::table::usual_setups;
use crate::circuit::values::tolerance_lines;
use crate::circuit::{Foretold, Known, Stand, Supply, Trouble, foretell, is_given};
use crate::job::Entry;
use crate::lint::space::formula::Formula;
use crate::lint::space::system::{Under, Var};
use crate::units::Exact;

use super::sides::{Sides, is_plain, readings};

/// Whether a fault says anything of one of these readings.
pub(crate) fn of_any(book: &Book, fault: FaultId, wanted: &[IndicationId]) -> bool {
    let shows = book
        .fault(fault)
        .shows
        .iter()
        .any(|shows| shows.condition.slots.iter().any(|slot| wanted.binary_search(&slot.indication).is_ok()));
    shows
        || book.circuits.iter().any(|circuit| {
            let probes = circuit.probes.iter().any(|probe| wanted.binary_search(&probe.reading).is_ok());
            probes && circuit.faults().contains(&fault)
        })
}

/// That a fault gives the entries; none where it is silent on one of them.
pub(crate) fn speaks(sides: &Sides<'_>, fault: FaultId, entries: &[Entry], vars: &[Var]) -> Option<Vec<Formula>> {
    let book = sides.book;
    let carried: Vec<Entry> = entries.iter().map(|entry| carried(book, fault, entry)).collect();
    let wanted: Vec<IndicationId> = {
        let mut all: Vec<IndicationId> =
            vars.iter().filter_map(|var| entries.get(*var)).map(|e| e.indication).collect();
        all.sort_unstable();
        all
    };
    let (mut all, mut spoken): (Vec<Formula>, Vec<Var>) = (Vec::new(), Vec::new());
    for shows in &book.fault(fault).shows {
        let inside = readings(&shows.condition).iter().all(|one| wanted.binary_search(one).is_ok());
        if !inside {
            continue;
        }
        for at in [entries, &carried] {
            let formula = sides.space.formula_by(&shows.condition, at, vars, true);
            if formula == Formula::Never {
                continue;
            }
            // What it shows now and then does not bind it, but it may well give it.
            formula.vars(&mut spoken);
            if is_plain(shows.chance) || !all.contains(&formula) {
                all.push(formula);
            }
            break;
        }
    }
    // The circuit foretells each reading by itself: of several it can't say that they come together.
    let silent: Vec<Var> = vars.iter().copied().filter(|var| !spoken.contains(var)).collect();
    for var in vars.iter().filter(|var| vars.len() == 1 || silent == [**var]) {
        let entry = entries.get(*var)?;
        for told in foretold(book, &[fault], entry.indication, &entry.setup) {
            all.push(within(*var, &told));
            spoken.push(*var);
        }
    }
    vars.iter().all(|var| spoken.contains(var)).then_some(all)
}

/// The entry as if parts that are not the fault's own were not swapped.
fn carried(book: &Book, fault: FaultId, entry: &Entry) -> Entry {
    let mut carried = entry.clone();
    let Some(own) = book.fault(fault).part else { return carried };
    let changes: Vec<_> = entry.setup.changes(book).collect();
    for change in changes {
        if book.setting(change).swaps.is_some_and(|part| part != own) {
            carried.setup.set(book, change, 0);
        }
    }
    carried
}

/// What circuits foretell of a reading, one for each circuit that can tell.
pub(crate) fn foretold(
    book: &Book,
    faults: &[FaultId],
    reading: IndicationId,
    setup: &Setup,
) -> Vec<std::sync::Arc<Foretold>> {
    if book.indication(reading).demand.holds(setup) { at_hand(book, faults, reading, setup) } else { Vec::new() }
}

/// The same whether or not the reading is taken as it needs.
pub(crate) fn at_hand(
    book: &Book,
    faults: &[FaultId],
    reading: IndicationId,
    setup: &Setup,
) -> Vec<std::sync::Arc<Foretold>> {
    reckoned(book, faults, reading, setup).filter_map(Result::ok).collect()
}

/// Whether a circuit knows the reading with these faults and could not reckon it.
pub(crate) fn is_untold(book: &Book, faults: &[FaultId], reading: IndicationId, setup: &Setup) -> bool {
    reckoned(book, faults, reading, setup).any(|told| told.is_err())
}

/// What each circuit that knows the reading with these faults makes of it; left out where it is given to the circuit, so that it can't
/// foretell it.
fn reckoned<'a>(
    book: &'a Book,
    faults: &'a [FaultId],
    reading: IndicationId,
    setup: &'a Setup,
) -> impl Iterator<Item = Result<std::sync::Arc<Foretold>, Trouble>> + 'a {
    let knows = move |circuit: &&Circuit| {
        faults.iter().all(|fault| circuit.faults().contains(fault))
            && circuit.unknown_change(book, reading, setup).is_none()
    };
    book.circuits.iter().filter(knows).flat_map(move |circuit| {
        let before = usual_setups(book, circuit);
        let told = move |(_, probe): (_, &Probe)| {
            let stand = Stand { book, circuit, setup, faults, warmth: None };
            let supplies = sound_supplies(&stand);
            let known = Known { supplies: &supplies, before: &before };
            (!is_given(&stand, probe)).then(|| foretell(&stand, known, probe.at.into()))
        };
        circuit.probes_of(reading).filter_map(told)
    })
}

/// The batteries as if each had been read in tolerance: without a word on them any voltage would do.
fn sound_supplies(stand: &Stand<'_>) -> Vec<Supply> {
    let read = stand.circuit.elements.iter().filter_map(|element| match &element.kind {
        ElementKind::Battery { emf: Emf::Read(reading), .. } => Some(*reading),
        _ => None,
    });
    let supply = |reading: IndicationId| {
        let lines = tolerance_lines(stand.book, reading);
        let most = lines.iter().filter(|line| line.demand.holds(stand.setup)).map(|line| line.named).max();
        let holding =
            |line: &&ToleranceLine| most.is_none_or(|most| line.named == most && line.demand.holds(stand.setup));
        let ends = lines.iter().filter(holding).filter_map(|line| {
            let (low, high) = (line.low.as_constant()?.to_f64(), line.high.as_constant()?.to_f64());
            Some(Range { low, high })
        });
        Some(Supply { reading, taken: vec![(ends.reduce(Range::hull)?, stand.setup.clone())] })
    };
    read.filter_map(supply).collect()
}

/// That an unknown lies where a circuit foretells it.
pub(crate) fn within(var: Var, told: &Foretold) -> Formula {
    ranges(var, told.outcomes.iter().map(|outcome| outcome.range))
}

/// The same with what no circuit shows allowed for.
pub(crate) fn allowed(var: Var, told: &Foretold) -> Formula {
    ranges(var, told.outcomes.iter().map(|outcome| told.allowance(outcome.range)))
}

fn ranges(var: Var, all: impl Iterator<Item = Range>) -> Formula {
    Formula::any(all.map(|range| {
        let end = |at: f64, sign: i64| {
            let value = Exact::from_f64(at)?;
            let sign = Exact::from_int(sign);
            Some(Formula::Under(Under::new([(var, sign.clone())], -(&sign * &value), false)))
        };
        Formula::all([end(range.low, -1), end(range.high, 1)].into_iter().flatten())
    }))
}
