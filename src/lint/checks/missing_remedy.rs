//! Faults that nothing mends.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a fault without `remedy`.
    ///
    /// Harm: the fault is proved and the technician is not told what to do about it.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   verify fan runs is yes
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    ///   verify fan runs is yes
    /// ```
    "missing-remedy", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for fault in subject.of(DeclarationWord::Fault).filter(|d| !has(d, FieldWord::Remedy)) {
        found.add(
            Finding::at(fault.name.span, format!("fault `{}` has no remedy", fault.name.text))
                .help("add a line such as `remedy \"Repair the feed wire; load-test afterwards.\"`"),
        );
    }
}
