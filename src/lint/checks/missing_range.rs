//! Readings that may be anything.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a measured reading without `from … to …`.
    ///
    /// Harm: a slip such as `1190 V` for `11.90 V` is taken as it stands, and `OL` can't be entered, for nobody knows
    /// above what it lies.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   where "Relay socket, terminal 86 against battery negative"
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   from 0 V to 40 V
    ///   where "Relay socket, terminal 86 against battery negative"
    /// ```
    "missing-range", Advice, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for reading in
        subject.of(DeclarationWord::Reading).filter(|d| !has(d, FieldWord::Value) && !has(d, FieldWord::From))
    {
        found.add(
            Finding::at(
                reading.name.span,
                format!("reading `{}` doesn't say what is physically possible", reading.name.text),
            )
            .help("add a line such as `from 0 V to 40 V`"),
        );
    }
}
