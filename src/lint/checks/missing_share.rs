//! Faults whose frequency was forgotten.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a fault without `share` in a file in which others have one. Silent where none has: then all are alike.
    ///
    /// Harm: a missing share is 1. Beside shares of 15 or 20 that makes the fault look rare, and its tests are advised
    /// last.
    ///
    /// Bad:
    /// ```rulebook
    /// fault open lead
    ///   "The lead is open"
    ///   share 15
    /// fault open lamp
    ///   "The lamp is open"
    /// ```
    /// Good:
    /// ```rulebook
    /// fault open lead
    ///   "The lead is open"
    ///   share 15
    /// fault open lamp
    ///   "The lamp is open"
    ///   share 30
    /// ```
    "missing-share", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(other) = subject.of(DeclarationWord::Fault).find(|d| has(d, FieldWord::Share)) else { return };
    for fault in subject.of(DeclarationWord::Fault).filter(|d| !has(d, FieldWord::Share)) {
        found.add(
            Finding::at(fault.name.span, format!("fault `{}` has no share, so it counts as 1", fault.name.text))
                .also(other.name.span, "others have one")
                .help("add a line such as `share 15`: how often it is the cause, relative to the others"),
        );
    }
}
