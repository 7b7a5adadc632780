//! Rules that apply whatever is entered.

use crate::book::RuleId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::large::{Side, never};
use crate::lint::space::solve::Answer;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::Can;

check! {
    /// Finds: a rule whose condition is true for all values, once what it asks for is entered.
    ///
    /// Harm: it concludes from the mere fact that somebody measured.
    ///
    /// Bad:
    /// ```rulebook
    /// rule the fuse is out of it:
    ///   supply at fan connector below 5 V
    ///   or supply at fan connector at least 5 V
    ///   rules out blown fuse
    /// ```
    /// Good:
    /// ```rulebook
    /// rule the fuse is out of it:
    ///   supply at fan connector below 5 V
    ///   or supply at fan connector above 5 V
    ///   rules out blown fuse
    /// ```
    "rule-always-applies", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, rule) in subject.own(&book.rules) {
        let id = RuleId::at(place);
        let joint = match sides.can_apply(id) {
            Can::No => continue,
            Can::Yes(joint) => Some(joint),
            Can::Tried | Can::Open => None,
        };
        match never(book, Side { condition: &rule.condition, want: false }) {
            Answer::Can(_) => {}
            Answer::Open => found.leave_open(),
            Answer::Cannot => found.add(
                Finding::at(rule.span, format!("rule `{}` applies whatever is read", rule.label))
                    .here("its condition can't be false")
                    .help("narrow its limits, or say what follows in the faults themselves")
                    .witness(joint.and_then(|joint| joint.shows(book, Claim::Apply(vec![id])))),
            ),
        }
    }
}
