//! `affects` and `unaffected by` that say opposite things.

use crate::book::Symbol;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, field, listed};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a change whose `affects` names a reading that says `unaffected by` that change.
    ///
    /// Harm: one of the two is wrong. The book takes the reading for unaffected, so a value taken with the change in
    /// place may count for the vehicle as it was.
    ///
    /// Bad:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Pull the plug at the shroud."
    ///   affects supply at fan connector
    /// reading supply at fan connector
    ///   unit V
    ///   unaffected by fan unplugged
    /// ```
    /// Good:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Pull the plug at the shroud."
    ///   affects supply at fan connector
    /// reading supply at fan connector
    ///   unit V
    /// ```
    "quarrelling-affects", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for change in subject.of(DeclarationWord::Change) {
        let Some(Symbol::Setting(id)) = subject.book.symbol(&change.name.text) else { continue };
        for name in field(change, FieldWord::Affects).map(listed).unwrap_or_default() {
            let Some(indication) = subject.book.find_indication(&name.text).map(|id| subject.book.indication(id))
            else {
                continue;
            };
            if indication.unaffected_by_any || indication.unaffected_by.contains(&id) {
                found.add(
                    Finding::at(
                        name.span,
                        format!("`{}` affects `{}`, which says it is unaffected by it", change.name.text, name.text),
                    )
                    .also(indication.span, "unaffected, it says here")
                    .help("take out the one that is wrong"),
                );
            }
        }
    }
}
