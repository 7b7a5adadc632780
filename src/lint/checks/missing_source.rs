//! Rules and limits that don't say where they come from.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord, declaration_row};

check! {
    /// Finds: a rule or limit without `source`, in a book whose header has none either.
    ///
    /// Harm: a number from a standard and one from memory look alike, and nobody can look it up again.
    ///
    /// Bad:
    /// ```rulebook
    /// limit most drop = 0.5 V
    ///   because "A sound feed of this length loses less than half of it"
    /// ```
    /// Good:
    /// ```rulebook
    /// limit most drop = 0.5 V
    ///   because "A sound feed of this length loses less than half of it"
    ///   source "common practice, no source"
    /// ```
    "missing-source", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if subject.of(DeclarationWord::Rulebook).any(|header| has(header, FieldWord::Source)) {
        return;
    }
    let sourced = subject.declarations().filter(|d| matches!(d.word, DeclarationWord::Rule | DeclarationWord::Limit));
    for declaration in sourced.filter(|d| !has(d, FieldWord::Source)) {
        let kind = declaration_row(declaration.word).text;
        found.add(
            Finding::at(
                declaration.name.span,
                format!("{kind} `{}` doesn't say where it comes from", declaration.name.text),
            )
            .help(
                "add a line such as `source \"common practice, no source\"`, or one for the whole book in its header",
            ),
        );
    }
}
