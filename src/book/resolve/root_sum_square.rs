//! `root sum square 95 %` on a computed reading.

use crate::problem::Problem;
use crate::syntax::tree::{Declaration, Number};
use crate::syntax::words::FieldWord as F;
use crate::units::RootSumSquare;

use super::{Resolver, fields, numbers};

impl Resolver<'_> {
    /// How the widths of a reading's parts join; none where they add up, or where it is reported as wrong.
    pub(super) fn root_sum_square(&mut self, declaration: &Declaration) -> Option<RootSumSquare> {
        let number = fields::number(declaration, F::RootSumSquare)?;
        let Some(asked) = asked(number) else {
            let message = "a coverage is 95 % or more and below 100 %";
            let help = "write `root sum square 95 %`; below that a sum of a few readings isn't covered as it says";
            self.report(Problem::error("book/root-sum-square", number.span, message).help(help));
            return None;
        };
        if fields::value(declaration, F::Value).is_none() {
            let message = format!("`{}` is measured: there is only its own width", declaration.name.text);
            self.report(
                Problem::error("book/root-sum-square-of-one", number.span, message)
                    .help("ask it of a reading that is computed from several: `reading NAME = …`"),
            );
            return None;
        }
        if self.book.guard_band.is_some() {
            let message = "the book's `guard band` says already how much of a width counts";
            self.report(
                Problem::error("book/two-coverages", number.span, message).help(
                    "leave out one of them: the guard band judges each reading, root sum square several together",
                ),
            );
            return None;
        }
        Some(asked)
    }
}

fn asked(number: &Number) -> Option<RootSumSquare> {
    let percent = number.unit.as_ref().is_some_and(|unit| &*unit.text == "%");
    let share = numbers::digits(number).ok().filter(|_| percent)?.to_f64() / 100.0;
    RootSumSquare::new(share)
}
