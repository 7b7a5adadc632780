//! Sums of readings that comparisons ask for (`supply at fan connector` less `supply at relay socket`), as cells of their own,
//! so that a comparison of a sum costs no more than one of a reading. Factors are whole numbers, so sums are exact.

use super::fixed::{FARTHEST, NO_END};

/// A sum of columns, each times a whole number.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Sum {
    /// Columns by number with their factors, sorted; the first factor is above 0, and they share no divisor.
    pub(super) terms: Vec<(u32, i64)>,
}

impl Sum {
    /// The lower end and the upper one with its sign turned, from the cells of the columns.
    pub(super) fn cells(&self, cells: &[i64]) -> Option<[i64; 2]> {
        Some([self.end(cells, false)?, self.end(cells, true)?])
    }

    /// One end; that of the negative sum where `turned`. None where it is too far off for whole numbers.
    fn end(&self, cells: &[i64], turned: bool) -> Option<i64> {
        let (mut sum, mut open) = (0_i128, false);
        for (column, factor) in &self.terms {
            // The lower end of a negative multiple comes of the upper end.
            let upper = (*factor < 0) != turned;
            let end = *cells.get(2 * *column as usize + usize::from(upper))?;
            if end == NO_END {
                return Some(NO_END);
            }
            open |= end & 1 == 1;
            sum += i128::from(end >> 1) * i128::from(factor.abs());
        }
        (sum.abs() < FARTHEST).then_some(())?;
        i64::try_from(2 * sum + i128::from(open)).ok()
    }
}
