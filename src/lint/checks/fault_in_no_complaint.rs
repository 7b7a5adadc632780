//! Faults that no complaint lists.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a fault that stands in no complaint's `may be`, in a book whose complaints all have one.
    ///
    /// Harm: a complaint rules out what it doesn't list. As every job begins with a complaint, this fault can never be
    /// found.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// complaint the fan does not run
    ///   may be open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    /// ```
    "fault-in-no-complaint", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let mut listed = vec![false; book.faults.len()];
    for complaint in &book.complaints {
        let Some(may_be) = &complaint.may_be else { return };
        for id in may_be {
            if let Some(mark) = listed.get_mut(id.place()) {
                *mark = true;
            }
        }
    }
    if book.complaints.is_empty() {
        return;
    }
    for (place, fault) in subject.own(&book.faults) {
        if listed.get(place) == Some(&false) {
            found.add(
                Finding::at(fault.span, format!("no complaint may be `{}`", fault.name))
                    .help("add it to the `may be` of the complaints that it can explain"),
            );
        }
    }
}
