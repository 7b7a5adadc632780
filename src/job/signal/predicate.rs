//! A test of one moment of a log: sums of channels against nought, with the accuracy of each channel. Sums are of
//! binary floating numbers, as a logger's own; what a book's limits are held against there is good to 15 digits.
//!
//! Must not know: time, rulebooks, files.

/// How well a channel is read: the limit of error is `share` of the value, counted from the meter's own nought, plus
/// `fixed`, in base units.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Width {
    /// Share of the value: 0.005 for 0.5 %.
    pub share: f64,
    /// Fixed part.
    pub fixed: f64,
    /// The meter's own nought: 273.15 for degC, else 0.
    pub nought: f64,
}

impl Width {
    /// The limit of error at a value.
    pub fn at(self, value: f64) -> f64 {
        self.share * (value - self.nought).abs() + self.fixed
    }
}

/// A constant and channels with their factors.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Sum {
    /// What is left with every channel at nought.
    pub constant: f64,
    /// Channel (an index into the block's columns) and factor, each channel once.
    pub factors: Vec<(usize, f64)>,
}

/// What one comparison says of a moment.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Mark {
    /// It does not hold for any value that the accuracy allows.
    No,
    /// The accuracy leaves it open.
    Unsure,
    /// It holds for every value that the accuracy allows.
    Yes,
    /// There is no value at that moment.
    Missing,
}

impl Mark {
    /// The opposite; what is missing stays so.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Mark::No => Mark::Yes,
            Mark::Yes => Mark::No,
            other => other,
        }
    }
}

/// A sum that must lie above nought.
#[derive(Clone, PartialEq, Debug)]
pub struct End {
    /// The sum.
    pub sum: Sum,
    /// Whether nought itself will do.
    pub closed: bool,
}

impl End {
    /// The mark of a value of its sum with that limit of error.
    fn mark(&self, value: f64, error: f64) -> Mark {
        let (low, high) = (value - error, value + error);
        let (yes, no) = if self.closed { (low >= 0.0, high < 0.0) } else { (low > 0.0, high <= 0.0) };
        match (yes, no) {
            (true, _) => Mark::Yes,
            (_, true) => Mark::No,
            _ if value.is_nan() => Mark::Missing,
            _ => Mark::Unsure,
        }
    }
}

/// A test of one moment: every end holds, or, if turned, not every one.
#[derive(Clone, PartialEq, Debug)]
pub struct Predicate {
    /// Its ends.
    pub ends: Vec<End>,
    /// Whether it asks for the opposite.
    pub turned: bool,
    /// What is tested, for telling how far it went.
    pub subject: Sum,
}

/// Samples in order of time. A column's value is not a number where nothing was read.
#[derive(Clone, Copy, Debug)]
pub struct Block<'a> {
    /// Seconds since the first sample of the log.
    pub times: &'a [f64],
    /// Values in base units, one column a channel, each as long as `times`.
    pub columns: &'a [Vec<f64>],
    /// How well each channel is read.
    pub widths: &'a [Width],
}

impl Predicate {
    /// The marks of a block, one a sample.
    pub fn marks(&self, block: Block<'_>, marks: &mut Vec<Mark>) {
        let count = block.times.len();
        marks.clear();
        marks.resize(count, Mark::Yes);
        for end in &self.ends {
            match end.sum.factors.as_slice() {
                [(channel, factor)] => one_channel(end, *channel, *factor, block, marks),
                _ => several(end, block, marks),
            }
        }
        if self.turned {
            marks.iter_mut().for_each(|mark| *mark = mark.turned());
        }
    }

    /// The values of what is tested.
    pub fn subject(&self, block: Block<'_>, values: &mut Vec<f64>) {
        values.clear();
        values.resize(block.times.len(), self.subject.constant);
        for (channel, factor) in &self.subject.factors {
            let Some(column) = block.columns.get(*channel) else { continue };
            values.iter_mut().zip(column).for_each(|(sum, value)| *sum += factor * value);
        }
    }
}

/// The lower of two marks; what is missing stays missing.
fn both(one: Mark, other: Mark) -> Mark {
    if one == Mark::Missing || other == Mark::Missing { Mark::Missing } else { one.min(other) }
}

/// The usual test: one channel against a number, in one pass.
fn one_channel(end: &End, channel: usize, factor: f64, block: Block<'_>, marks: &mut [Mark]) {
    let (Some(column), width) = (block.columns.get(channel), block.widths.get(channel).copied().unwrap_or_default())
    else {
        marks.fill(Mark::Missing);
        return;
    };
    let size = factor.abs();
    for (mark, value) in marks.iter_mut().zip(column) {
        let found = end.mark(end.sum.constant + factor * value, size * width.at(*value));
        *mark = both(*mark, found);
    }
}

fn several(end: &End, block: Block<'_>, marks: &mut [Mark]) {
    for (place, mark) in marks.iter_mut().enumerate() {
        let (mut value, mut error) = (end.sum.constant, 0.0);
        for (channel, factor) in &end.sum.factors {
            let read = block.columns.get(*channel).and_then(|column| column.get(place)).copied().unwrap_or(f64::NAN);
            value += factor * read;
            error += factor.abs() * block.widths.get(*channel).copied().unwrap_or_default().at(read);
        }
        *mark = both(*mark, end.mark(value, error));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn below(limit: f64) -> Predicate {
        let sum = Sum { constant: limit, factors: vec![(0, -1.0)] };
        let subject = Sum { constant: 0.0, factors: vec![(0, 1.0)] };
        Predicate { ends: vec![End { sum, closed: false }], turned: false, subject }
    }

    fn marks(predicate: &Predicate, values: &[f64], fixed: f64) -> Vec<Mark> {
        let times: Vec<f64> = (0..values.len()).map(|n| n as f64).collect();
        let mut out = Vec::new();
        let columns = [values.to_vec()];
        predicate.marks(
            Block { times: &times, columns: &columns, widths: &[Width { fixed, ..Width::default() }] },
            &mut out,
        );
        out
    }

    #[test]
    fn accuracy_leaves_a_band_around_the_limit_open() {
        // The three values of `three_valued.json`: 11.9 ± 0.1 below 12 is unknown, 11.8 ± 0.1 is below, 12.2 ± 0.1 is not.
        assert_eq!(marks(&below(12.0), &[11.9, 11.8, 12.2], 0.1), [Mark::Unsure, Mark::Yes, Mark::No]);
    }

    #[test]
    fn a_missing_value_is_neither_and_the_opposite_of_missing_is_missing() {
        let turned = Predicate { turned: true, ..below(12.0) };
        assert_eq!(marks(&below(12.0), &[f64::NAN], 0.1), [Mark::Missing]);
        assert_eq!(marks(&turned, &[f64::NAN, 11.0], 0.1), [Mark::Missing, Mark::No]);
    }
}
