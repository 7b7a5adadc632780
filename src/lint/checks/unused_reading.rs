//! Readings that nothing asks for.

use crate::book::IndicationId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a reading that no condition, tolerance, sum, circuit or `first` names.
    ///
    /// Harm: the technician measures it and nothing follows from it.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil current
    ///   unit A
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil current
    ///   unit A
    /// rule coil open:
    ///   coil current below 0.05 A
    ///   implies blown fuse
    /// ```
    "unused-reading", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.indications).filter(|(_, item)| item.reading().is_some()) {
        if !subject.names.indication(IndicationId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing asks for the reading `{}`", item.name))
                    .help("ask for it in a rule, a `shows` or a `verify`, or take it out"),
            );
        }
    }
}
