//! `and` beside `or`.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::{Edit, Fix};
use crate::lint::subject::Subject;
use crate::lint::walk;
use crate::syntax::tree::Condition;

check! {
    /// Finds: `and` and `or` in one condition without parentheses.
    ///
    /// Harm: `and` binds closer than `or`, but read aloud the sentence can be taken either way, and a rule that applies
    /// too often proves the wrong fault.
    ///
    /// Fix: puts the parentheses where they already count.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   fan runs is no and supply at fan connector below 0.5 V or fan runs is slowly
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule no feed:
    ///   (fan runs is no and supply at fan connector below 0.5 V) or fan runs is slowly
    ///   implies open feed wire
    /// ```
    "mixed-and-or", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for declaration in subject.declarations() {
        for condition in walk::conditions(declaration) {
            walk::joints(condition, &mut |whole, parts| {
                if matches!(whole, Condition::Any(_)) {
                    parts
                        .iter()
                        .filter(|part| matches!(part, Condition::All(_)))
                        .for_each(|part| report(subject, part, found));
                }
            });
        }
    }
}

fn report(subject: &Subject<'_>, part: &Condition, found: &mut Findings) {
    let span = part.span();
    let (start, end) = (span.start as usize, span.end as usize);
    let edits = vec![
        Edit { span: subject.span(start, start), text: "(".into() },
        Edit { span: subject.span(end, end), text: ")".into() },
    ];
    found.add(
        Finding::at(span, "`and` stands beside `or` without parentheses")
            .here("this belongs together")
            .help("put parentheses around what belongs together")
            .fix(Some(Fix { says: "put parentheses around the `and`".into(), edits })),
    );
}
