//! Swaps whose donors may not be borrowed.

use std::collections::BTreeMap;

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::fold;

use super::lone_part_kind::from_the_shelf;

check! {
    /// Finds: a change that swaps a part where other parts of its kind are declared but none of them `may lend`. Silent
    /// where `how` says that a new or spare one is fitted.
    ///
    /// Harm: no donor is named, and a technician in a hurry borrows the relay that must not be missing: the one of the
    /// brakes or the doors.
    ///
    /// Bad:
    /// ```rulebook
    /// part pump relay
    ///   kind "micro relay, 24 V"
    /// part door relay
    ///   kind "micro relay, 24 V"
    /// change pump relay swapped
    ///   swaps pump relay
    ///   how "Exchange it for one of its kind."
    /// ```
    /// Good:
    /// ```rulebook
    /// part pump relay
    ///   kind "micro relay, 24 V"
    /// part horn relay
    ///   kind "micro relay, 24 V"
    ///   may lend
    /// change pump relay swapped
    ///   swaps pump relay
    ///   how "Exchange it for one of its kind."
    /// ```
    "no-donor", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let mut of_kind: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for part in &book.parts {
        let Some(kind) = &part.kind else { continue };
        let (all, lending) = of_kind.entry(fold(kind)).or_default();
        *all += 1;
        *lending += usize::from(part.may_lend);
    }
    for (_, change) in subject.own(&book.settings) {
        let Some(part) = change.swaps.map(|id| book.part(id)) else { continue };
        let Some((all, lending)) = part.kind.as_ref().and_then(|kind| of_kind.get(&fold(kind))) else { continue };
        let others = lending - usize::from(part.may_lend).min(*lending);
        if *all > 1 && others == 0 && !from_the_shelf(change.steps.how.as_deref()) {
            found.add(
                Finding::at(change.span, format!("no part of its kind may lend itself for `{}`", part.name))
                    .also(part.span, "the part that is swapped")
                    .help(
                        "write `may lend` under a part of that kind that the vehicle can do without while it is tested",
                    ),
            );
        }
    }
}
