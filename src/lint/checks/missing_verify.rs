//! Faults whose repair can't be shown.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a fault without `verify`.
    ///
    /// Harm: after `repaired` it stays open for good, and the job is never done.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    ///   verify fan runs is yes
    /// ```
    "missing-verify", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for fault in subject.of(DeclarationWord::Fault).filter(|d| !has(d, FieldWord::Verify)) {
        found.add(
            Finding::at(
                fault.name.span,
                format!("fault `{}` doesn't say what must hold once it is repaired", fault.name.text),
            )
            .help("add a line such as `verify supply at fan connector in tolerance`"),
        );
    }
}
