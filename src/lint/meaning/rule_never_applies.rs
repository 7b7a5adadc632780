//! Rules that no entries make apply.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::system::System;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Can, Joint};

check! {
    /// Finds: a rule whose condition contradicts itself: no values under any setup make it true.
    ///
    /// Harm: the rule reads as if it stood guard, and never speaks.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   and supply at fan connector at least 8 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   and supply at fan connector at least 0 V
    ///   implies open feed wire
    /// ```
    "rule-never-applies", Error, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, rule) in subject.own(&book.rules) {
        let id = crate::book::RuleId::at(place);
        match sides.can_apply(id) {
            Can::Yes(_) | Can::Tried => {}
            Can::Open => found.leave_open(),
            Can::No => {
                let stood = sides.space.stand(&rule.condition, &[]).into_iter().next();
                let joint = stood.map(|stood| Joint {
                    vars: (0..stood.entries.len()).collect(),
                    system: System::new(stood.domains(book)),
                    entries: stood.entries,
                });
                let witness = joint.and_then(|joint| joint.shows(book, Claim::DoesNotApply(id)));
                found.add(
                    Finding::at(rule.span, format!("rule `{}` can never apply", rule.label))
                        .here("no values, under any setup, make its condition true")
                        .help("its comparisons contradict each other, or the setups that they ask for do")
                        .witness(witness),
                );
            }
        }
    }
}
