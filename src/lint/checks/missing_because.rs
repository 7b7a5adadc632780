//! Rules and limits without a reason.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord, declaration_row};

check! {
    /// Finds: a rule or limit without `because`.
    ///
    /// Harm: the explanation stops where the technician asks why, and the next author can't tell whether the rule still
    /// holds for a changed vehicle.
    ///
    /// Bad:
    /// ```rulebook
    /// limit most drop = 0.5 V
    ///   source "common practice"
    /// ```
    /// Good:
    /// ```rulebook
    /// limit most drop = 0.5 V
    ///   because "A sound feed of this length loses less than half of it"
    ///   source "common practice"
    /// ```
    "missing-because", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let reasoned = subject.declarations().filter(|d| matches!(d.word, DeclarationWord::Rule | DeclarationWord::Limit));
    for declaration in reasoned.filter(|d| !has(d, FieldWord::Because)) {
        let kind = declaration_row(declaration.word).text;
        found.add(
            Finding::at(declaration.name.span, format!("{kind} `{}` doesn't say why", declaration.name.text))
                .help("add an indented line such as `because \"The relay is good and fed.\"`"),
        );
    }
}
