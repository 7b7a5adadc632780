//! Headers that leave something out.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::Fix;
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a `rulebook` header without `language`, `revision` or `scope`. Of a file without any header it is said when
    /// it is read.
    ///
    /// Harm: without `language` a later program may read the book otherwise; without `revision` a job can't tell by
    /// which state of the book it was judged; without `scope` a technician can't tell whether this is the book for the
    /// vehicle in the bay.
    ///
    /// Fix: adds `language 1`.
    ///
    /// Bad:
    /// ```rulebook
    /// rulebook "Roof-unit fans of the town buses, 24 V"
    ///   revision 4
    ///   scope "Two condenser fans on the roof unit, relay fed"
    /// ```
    /// Good:
    /// ```rulebook
    /// rulebook "Roof-unit fans of the town buses, 24 V"
    ///   language 1
    ///   revision 4
    ///   scope "Two condenser fans on the roof unit, relay fed"
    /// ```
    "incomplete-header", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let wanted = [
        (FieldWord::Language, "in which language it is written", "language 1"),
        (FieldWord::Revision, "its revision", "revision 1"),
        (FieldWord::Scope, "what it covers", "scope \"Two condenser fans on the roof unit\""),
    ];
    for header in subject.of(DeclarationWord::Rulebook) {
        for (word, says, example) in wanted.iter().filter(|(word, ..)| !has(header, *word)) {
            let end = header.name.span.end as usize;
            let line_end = subject
                .text
                .get(end..)
                .and_then(|rest| rest.find(['\r', '\n']))
                .map_or(subject.text.len(), |length| end + length);
            let fix = (*word == FieldWord::Language)
                .then(|| Fix::one("add `language 1`", subject.span(line_end, line_end), "\n  language 1"));
            found.add(
                Finding::at(header.name.span, format!("this rulebook doesn't say {says}"))
                    .help(format!("add an indented line such as `{example}`"))
                    .fix(fix),
            );
        }
    }
}
