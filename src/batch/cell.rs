//! What stands under a column, as cells. The common case, a plain number in the reading's own unit, is read at once; all else
//! is entered as a sentence and turned to cells after that. Either way the cells are those of the entry that a job would have.

use crate::book::{Book, IndicationId};
use crate::job::{EntryValue, Job};
use crate::problem::Problem;
use crate::source::Span;
use crate::units::{Bound, Exact, Interval, Role};

use super::fixed::{DECIMALS, FARTHEST, Steps};
use super::layout::{Column, enter};

/// The most digits of a number that is read at once.
const MOST_DIGITS: usize = 15;

/// What a plain number of a reading comes to.
#[derive(Clone, Debug)]
pub(super) struct NumberColumn {
    steps: Steps,
    unit: &'static str,
    /// How wide: a share of the number as a fraction, steps besides, or counts of the last digit.
    share: (i128, i128),
    fixed: i128,
    counts: (i128, i128),
    /// What is physically possible, as what the cells must at least be (upper cell against the lower end, and so on).
    possible: (i64, i64),
    /// Below that there is no such amount: absolute nought of a temperature or pressure.
    nought: Option<i128>,
}

impl NumberColumn {
    /// None where plain numbers can't be read at once.
    pub(super) fn of(book: &Book, indication: IndicationId, steps: Steps) -> Option<Self> {
        let reading = book.indication(indication).reading()?;
        let unit = reading.unit.map_or("", |unit| unit.symbol);
        let (mut share, mut fixed, mut counts) = ((0, 1), 0, (1, 2));
        if let (Some(meter), Some(_)) = (&reading.meter, reading.unit) {
            share = (&meter.percent * &Exact::pow10(-2)).to_fraction()?;
            match &meter.digit {
                Some(digit) => {
                    let (whole, one) = (&meter.counts * digit).abs().checked_div(&steps.factor.abs())?.to_fraction()?;
                    (one == 1).then_some(())?;
                    (fixed, counts) = (whole, (0, 1));
                }
                None => counts = meter.counts.to_fraction()?,
            }
        }
        let possible = match &reading.range {
            Some((low, high)) => possible(&steps, low, high)?,
            None => (i64::MIN, i64::MIN),
        };
        let absolute =
            reading.unit.is_some_and(|unit| matches!(unit.dimension.role, Role::Temperature | Role::Absolute));
        let nought = if absolute { Some((-&steps.offset).checked_div(&steps.factor)?.to_fraction()?) } else { None };
        let nought = nought.map(|(above, below)| -(-above).div_euclid(below));
        Some(Self { steps, unit, share, fixed, counts, possible, nought })
    }

    /// The cells of a plain number, with the column's unit or without one; none where it must be entered as a sentence.
    fn cells(&self, said: &str) -> Option<[i64; 2]> {
        let number = said.strip_suffix(self.unit).map_or(said, str::trim_end);
        let (digits, decimals) = plain_number(number)?;
        let step = 10_i128.pow(DECIMALS - decimals);
        let middle = i128::from(digits) * step;
        let part = |(above, below): (i128, i128), of: i128| {
            let product = of.checked_mul(above)?;
            (product % below == 0).then_some(product / below)
        };
        let width = part(self.share, middle.abs())? + self.fixed + part(self.counts, step)?;
        let (low, high) = (middle - width, middle + width);
        let near = low.abs() < FARTHEST && high.abs() < FARTHEST;
        let cells = [i64::try_from(2 * low).ok()?, i64::try_from(-2 * high).ok()?];
        let possible = -cells[1] >= self.possible.0 && -cells[0] >= self.possible.1;
        let there = self.nought.is_none_or(|nought| middle >= nought);
        (near && possible && there).then_some(cells)
    }
}

/// The least that the upper end, and the lower end turned, must be so that an interval meets a range.
fn possible(steps: &Steps, low: &Bound, high: &Bound) -> Option<(i64, i64)> {
    let [low, high] = steps.cells(&Interval { low: low.clone(), high: high.clone() })?;
    // An open end stands on an odd place, just inside: the number itself must reach beyond it.
    Some((low, high))
}

/// A number without sign words, blanks or exponent: its digits as one whole number, and how many stand behind the point.
fn plain_number(text: &str) -> Option<(i64, u32)> {
    let (negative, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let bytes = unsigned.as_bytes();
    let (first, last) = (bytes.first()?, bytes.last()?);
    if bytes.len() > MOST_DIGITS || !first.is_ascii_digit() || !last.is_ascii_digit() {
        return None;
    }
    let (mut digits, mut decimals, mut pointed) = (0_i64, 0, false);
    for byte in bytes {
        match byte {
            b'0'..=b'9' => {
                digits = 10 * digits + i64::from(byte - b'0');
                decimals += u32::from(pointed);
            }
            b'.' if !pointed => pointed = true,
            _ => return None,
        }
    }
    (decimals <= DECIMALS).then_some((if negative { -digits } else { digits }, decimals))
}

/// What a text under a column comes to.
pub(super) enum Read {
    /// The cells of it.
    Cells([i64; 2]),
    /// It can't be said in whole numbers; the ordinary judge has it.
    Ordinary,
    /// It is no entry.
    Bad(Vec<Problem>),
}

/// Reads a text that is not empty. `start` is the job in which the layout's setup holds.
pub(super) fn read(book: &Book, start: &Job, column: &Column, said: &str) -> Read {
    if let Some(cells) = column.number.as_ref().and_then(|number| number.cells(said)) {
        return Read::Cells(cells);
    }
    if let Some(observation) = column.observation(book) {
        let found = observation.answers.iter().take(64).position(|answer| answer.eq_ignore_ascii_case(said));
        if let Some(place) = found {
            return answer_cells(place);
        }
    }
    let mut job = start.clone();
    if let Err(problems) = enter(book, &mut job, &column.sentence(book, said)) {
        return Read::Bad(problems);
    }
    if job.entries.last().is_some_and(|entry| entry.setup != column.taken) {
        let message = format!("`{said}` names a setup");
        let problem = Problem::error("batch/setup-in-cell", Span::default(), message);
        return Read::Bad(vec![problem.help("setup words stand in the heading, or under `with`")]);
    }
    match job.entries.last().map(|entry| &entry.value) {
        Some(EntryValue::Answer(given)) if given.count_ones() == 1 => answer_cells(given.trailing_zeros() as usize),
        Some(EntryValue::NotMeasured) => Read::Cells([super::fixed::NO_END; 2]),
        Some(EntryValue::Interval(interval)) => {
            let number = column.number.as_ref().and_then(|number| number.steps.cells(interval));
            number.map_or(Read::Ordinary, Read::Cells)
        }
        _ => Read::Ordinary,
    }
}

fn answer_cells(place: usize) -> Read {
    i64::try_from(place).map_or(Read::Ordinary, |place| Read::Cells([2 * place, -2 * place]))
}
