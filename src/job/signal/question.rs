//! A condition of a book as a question to a log: slots become columns, exact limits floating numbers.

use crate::book::affine::affine;
use crate::book::{Moment, Over, SignalTest, SlotIx, Test, ToleranceLine, ToleranceSide, Value};

use super::monitor::Watch;
use super::predicate::{End, Predicate, Sum};

/// Over which samples.
#[derive(Clone, PartialEq, Debug)]
pub enum Asks {
    /// So many stretches of that length.
    Episodes(Watch),
    /// At every moment.
    Always,
    /// In time after each beginning of something.
    Response {
        /// How soon, in s.
        within: f64,
        /// After what.
        after: Predicate,
    },
}

/// A question to a log.
#[derive(Clone, PartialEq, Debug)]
pub struct Question {
    /// What must hold.
    pub what: Predicate,
    /// Over which samples.
    pub asks: Asks,
}

impl Question {
    /// The question of a condition; `column` gives the column of a slot, `line` the tolerance line that holds. None where
    /// a slot has no column in this log, or a tolerance test no line.
    pub fn of(
        test: &SignalTest,
        line: Option<&ToleranceLine>,
        column: &dyn Fn(SlotIx) -> Option<usize>,
    ) -> Option<Self> {
        let what = predicate(&test.what, line, column)?;
        let asks = match &test.over {
            Over::Always => Asks::Always,
            Over::Stretches { lasting, times } => Asks::Episodes(Watch {
                lasting: lasting.as_ref().map_or(0.0, |time| time.to_f64()),
                times: u64::from(*times),
            }),
            Over::Within(within, after) => {
                Asks::Response { within: within.to_f64(), after: predicate(after, line, column)? }
            }
        };
        Some(Self { what, asks })
    }

    /// The same with other numbers for the columns.
    #[must_use]
    pub fn renumbered(&self, place: &dyn Fn(usize) -> usize) -> Self {
        let sum = |sum: &Sum| Sum {
            constant: sum.constant,
            factors: sum.factors.iter().map(|(column, factor)| (place(*column), *factor)).collect(),
        };
        let predicate = |one: &Predicate| Predicate {
            ends: one.ends.iter().map(|end| End { sum: sum(&end.sum), closed: end.closed }).collect(),
            turned: one.turned,
            subject: sum(&one.subject),
        };
        let asks = match &self.asks {
            Asks::Response { within, after } => Asks::Response { within: *within, after: predicate(after) },
            other => other.clone(),
        };
        Self { what: predicate(&self.what), asks }
    }

    /// The columns that it needs.
    pub fn columns(&self) -> Vec<usize> {
        let after = match &self.asks {
            Asks::Response { after, .. } => Some(after),
            _ => None,
        };
        let ends = [Some(&self.what), after].into_iter().flatten().flat_map(|one| &one.ends);
        let mut all: Vec<usize> = ends.flat_map(|end| end.sum.factors.iter().map(|(column, _)| *column)).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

fn predicate(
    moment: &Moment,
    line: Option<&ToleranceLine>,
    column: &dyn Fn(SlotIx) -> Option<usize>,
) -> Option<Predicate> {
    let comparison = &moment.comparison;
    let constant = |end: &crate::units::Exact| Value::Constant(end.clone());
    let sum = |value: &Value| sum(value, column);
    // `subject - limit`, or the other way round, above nought.
    let over = |limit: &Value, closed| {
        Some(End { sum: sum(&Value::difference(comparison.subject.clone(), limit.clone()))?, closed })
    };
    let under = |limit: &Value, closed| {
        Some(End { sum: sum(&Value::difference(limit.clone(), comparison.subject.clone()))?, closed })
    };
    let (ends, turned) = match &comparison.test {
        Test::Below(x) => (vec![under(x, false)?], false),
        Test::Above(x) => (vec![over(x, false)?], false),
        Test::AtLeast(x) => (vec![over(x, true)?], false),
        Test::AtMost(x) => (vec![under(x, true)?], false),
        Test::Between(x, y) => (vec![over(x, true)?, under(y, true)?], false),
        Test::Outside(x, y) => (vec![over(x, true)?, under(y, true)?], true),
        Test::Band(low, high) => {
            let mut ends = Vec::new();
            if let Some(low) = low {
                ends.push(over(&constant(low), true)?);
            }
            if let Some(high) = high {
                ends.push(under(&constant(high), false)?);
            }
            (ends, false)
        }
        Test::Tolerance(side, _) => {
            let line = line?;
            match side {
                ToleranceSide::In => (vec![over(&line.low, true)?, under(&line.high, true)?], false),
                ToleranceSide::Out => (vec![over(&line.low, true)?, under(&line.high, true)?], true),
                ToleranceSide::Below => (vec![under(&line.low, false)?], false),
                ToleranceSide::Above => (vec![over(&line.high, false)?], false),
            }
        }
    };
    Some(Predicate { ends, turned: turned != moment.turned, subject: sum(&comparison.subject)? })
}

fn sum(value: &Value, column: &dyn Fn(SlotIx) -> Option<usize>) -> Option<Sum> {
    let straight = affine(value)?;
    let mut factors: Vec<(usize, f64)> = Vec::new();
    for (slot, factor) in &straight.factors {
        factors.push((column(*slot)?, factor.to_f64()));
    }
    Some(Sum { constant: straight.constant.to_f64(), factors })
}
