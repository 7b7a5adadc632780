//! Findings that nothing builds on.

use crate::book::FindingId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a finding that no condition names.
    ///
    /// Harm: it looks as if it decided something; the rule that it was written for asks otherwise or was never written.
    ///
    /// Bad:
    /// ```rulebook
    /// finding dead feed means supply at fan connector below 0.5 V
    /// rule no feed:
    ///   supply at fan connector below 0.6 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// finding dead feed means supply at fan connector below 0.5 V
    /// rule no feed:
    ///   dead feed
    ///   implies open feed wire
    /// ```
    "unused-finding", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.findings) {
        if !subject.names.finding(FindingId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing builds on the finding `{}`", item.name))
                    .help("name it in a condition, or take it out"),
            );
        }
    }
}
