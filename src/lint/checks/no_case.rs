//! Books whose rules nothing tries.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::words::DeclarationWord;

check! {
    /// Finds: a file with rules and not one `case`.
    ///
    /// Harm: a rule that never applies, or applies to the wrong vehicle, is first met in the bay.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// case nothing arrives:
    ///   with cooling demanded
    ///   supply at fan connector = 0.02 V
    ///   expect open feed wire proved
    /// ```
    "no-case", Advice, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let has_case = subject.tree.declarations.iter().any(|d| d.word == DeclarationWord::Case);
    let first = subject.of(DeclarationWord::Rule).next();
    if let (Some(rule), false) = (first, has_case) {
        found.add(
            Finding::at(rule.name.span, "no case tries the rules of this file")
                .here("from this rule on")
                .help("add a `case` for each rule: its setup, its entries, and what to `expect`"),
        );
    }
}
