//! Swaps with nothing to swap for.

use std::collections::BTreeMap;

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::fold;

check! {
    /// Finds: a change that swaps a part whose `kind` no other part has, or that has no `kind`. Silent where `how` says
    /// that a new or spare one is fitted.
    ///
    /// Harm: parts of one kind are exchangeable; without a second one the technician is told to swap and not with what.
    ///
    /// Bad:
    /// ```rulebook
    /// part pump relay
    ///   kind "micro relay, 24 V"
    ///   where "Frame box, position 2"
    /// change pump relay swapped
    ///   swaps pump relay
    ///   how "Exchange it for one of its kind."
    /// ```
    /// Good:
    /// ```rulebook
    /// part pump relay
    ///   kind "micro relay, 24 V"
    ///   where "Frame box, position 2"
    /// part horn relay
    ///   kind "micro relay, 24 V"
    ///   where "Frame box, position 5"
    ///   may lend
    /// change pump relay swapped
    ///   swaps pump relay
    ///   how "Exchange it for one of its kind."
    /// ```
    "lone-part-kind", Warning, Sound, find
}

/// Whether a swap takes its part from the shelf.
pub(super) fn from_the_shelf(how: Option<&str>) -> bool {
    let how = how.unwrap_or("").to_lowercase();
    how.split(|c: char| !c.is_alphanumeric()).any(|word| matches!(word, "new" | "spare" | "stock"))
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let mut count: BTreeMap<String, usize> = BTreeMap::new();
    for kind in book.parts.iter().filter_map(|part| part.kind.as_ref()) {
        *count.entry(fold(kind)).or_default() += 1;
    }
    for (_, change) in subject.own(&book.settings) {
        let Some(part) = change.swaps.map(|id| book.part(id)) else { continue };
        if from_the_shelf(change.steps.how.as_deref()) {
            continue;
        }
        let says = match &part.kind {
            None => format!("`{}` has no kind, so nothing is known to fit in its place", part.name),
            Some(kind) if count.get(&fold(kind)) == Some(&1) => format!("`{}` is the only part of its kind", part.name),
            Some(_) => continue,
        };
        found.add(
            Finding::at(change.span, format!("`{}` has nothing to swap: {says}", change.name))
                .also(part.span, "the part")
                .help("declare the donor as a part of the same `kind`, spelt alike, that `may lend`; or say in `how` that a spare is fitted"),
        );
    }
}
