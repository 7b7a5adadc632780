//! Complaints without a baseline.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a complaint that names no test to take first.
    ///
    /// Harm: without a baseline (supply voltage, does it happen now) the advice may begin in the middle, and the
    /// technician hunts for a fault that a flat battery explains.
    ///
    /// Bad:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   gone when fan runs is yes
    /// ```
    /// Good:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   first battery voltage
    ///   gone when fan runs is yes
    /// ```
    "complaint-without-first", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for complaint in subject.of(DeclarationWord::Complaint).filter(|c| !has(c, FieldWord::First)) {
        found.add(
            Finding::at(
                complaint.name.span,
                format!("complaint `{}` doesn't say what to take first", complaint.name.text),
            )
            .help("add a line such as `first battery voltage`"),
        );
    }
}
