//! Answers of which nobody knows the good one.

use crate::book::Node;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: an observation that a fault `shows` and that doesn't say which answer is `sound`.
    ///
    /// Harm: an answer that is not the sound one shows that something is wrong. Without it the book may end with *no
    /// fault seen* in front of a fan that stands still.
    ///
    /// Bad:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    /// fault open lamp
    ///   "The lamp is open"
    ///   shows lamp lit is no
    /// ```
    /// Good:
    /// ```rulebook
    /// observation lamp lit
    ///   answers yes, no
    ///   sound yes
    /// fault open lamp
    ///   "The lamp is open"
    ///   shows lamp lit is no
    /// ```
    "shows-without-sound", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let mut told = vec![false; book.indications.len()];
    for fault in &book.faults {
        for shows in &fault.shows {
            for slot in &shows.condition.slots {
                let indication = book.indication(slot.indication);
                let silent = indication.observation().is_some_and(|o| o.sound == 0);
                let Some(told) = told.get_mut(slot.indication.place()).filter(|told| silent && !**told) else {
                    continue;
                };
                let own = subject.is_own(indication.span);
                if !own && !subject.is_own(fault.span) {
                    continue;
                }
                *told = true;
                let (place, other) = if own { (indication.span, shows.span) } else { (shows.span, indication.span) };
                let label = if matches!(shows.condition.node, Node::Answer(..)) && own {
                    "shown here"
                } else {
                    "the other place"
                };
                found.add(
                    Finding::at(
                        place,
                        format!("`{}` doesn't say which answer is that of a sound vehicle", indication.name),
                    )
                    .also(other, label)
                    .help("add a line such as `sound yes` to the observation"),
                );
            }
        }
    }
}
