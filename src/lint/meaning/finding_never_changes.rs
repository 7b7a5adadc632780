//! Findings that are always true, or never.

use crate::book::FindingId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::large::{Side, never};
use crate::lint::space::solve::Answer;
use crate::lint::subject::Subject;

use super::claim::Claim;

check! {
    /// Finds: a finding that comes out the same for all values, once what it asks for is entered.
    ///
    /// Harm: whatever is built on it says nothing, or never speaks.
    ///
    /// Bad:
    /// ```rulebook
    /// finding feed arrives means supply at fan connector below 20 V
    ///   or supply at fan connector at least 18 V
    /// ```
    /// Good:
    /// ```rulebook
    /// finding feed arrives means supply at fan connector below 20 V
    ///   and supply at fan connector at least 18 V
    /// ```
    "finding-never-changes", Error, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, finding) in subject.own(&book.findings) {
        for so in [true, false] {
            match never(book, Side { condition: &finding.condition, want: !so }) {
                Answer::Can(_) => {}
                Answer::Open => found.leave_open(),
                Answer::Cannot => {
                    let how = if so { "always so" } else { "never so" };
                    let witness = sides.comes_out(&finding.condition, so);
                    let witness = witness.and_then(|joint| joint.shows(book, Claim::Finding(FindingId::at(place), so)));
                    found.add(
                        Finding::at(finding.span, format!("finding `{}` is {how}", finding.name))
                            .here("no values make it come out otherwise")
                            .help("check its limits, and `and` against `or`")
                            .witness(witness),
                    );
                    break;
                }
            }
        }
    }
}
