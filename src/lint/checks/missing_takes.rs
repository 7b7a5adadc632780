//! Tests and changes that take no time.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord, declaration_row};

check! {
    /// Finds: a reading, observation or change without `takes`. Silent on computed readings, which cost nothing.
    ///
    /// Harm: the advice weighs what a test tells against the minutes that it takes. One without a time looks free and
    /// is advised too early.
    ///
    /// Bad:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    ///   sound yes
    /// ```
    /// Good:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    ///   sound yes
    ///   takes 1 min
    /// ```
    "missing-takes", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let timed = [DeclarationWord::Reading, DeclarationWord::Observation, DeclarationWord::Change];
    let without = subject
        .declarations()
        .filter(|d| timed.contains(&d.word) && !has(d, FieldWord::Takes) && !has(d, FieldWord::Value));
    for declaration in without {
        let kind = declaration_row(declaration.word).text;
        found.add(
            Finding::at(
                declaration.name.span,
                format!("{kind} `{}` doesn't say how long it takes", declaration.name.text),
            )
            .help("add a line such as `takes 3 min`"),
        );
    }
}
