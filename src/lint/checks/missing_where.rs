//! Readings without a place.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a measured reading with neither `where` nor `how`.
    ///
    /// Harm: two technicians put the probes in two places and get two values; one of them hunts a fault that isn't
    /// there.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   takes 2 min
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   where "Relay socket, terminal 86 against battery negative"
    ///   takes 2 min
    /// ```
    "missing-where", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let measured = subject.of(DeclarationWord::Reading).filter(|d| !has(d, FieldWord::Value));
    for reading in measured.filter(|d| !has(d, FieldWord::Where) && !has(d, FieldWord::How)) {
        found.add(
            Finding::at(reading.name.span, format!("reading `{}` doesn't say where it is taken", reading.name.text))
                .help("add a line such as `where \"Harness side of the plug, feed pin against battery negative\"`"),
        );
    }
}
