//! Limits that nothing is held against.

use crate::book::LimitId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a limit that no condition, tolerance, sum or circuit names.
    ///
    /// Harm: a reader takes it for the limit in force, while a bare number or another limit decides.
    ///
    /// Bad:
    /// ```rulebook
    /// limit least coil supply = 20 V
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// limit least coil supply = 20 V
    /// rule coil not fed:
    ///   supply at relay socket below least coil supply
    ///   implies blown fuse
    /// ```
    "unused-limit", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.limits) {
        if !subject.names.limit(LimitId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing is held against the limit `{}`", item.name))
                    .help("name it in the condition that it was meant for, or take it out"),
            );
        }
    }
}
