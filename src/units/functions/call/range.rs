//! The range in which a function is published, for one argument.

use super::OutOfRange;
use crate::units::{Interval, Unit};

/// The valid range of one argument.
#[derive(Clone, Debug)]
pub(in crate::units::functions) struct Range {
    /// Which argument.
    pub(in crate::units::functions) argument: &'static str,
    /// Every valid value, in base units.
    pub(in crate::units::functions) valid: Interval,
    /// The symbol of the unit for messages.
    pub(in crate::units::functions) unit: &'static str,
}

impl Range {
    /// Nothing if part of the input is in the range, else the problem.
    pub(in crate::units::functions) fn admits(&self, input: &Interval) -> Result<(), OutOfRange> {
        if input.intersects(&self.valid) { Ok(()) } else { Err(self.problem(input)) }
    }

    /// The input does not lie in the range.
    pub(in crate::units::functions) fn problem(&self, input: &Interval) -> OutOfRange {
        let show = |interval: &Interval| match Unit::find(self.unit) {
            Ok(unit) => unit.show_range(interval),
            Err(_) => "a value".to_owned(),
        };
        OutOfRange { argument: self.argument, found: show(input), valid: show(&self.valid) }
    }
}
