//! Faults that nothing can rule out.

use crate::book::FaultId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Can, excludes};

check! {
    /// Finds: a fault that no entry rules out: no rule, none of what it `shows`, no circuit. That another fault is
    /// proved, or a complaint can't come of it, is not counted.
    ///
    /// Harm: it stays open in every job, and *the only one left* is always this one.
    ///
    /// Bad:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows supply at fan connector below 8 V
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// ```
    "fault-never-ruled-out", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, fault) in subject.own(&book.faults) {
        let id = FaultId::at(place);
        let against = sides.sources.iter().zip(sides.can()).filter(|((source, _), _)| excludes(book, *source, id));
        let (mut can_be, mut open) = (false, false);
        for (_, can) in against {
            can_be |= matches!(can, Can::Yes(_) | Can::Tried);
            open |= matches!(can, Can::Open);
        }
        let by_circuit = book.circuits.iter().any(|circuit| circuit.faults().contains(&id));
        if can_be || by_circuit {
            continue;
        }
        if open {
            found.leave_open();
            continue;
        }
        let joint = sides.all_shown(id);
        found.add(
            Finding::at(fault.span, format!("nothing can rule `{}` out", fault.name))
                .here("no rule, no `shows` and no circuit can speak against it")
                .help("say what it `shows`, or write the rule that rules it out")
                .witness(joint.and_then(|joint| joint.shows(book, Claim::NotRuledOut(id)))),
        );
    }
}
