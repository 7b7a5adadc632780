//! Tolerances beyond what is possible.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::tolerance_too_narrow::lines;

check! {
    /// Finds: a tolerance whose end lies outside the reading's `from … to …`.
    ///
    /// Harm: one of the two has a slip in it. If it is the tolerance, the reading can never be out of it on that side.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   from 0 V to 32 V
    ///   tolerance 22 V to 288 V
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   from 0 V to 32 V
    ///   tolerance 22 V to 28.8 V
    /// ```
    "tolerance-outside-range", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    for (place, indication) in subject.own(&book.indications) {
        let Some(reading) = indication.reading() else { continue };
        let (Some((low, high)), Some(unit)) = (&reading.range, reading.unit) else { continue };
        for line in lines(book, place) {
            let under = line.low.as_constant().zip(low.value()).filter(|(end, limit)| end < limit);
            let over = line.high.as_constant().zip(high.value()).filter(|(end, limit)| end > limit);
            let Some((end, limit)) = under.or(over) else { continue };
            found.add(
                Finding::at(
                    line.span,
                    format!(
                        "this tolerance reaches {}, but `{}` ends at {}",
                        unit.show(end),
                        indication.name,
                        unit.show(limit)
                    ),
                )
                .help("check both for a slip of the decimal point; widen `from … to …` if such values do occur"),
            );
        }
    }
}
