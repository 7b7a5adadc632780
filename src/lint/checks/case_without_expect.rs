//! Cases that expect nothing.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::{FieldBody, Statement};
use crate::syntax::words::DeclarationWord;

check! {
    /// Finds: a `case` without an `expect` line.
    ///
    /// Harm: it tests nothing, and `ruleout cases` counts it as failed.
    ///
    /// Bad:
    /// ```rulebook
    /// case the fan stands still:
    ///   fan runs is no
    /// ```
    /// Good:
    /// ```rulebook
    /// case the fan stands still:
    ///   fan runs is no
    ///   expect open feed wire open
    /// ```
    "case-without-expect", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for case in subject.of(DeclarationWord::Case) {
        let expects = case.fields.iter().any(|field| {
            let FieldBody::Statement(statement) = &field.body else { return false };
            matches!(**statement, Statement::Expect(..))
        });
        if !expects {
            found.add(
                Finding::at(case.name.span, format!("case `{}` expects nothing", case.name.text))
                    .help("end it with a line such as `expect open feed wire proved`"),
            );
        }
    }
}
