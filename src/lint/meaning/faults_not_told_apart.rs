//! Faults that no test tells apart.

use crate::book::{Book, FaultId, IndicationId, Setup};
use crate::circuit::Foretold;
use crate::circuit::table::setups;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::units::Exact;

use super::alike_faults::alike_faults;
use super::claim::Claim;
use super::sides::Sides;
use super::speaks::foretold;

check! {
    /// Finds: faults that come to the same verdict whatever is measured: no test, rule or circuit of the book holds one
    /// of them to be ruled out or proved and not the other. Odds are not counted, nor is a reading that lies exactly on a
    /// limit. Says the cheapest test that would tell them apart, where a circuit knows one.
    ///
    /// Harm: the job ends with several faults open, and nothing is left to measure.
    ///
    /// Bad:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows supply at fan connector below 8 V
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows supply at fan connector below 8 V
    /// ```
    /// Good:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows supply at fan connector below 8 V
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows supply at fan connector below 0.5 V
    /// ```
    "faults-not-told-apart", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let (groups, open) = alike_faults(sides);
    (0..open).for_each(|_| found.leave_open());
    for group in groups {
        let own = group.iter().find(|fault| subject.is_own(book.fault(**fault).span));
        let Some(first) = own.copied() else { continue };
        let names: Vec<String> = group.iter().map(|fault| format!("`{}`", book.fault(*fault).name)).collect();
        let text = format!("no test tells {} apart", listed(&names));
        let mut finding = Finding::at(book.fault(first).span, text).help(help(sides, &group));
        for other in group.iter().filter(|fault| **fault != first).take(4) {
            finding = finding.also(book.fault(*other).span, "this one comes to the same");
        }
        let witness = sides.all_shown(first).and_then(|joint| joint.shows(book, Claim::Alike(group.clone())));
        found.add(finding.witness(witness));
    }
}

fn listed(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}

fn help(sides: &Sides<'_>, group: &[FaultId]) -> String {
    let book = sides.book;
    if let Some((reading, setup)) = cheapest(book, group) {
        let with: Vec<&str> = setup.changes(book).map(|change| book.setting(change).name.as_str()).collect();
        let with = if with.is_empty() { String::new() } else { format!(" with {}", with.join(", ")) };
        return format!(
            "the cheapest test that would, by the circuit: `{}{with}`; say in `shows` what each gives there",
            book.indication(reading).name
        );
    }
    let silent = |reading: &IndicationId| !group.iter().any(|fault| super::speaks::of_any(book, *fault, &[*reading]));
    let measured = book
        .indication_ids()
        .filter(|id| book.indication(*id).reading().is_none_or(|reading| reading.computed.is_none()));
    let quickest = measured.filter(silent).filter_map(|id| Some((book.indication(id).steps.takes.clone()?, id))).min();
    match quickest {
        Some((_, id)) => format!(
            "say in `shows` what one gives and the other does not; the quickest test of which they say nothing is `{}`",
            book.indication(id).name
        ),
        None => {
            "declare a test that tells them apart, and say in `shows` what each gives; or make them one fault".into()
        }
    }
}

/// The test of least time by which a circuit tells the first two apart.
fn cheapest(book: &Book, group: &[FaultId]) -> Option<(IndicationId, Setup)> {
    let (one, other) = (group.first()?, group.get(1)?);
    let mut best: Option<(Exact, IndicationId, Setup)> = None;
    for circuit in &book.circuits {
        for probe in &circuit.probes {
            let takes = book.indication(probe.reading).steps.takes.clone().unwrap_or_default();
            if best.as_ref().is_some_and(|(least, ..)| *least <= takes) {
                continue;
            }
            let apart = |setup: &Setup| {
                let of = |fault: FaultId| foretold(book, &[fault], probe.reading, setup);
                of(*one).iter().zip(of(*other)).any(|(a, b)| are_apart(a, &b))
            };
            if let Some(setup) = setups(book, circuit, probe.reading).into_iter().find(apart) {
                best = Some((takes, probe.reading, setup));
            }
        }
    }
    best.map(|(_, reading, setup)| (reading, setup))
}

/// Whether no reading fits both.
pub(crate) fn are_apart(one: &Foretold, other: &Foretold) -> bool {
    one.outcomes.iter().all(|a| {
        let a = one.allowance(a.range);
        other.outcomes.iter().map(|b| other.allowance(b.range)).all(|b| a.high < b.low || b.high < a.low)
    })
}
