//! Changes that don't say how they are made.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a change without `how`.
    ///
    /// Harm: a change is work on the vehicle. Done otherwise than the author thought of, it alters other readings than
    /// the rules reckon with, or harms somebody.
    ///
    /// Bad:
    /// ```rulebook
    /// change lamp unplugged
    ///   takes 2 min
    /// ```
    /// Good:
    /// ```rulebook
    /// change lamp unplugged
    ///   how "Release the lock and pull the two-way connector behind the lamp."
    ///   takes 2 min
    /// ```
    "missing-how", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for change in subject.of(DeclarationWord::Change).filter(|d| !has(d, FieldWord::How)) {
        found.add(
            Finding::at(change.name.span, format!("change `{}` doesn't say how it is made", change.name.text))
                .help("add a line such as `how \"Pull the two-way connector at the shroud.\"`"),
        );
    }
}
