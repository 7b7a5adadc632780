//! Tests that can't matter.

use crate::book::{ConditionRef, IndicationId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Can, Sides};

check! {
    /// Finds: a reading or observation that the book asks for only in rules that can never apply and in `shows` that can
    /// never fail.
    ///
    /// Harm: the technician takes it, and nothing can come of it.
    ///
    /// Bad:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   takes 2 min
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   and supply at fan connector above 8 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   takes 2 min
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// ```
    "idle-test", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, indication) in subject.own(&book.indications) {
        let id = IndicationId::at(place);
        if !is_idle(sides, id) {
            continue;
        }
        let test = sides.table().tests.iter().find(|test| test.indication == id);
        let witness =
            test.and_then(|test| test.told.iter().find_map(|told| test.shows(book, told, Claim::SaysNothing)));
        found.add(
            Finding::at(indication.span, format!("nothing can come of `{}`", indication.name))
                .here("it is asked for only where nothing can follow")
                .help("mend the rules that ask for it, or take it out")
                .witness(witness),
        );
    }
}

fn is_idle(sides: &Sides<'_>, id: IndicationId) -> bool {
    let book = sides.book;
    let uses = book.uses_of(id).map_or(&[][..], |uses| &uses.conditions);
    let by_condition = uses.iter().all(|which| matches!(which, ConditionRef::Rule(_) | ConditionRef::Shows(..)));
    let sometimes = uses.iter().any(|which| match which {
        ConditionRef::Shows(fault, nth) => {
            book.fault(*fault).shows.get(*nth).is_some_and(|shows| !super::sides::is_plain(shows.chance))
        }
        _ => false,
    });
    let probed = book.circuits.iter().any(|circuit| circuit.probes_of(id).next().is_some());
    let first = book.complaints.iter().any(|complaint| complaint.first.contains(&id));
    if uses.is_empty() || !by_condition || sometimes || probed || first {
        return false;
    }
    let own = sides.sources.iter().zip(sides.can()).filter(|((_, readings), _)| readings.binary_search(&id).is_ok());
    own.into_iter().all(|(_, can)| matches!(can, Can::No))
}
