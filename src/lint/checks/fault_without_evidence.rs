//! Faults that nothing speaks of.

use crate::book::FaultId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a fault that shows nothing, that no rule concludes for or against, and that no circuit knows.
    ///
    /// Harm: no reading can ever prove it or rule it out. It stays open in every job and the technician learns nothing
    /// about it.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   share 5
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   share 5
    ///   shows supply at relay socket below 0.5 V
    /// ```
    "fault-without-evidence", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for (place, fault) in subject.own(&subject.book.faults) {
        if fault.shows.is_empty() && !subject.names.fault(FaultId::at(place)) && subject.tells_unused() {
            found.add(
                Finding::at(fault.span, format!("nothing can prove `{}` or rule it out", fault.name))
                    .help("say what it shows, or write a rule that implies it"),
            );
        }
    }
}
