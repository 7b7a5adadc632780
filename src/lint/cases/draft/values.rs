//! What a reading or observation may be entered as: every answer, and for each range between the limits that the book
//! names there a value close to each limit, outside of what the meter can tell, and one in the middle. Each is entered
//! as it would be typed, so that its uncertainty is that of the tool.

use crate::book::{Book, IndicationId, IndicationKind, Reading};
use crate::job::{EntryValue, Job};
use crate::reasoning::Facts;
use crate::reasoning::cells::{Cell, Limits, cells};
use crate::units::{Bound, Exact, Interval};

use super::words::{answer_line, read, reading_line};

/// Where a value lies in its range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Spot {
    /// Close to a limit.
    Edge,
    /// In the middle.
    Middle,
    /// Elsewhere, or an answer.
    Elsewhere,
}

/// Something that may be entered.
pub(super) struct Candidate {
    /// As typed.
    pub(super) line: String,
    /// Where it lies.
    pub(super) spot: Spot,
    /// The job with it.
    pub(super) job: Job,
}

/// Multiples of the last digit by which a value is moved away from a limit until the meter can tell them apart.
const MOVES: [i64; 9] = [0, 1, 2, 3, 4, 5, 8, 12, 20];
/// Powers of ten of the last digit, from that of the limit's first digit, in the order in which they are tried.
const DIGITS: [i32; 6] = [-2, -1, 0, -3, -4, -5];
/// How many times as far from a limit further values lie.
const FURTHER: [i64; 2] = [4, 16];
/// Sizes that are tried where nothing is known of a reading, in its own unit.
const ANYTHING: [i64; 4] = [1, 10, 100, 1000];

/// All that may be entered of a reading or observation as the vehicle stands; lowest first, answers in book order.
pub(super) fn candidates(book: &Book, job: &Job, id: IndicationId) -> Vec<Candidate> {
    let indication = book.indication(id);
    let bench = Bench { book, job, name: &indication.name };
    match &indication.kind {
        IndicationKind::Observation(observation) => {
            let lines = observation.answers.iter().filter_map(|answer| answer_line(&indication.name, answer));
            lines.filter_map(|line| bench.entered(line, Spot::Elsewhere, None)).collect()
        }
        IndicationKind::Reading(reading) => bench.values(id, reading),
    }
}

struct Bench<'a> {
    book: &'a Book,
    job: &'a Job,
    name: &'a str,
}

impl Bench<'_> {
    fn entered(&self, line: String, spot: Spot, inside: Option<&Interval>) -> Option<Candidate> {
        let mut job = self.job.clone();
        job.enter(self.book, read(&line)?, &line).ok()?;
        let value = &job.entries.last()?.value;
        let fits = match (inside, value) {
            (Some(inside), EntryValue::Interval(interval)) => interval.is_within(inside),
            (None, _) => true,
            _ => false,
        };
        fits.then_some(Candidate { line, spot, job })
    }

    fn values(&self, id: IndicationId, reading: &Reading) -> Vec<Candidate> {
        let facts = Facts::of(self.book, self.job, self.job.epoch(), |_| true);
        let mut all = Vec::new();
        for cell in cells(&facts, id, &self.job.setup, Limits::Known) {
            if let Cell::Range { inside, .. } = cell {
                all.extend(Span::of(self, reading, inside).candidates());
            }
        }
        if reading.range.is_some() {
            all.extend(reading_line(self.name, "OL").and_then(|line| self.entered(line, Spot::Elsewhere, None)));
        }
        all
    }
}

/// One range of a reading, in the reading's own unit.
struct Span<'a> {
    bench: &'a Bench<'a>,
    symbol: &'static str,
    /// In base units; ends that are only the scale's are taken off.
    inside: Interval,
    low: Option<Exact>,
    high: Option<Exact>,
}

impl<'a> Span<'a> {
    fn of(bench: &'a Bench<'a>, reading: &Reading, cell: Interval) -> Self {
        let own =
            |bound: &Bound| bound.value().map(|base| reading.unit.map_or(base.clone(), |unit| unit.from_base(base)));
        let (low, high) = (own(&cell.low), own(&cell.high));
        let limit = |bound: Bound| if bound.is_closed() { Bound::Unbounded } else { bound };
        let inside = Interval { low: limit(cell.low), high: limit(cell.high) };
        Self { bench, symbol: reading.unit.map_or("", |unit| unit.symbol), inside, low, high }
    }

    fn candidates(&self) -> Vec<Candidate> {
        let cut = |bound: &Bound| matches!(bound, Bound::Open(_));
        let (low, high) = (cut(&self.inside.low), cut(&self.inside.high));
        let mut all = Vec::new();
        match (&self.low, &self.high) {
            (None, None) => all.extend(self.anything(&Exact::zero(), &[1, -1])),
            (Some(from), None) if !low => all.extend(self.anything(from, &[1])),
            (None, Some(from)) if !high => all.extend(self.anything(from, &[-1])),
            _ => {}
        }
        if let (true, Some(end)) = (low, &self.low) {
            all.extend(self.near(end, 1, self.high.as_ref()));
        }
        if let (Some(from), Some(to)) = (&self.low, &self.high) {
            let parts: &[(i64, Spot)] = if low || high {
                &[(5, Spot::Middle)]
            } else {
                &[(1, Spot::Elsewhere), (5, Spot::Middle), (9, Spot::Elsewhere)]
            };
            all.extend(parts.iter().filter_map(|(tenths, spot)| self.within(from, to, *tenths, *spot)));
        }
        if let (true, Some(end)) = (high, &self.high) {
            all.extend(self.near(end, -1, self.low.as_ref()));
        }
        all
    }

    /// Values of every size on some sides of the scale's end.
    fn anything(&self, end: &Exact, sides: &[i64]) -> Vec<Candidate> {
        let each = sides.iter().flat_map(|side| ANYTHING.map(|size| side * size));
        each.filter_map(|away| {
            let away = Exact::from_int(away);
            self.value(&(end + &away), first_digit(&away)? - 2, Spot::Elsewhere)
        })
        .collect()
    }

    /// The value closest to a limit that the meter can tell from it, and some further ones: what else is compared may
    /// not be known well either. Upwards (1) or downwards (-1).
    fn near(&self, end: &Exact, side: i64, other: Option<&Exact>) -> Vec<Candidate> {
        let Some((first, away, digit)) = self.nearest(end, side, other) else { return Vec::new() };
        let further = FURTHER.iter().filter_map(|times| {
            let away = &away * &Exact::from_int(*times);
            if other.is_some_and(|other| (other - end).abs() <= away.abs()) {
                return None;
            }
            self.value(&on_grid(&(end + &away), digit)?, digit, Spot::Edge)
        });
        let mut all: Vec<Candidate> = std::iter::once(first).chain(further).collect();
        if side < 0 {
            all.reverse();
        }
        all
    }

    /// The value closest to a limit that the meter can tell from it, how far it is away, and its last digit.
    fn nearest(&self, end: &Exact, side: i64, other: Option<&Exact>) -> Option<(Candidate, Exact, i32)> {
        let first = first_digit(end).or_else(|| other.and_then(first_digit)).unwrap_or(0);
        let width = other.map(|other| (other - end).abs());
        for digit in DIGITS.iter().map(|digit| first + digit) {
            let grid = Exact::pow10(digit);
            let start = end.checked_div(&grid)?.rounded(0);
            for steps in MOVES {
                let value = (&start + &Exact::from_int(steps * side)) * &grid;
                let away = &value - end;
                let far = &away * &Exact::from_int(side);
                if far <= Exact::zero() || width.as_ref().is_some_and(|width| far > *width) {
                    continue;
                }
                if let Some(found) = self.value(&value, digit, Spot::Edge) {
                    return Some((found, away, digit));
                }
            }
        }
        None
    }

    /// The value at so many tenths of the range.
    fn within(&self, low: &Exact, high: &Exact, tenths: i64, spot: Spot) -> Option<Candidate> {
        let width = high - low;
        let at = low + &(&width * &Exact::ratio(tenths, 10)?);
        let first = first_digit(&width)?;
        (1..=4).map(|digits| first - digits).find_map(|digit| self.value(&on_grid(&at, digit)?, digit, spot))
    }

    /// A value entered with its last digit at that power of ten.
    fn value(&self, value: &Exact, digit: i32, spot: Spot) -> Option<Candidate> {
        let decimals = usize::try_from(-digit).unwrap_or(0);
        let number = format!("{} {}", padded(value, decimals), self.symbol);
        let line = reading_line(self.bench.name, number.trim_end())?;
        self.bench.entered(line, spot, Some(&self.inside))
    }
}

/// The nearest number that needs no digit below that power of ten.
fn on_grid(number: &Exact, digit: i32) -> Option<Exact> {
    let grid = Exact::pow10(digit);
    Some(number.checked_div(&grid)?.rounded(0) * grid)
}

/// The power of ten of the first digit that counts; none of 0.
fn first_digit(number: &Exact) -> Option<i32> {
    let size = number.abs().to_f64();
    // Within what a reading can be, so the cast is exact.
    (size > 0.0 && size.is_finite()).then(|| size.log10().floor().clamp(-15.0, 15.0) as i32)
}

/// With at least that many decimals: what is typed tells how well it was read.
fn padded(number: &Exact, decimals: usize) -> String {
    let mut text = number.to_string();
    let found = text.split_once('.').map_or(0, |(_, after)| after.len());
    if found < decimals {
        if found == 0 {
            text.push('.');
        }
        text.push_str(&"0".repeat(decimals - found));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_the_digits_that_it_was_read_with() {
        let number = |text: &str| text.parse::<Exact>().unwrap();
        assert_eq!(padded(&number("12"), 1), "12.0");
        assert_eq!(padded(&number("12.25"), 1), "12.25");
        assert_eq!(padded(&number("-0.5"), 2), "-0.50");
        assert_eq!((first_digit(&number("22.5")), first_digit(&number("0.04"))), (Some(1), Some(-2)));
        assert_eq!(first_digit(&number("0")), None);
    }
}
