//! Parts that nothing touches.

use std::collections::BTreeSet;

use crate::book::PartId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::fold;

check! {
    /// Finds: a part that no change swaps and no fault is `of`. Silent on a donor: a part that `may lend` and is of the
    /// kind of one that is swapped.
    ///
    /// Harm: the book names a place on the vehicle that it never sends anybody to.
    ///
    /// Bad:
    /// ```rulebook
    /// part diode block
    ///   kind "diode, 3 A"
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// part diode block
    ///   kind "diode, 3 A"
    /// fault open diode
    ///   "The diode is open"
    ///   of part diode block
    /// ```
    "unused-part", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    let book = subject.book;
    let swapped = book.settings.iter().filter_map(|setting| setting.swaps);
    let kinds: BTreeSet<String> = swapped.filter_map(|id| book.part(id).kind.as_deref().map(fold)).collect();
    for (place, part) in subject.own(&book.parts) {
        let of_kind = part.kind.as_deref().is_some_and(|kind| kinds.contains(&fold(kind)));
        if !subject.names.part(PartId::at(place)) && !of_kind {
            found.add(
                Finding::at(part.span, format!("nothing swaps the part `{}`, and no fault is of it", part.name))
                    .help("name it under a fault with `of part`, or under a change with `swaps`, or take it out"),
            );
        }
    }
}
