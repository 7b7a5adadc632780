//! Texts that wait for their words.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::FieldBody;

check! {
    /// Finds: a text with a mark of unfinished work in it: TODO, FIXME, TBD, XXX, ???. Comments may have them.
    ///
    /// Harm: the technician at the bus reads the author's note instead of what to do.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "TODO"
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    /// ```
    "unfinished-text", Warning, Tree, find
}

const MARKS: &[&str] = &["TODO", "FIXME", "TBD", "XXX", "???"];

fn mark(text: &str) -> Option<&str> {
    let word = |word: &&str| MARKS.contains(word);
    let marked = text.split(|c: char| !c.is_alphanumeric()).find(word);
    marked.or_else(|| text.contains("???").then_some("???"))
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !MARKS.iter().any(|mark| subject.text.contains(mark)) {
        return;
    }
    for declaration in subject.declarations() {
        for field in &declaration.fields {
            let FieldBody::Text(text) = &field.body else { continue };
            if let Some(mark) = mark(&text.text) {
                found.add(
                    Finding::at(text.span, format!("this text is not finished: `{mark}`"))
                        .help("write what the technician should read; notes belong in a comment"),
                );
            }
        }
    }
}
