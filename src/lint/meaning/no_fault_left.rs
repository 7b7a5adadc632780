//! Answers of one test that leave no fault at all.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::claim::Claim;

check! {
    /// Finds: an answer of one test that is not a sound vehicle's, and that rules every fault of the book out.
    ///
    /// Harm: the tool says that the entry is wrong or the book does not cover it, when a fault is missing or one says
    /// too much of what it `shows`.
    ///
    /// Bad:
    /// ```rulebook
    /// observation fan runs
    ///   answers yes, no, slowly
    ///   sound yes
    ///   takes 1 min
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is no
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows fan runs is no
    /// ```
    /// Good:
    /// ```rulebook
    /// observation fan runs
    ///   answers yes, no, slowly
    ///   sound yes
    ///   takes 1 min
    /// fault open feed wire
    ///   "Open or high resistance between the relay and the fan connector"
    ///   shows fan runs is not yes
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows fan runs is no
    /// ```
    "no-fault-left", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    if book.faults.is_empty() {
        return;
    }
    let mut last = None;
    for test in &sides.table().tests {
        let indication = book.indication(test.indication);
        if last == Some(test.indication) || !subject.is_own(indication.span) {
            continue;
        }
        let none_left =
            test.told.iter().filter(|told| told.unsound && !told.left.contains(&true) && told.proved.is_empty());
        let Some(witness) = none_left.filter_map(|told| test.shows(book, told, Claim::NoneLeft)).next() else {
            continue;
        };
        last = Some(test.indication);
        let said = witness.lines.last().cloned().unwrap_or_default();
        found.add(
            Finding::at(indication.span, format!("`{said}` leaves no fault of the book"))
                .help("the fault that shows it is missing, or one of the book's says too much of what it `shows`")
                .witness(Some(witness)),
        );
    }
}
