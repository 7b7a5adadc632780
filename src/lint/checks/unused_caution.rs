//! Cautions that nothing carries.

use crate::book::CautionId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a caution that no step and no fault names.
    ///
    /// Harm: somebody thought of a danger and wrote it down, and nobody at the vehicle will ever read it.
    ///
    /// Bad:
    /// ```rulebook
    /// caution hot hose
    ///   "The hose is hot for half an hour."
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// caution hot hose
    ///   "The hose is hot for half an hour."
    /// observation hose holds
    ///   answers yes, no
    ///   caution hot hose
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    "unused-caution", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.cautions) {
        if !subject.names.caution(CautionId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing carries the caution `{}`", item.name))
                    .help("name it under the tests, changes and faults that it is for"),
            );
        }
    }
}
