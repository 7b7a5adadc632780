//! Two tolerances for one setup.

use std::collections::BTreeMap;

use crate::book::Term;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::source::Span;

check! {
    /// Finds: two tolerance lines of one reading with the same setup words.
    ///
    /// Harm: of two that tie, in either is in tolerance. The narrower one then does nothing, and its author believes
    /// that it does.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   tolerance 22 V to 29 V with engine running
    ///   tolerance 27 V to 29 V with engine running
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   tolerance 22 V to 29 V
    ///   tolerance 27 V to 29 V with engine running
    /// ```
    "tolerance-twice", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for (_, indication) in subject.own(&subject.book.indications) {
        let Some(reading) = indication.reading() else { continue };
        let mut seen: BTreeMap<&[Term], Span> = BTreeMap::new();
        for line in &reading.tolerance {
            let first = *seen.entry(&line.words).or_insert(line.span);
            if first != line.span {
                found.add(
                    Finding::at(line.span, format!("`{}` has two tolerances for the same setup", indication.name))
                        .also(first, "the other one")
                        .help("take one of them out, or say `with …` under which setup each holds"),
                );
            }
        }
    }
}
