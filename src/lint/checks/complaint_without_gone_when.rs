//! Complaints that never end.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a complaint without `gone when`.
    ///
    /// Harm: once entered it is never gone: `no fault present` stays ruled out, and after the repair nothing shows that
    /// the customer's trouble is over.
    ///
    /// Bad:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   first battery voltage
    /// ```
    /// Good:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   first battery voltage
    ///   gone when fan runs is yes
    /// ```
    "complaint-without-gone-when", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for complaint in subject.of(DeclarationWord::Complaint).filter(|c| !has(c, FieldWord::GoneWhen)) {
        found.add(
            Finding::at(
                complaint.name.span,
                format!("complaint `{}` doesn't say when it is gone", complaint.name.text),
            )
            .help("add a line such as `gone when fan runs is yes`"),
        );
    }
}
