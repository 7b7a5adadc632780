//! Observations that nothing asks for.

use crate::book::IndicationId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: an observation that no condition or `first` names.
    ///
    /// Harm: the technician looks, answers, and nothing follows from it.
    ///
    /// Bad:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    /// rule lamp dark:
    ///   lamp lit is no
    ///   implies blown fuse
    /// ```
    "unused-observation", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.indications).filter(|(_, item)| item.observation().is_some()) {
        if !subject.names.indication(IndicationId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing asks for the observation `{}`", item.name))
                    .help("ask for it in a rule, a `shows` or a `verify`, or take it out"),
            );
        }
    }
}
