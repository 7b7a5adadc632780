//! Quotes with nothing in them.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::FieldBody;
use crate::syntax::words::{DeclarationWord, declaration_row, field_row};

check! {
    /// Finds: a text field whose quotes hold nothing but blanks, and a rulebook without a title.
    ///
    /// Harm: the field looks filled in, and the technician is shown an empty line where the remedy or the reason
    /// should stand.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy ""
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find the short, then fit a fuse of the same rating."
    /// ```
    "empty-text", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for declaration in subject.declarations() {
        let titled = matches!(declaration.word, DeclarationWord::Rulebook | DeclarationWord::Profile);
        if titled && declaration.name.text.trim().is_empty() {
            let word = declaration_row(declaration.word).text;
            found.add(
                Finding::at(declaration.name.span, format!("this `{word}` has an empty name"))
                    .help("write its name between the quotes"),
            );
        }
        for field in &declaration.fields {
            let FieldBody::Text(text) = &field.body else { continue };
            if text.text.trim().is_empty() {
                let word = field_row(field.word).text;
                let what = if word.is_empty() { "this text".to_string() } else { format!("`{word}`") };
                found.add(
                    Finding::at(text.span, format!("{what} says nothing"))
                        .help("write what the technician should read, or take it out"),
                );
            }
        }
    }
}
