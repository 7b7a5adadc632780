//! Tolerances that the meter can't tell.

use crate::book::{Book, Node, Test, ToleranceLine};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::units::{Accuracy, Exact, Unit};

check! {
    /// Finds: a tolerance so narrow that, with the reading's own `meter`, no value is surely in it.
    ///
    /// Harm: every sound vehicle reads *too close to call*. No meter in the bay can settle it, and `verify … in
    /// tolerance` never comes true.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   tolerance 24.9 V to 25.0 V
    ///   meter 0.5 % + 2 digits of 0.01 V
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil supply
    ///   unit V
    ///   tolerance 24.0 V to 26.0 V
    ///   meter 0.5 % + 2 digits of 0.01 V
    /// ```
    "tolerance-too-narrow", Warning, Sound, find
}

/// The tolerance lines of a reading, resolved.
pub(super) fn lines(book: &Book, place: usize) -> &[ToleranceLine] {
    match book.tolerance_tests.get(place).and_then(Option::as_ref).map(|condition| &condition.node) {
        Some(Node::Compare(comparison)) => match &comparison.test {
            Test::Tolerance(_, lines) => lines,
            _ => &[],
        },
        _ => &[],
    }
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    for (place, indication) in subject.own(&book.indications) {
        let Some(reading) = indication.reading() else { continue };
        let (Some(meter), Some(unit)) = (&reading.meter, reading.unit) else { continue };
        for line in lines(book, place) {
            let Some((low, high)) = line.low.as_constant().zip(line.high.as_constant()) else { continue };
            if least_sure(meter, unit, low) > most_sure(meter, unit, high) {
                let width = unit.show_width(&(high - low));
                let error = unit.show_width(&meter.half_width_in(unit, &unit.from_base(high)));
                found.add(
                    Finding::at(
                        line.span,
                        format!("this tolerance is {width} wide, and the meter is good to ± {error} there"),
                    )
                    .help("widen the tolerance, name a better meter, or measure a difference instead"),
                );
            }
        }
    }
}

/// The least value as read that surely lies above the lower end, and its counterpart: reading ± error stays inside.
fn least_sure(meter: &Accuracy, unit: &Unit, low: &Exact) -> Exact {
    low + &meter.half_width_in(unit, &unit.from_base(low))
}

fn most_sure(meter: &Accuracy, unit: &Unit, high: &Exact) -> Exact {
    high - &meter.half_width_in(unit, &unit.from_base(high))
}
