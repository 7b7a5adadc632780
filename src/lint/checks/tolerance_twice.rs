//! Two tolerances for one setup.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

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
        for (place, line) in reading.tolerance.iter().enumerate() {
            if let Some(first) = reading.tolerance.iter().take(place).find(|first| first.words == line.words) {
                found.add(
                    Finding::at(line.span, format!("`{}` has two tolerances for the same setup", indication.name))
                        .also(first.span, "the other one")
                        .help("take one of them out, or say `with …` under which setup each holds"),
                );
            }
        }
    }
}
