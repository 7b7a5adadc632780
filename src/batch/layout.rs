//! The columns of jobs that ask the same questions: readings and observations, each under one setup.

use crate::book::{Book, IndicationId, IndicationKind, Observation, Setup};
use crate::job::{Entry, EntryValue, Job};
use crate::problem::Problem;
use crate::source::SourceId;
use crate::syntax::parse_statement;
use crate::units::Interval;
use crate::units::unit::Scale;

use super::cell::NumberColumn;
use super::compile::{Refusal, compile};
use super::fixed::Steps;
use super::flat::Plan;

/// One column.
#[derive(Clone, Debug)]
pub struct Column {
    /// The reading's or observation's name, as the book declares it.
    pub name: String,
    /// The setup words after it, as written: `with relay swapped`; may be empty.
    pub setup: String,
    /// Which it is.
    pub indication: IndicationId,
    /// How the vehicle stands when it is taken.
    pub(super) taken: Setup,
    pub(super) number: Option<NumberColumn>,
}

impl Column {
    /// What is entered under it, as a sentence.
    pub fn sentence(&self, book: &Book, said: &str) -> String {
        let said = said.trim();
        let (name, setup) = (&self.name, &self.setup);
        match &book.indication(self.indication).kind {
            IndicationKind::Observation(_) => format!("`{name}` is {said} {setup}"),
            IndicationKind::Reading(reading) => {
                let bare = said.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
                let unit = reading.unit.filter(|_| bare).map_or("", |unit| unit.symbol);
                format!("`{name}` = {said} {unit} {setup}")
            }
        }
    }

    pub(super) fn observation<'b>(&self, book: &'b Book) -> Option<&'b Observation> {
        book.indication(self.indication).observation()
    }
}

/// The columns of some jobs, and the book compiled for them.
#[derive(Debug)]
pub struct Layout {
    /// The columns.
    pub columns: Vec<Column>,
    /// A job in which the setup of all its entries holds, and nothing is entered.
    pub start: Job,
    plan: Result<Plan, Refusal>,
}

impl Layout {
    /// The layout of some headings, all of them under a setup besides their own: `cooling demanded, relay swapped`; empty
    /// for none. A heading is a name and setup words: `supply at fan connector with relay swapped`.
    ///
    /// # Errors
    /// The headings that can't be columns, by number, with the reason; the setup's reason has no number.
    pub fn new(book: &Book, setup: &str, headings: &[&str]) -> Result<Self, Vec<(Option<usize>, Problem)>> {
        let mut start = Job::new(book);
        let words = setup.trim();
        if !words.is_empty() {
            let sentence = match words.split_whitespace().next() {
                Some("with" | "without") => words.to_string(),
                _ => format!("with {words}"),
            };
            let problems = enter(book, &mut start, &sentence).err();
            problems.map_or(Ok(()), |all| Err(all.into_iter().map(|problem| (None, problem)).collect::<Vec<_>>()))?;
        }
        let (mut columns, mut problems) = (Vec::new(), Vec::new());
        let mut filled = start.clone();
        for (place, heading) in headings.iter().enumerate() {
            match column(book, &mut filled, heading) {
                Ok(column) => columns.push(column),
                Err(all) => problems.extend(all.into_iter().map(|problem| (Some(place), problem))),
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let steps: Vec<Option<Steps>> = columns.iter().map(|column| steps(book, column.indication)).collect();
        let plan = compile(book, &start, &filled, &steps);
        for (column, steps) in columns.iter_mut().zip(steps) {
            column.number = steps.and_then(|steps| NumberColumn::of(book, column.indication, steps));
        }
        Ok(Self { columns, start, plan })
    }

    /// The book compiled for these columns; none where jobs of this layout are judged one by one.
    pub fn plan(&self) -> Option<&Plan> {
        self.plan.as_ref().ok()
    }

    /// Why jobs of this layout are judged one by one, in words; none where they are not.
    pub fn why_one_by_one(&self) -> Option<&'static str> {
        self.plan.as_ref().err().map(|refusal| match refusal {
            Refusal::SeveralAtOnce => "the book allows several faults at once",
            Refusal::Replaced => "two columns are one reading under one setup",
            Refusal::TooManyWays => "a condition can be decided in too many ways",
        })
    }
}

/// Enters a sentence.
pub(super) fn enter(book: &Book, job: &mut Job, sentence: &str) -> Result<(), Vec<Problem>> {
    let statement = parse_statement(SourceId::default(), 0, sentence).map_err(|problem| vec![problem])?;
    job.enter(book, statement, sentence).map(drop)
}

/// The column of a heading; adds an entry of any value for it.
fn column(book: &Book, filled: &mut Job, heading: &str) -> Result<Column, Vec<Problem>> {
    let (name, setup) = cut(heading);
    let plain = name.trim().trim_matches('`').trim();
    enter(book, filled, &format!("`{plain}` = not measured {setup}"))?;
    let Some(entry) = filled.entries.last().cloned() else { return Err(Vec::new()) };
    filled.enter(book, crate::syntax::tree::Statement::TakeBack(Default::default()), "take back").map(drop)?;
    let indication = entry.indication;
    let value = match &book.indication(indication).kind {
        IndicationKind::Reading(_) => EntryValue::Interval(Interval::everything()),
        IndicationKind::Observation(_) => EntryValue::Answer(u64::MAX),
    };
    let taken = entry.setup.clone();
    filled.entries.add(book, Entry { value, ..entry });
    let name = book.indication(indication).name.clone();
    Ok(Column { name, setup: setup.trim().to_string(), indication, taken, number: None })
}

/// A heading's name and its setup words.
fn cut(heading: &str) -> (&str, &str) {
    let starts =
        ["with", "without"].into_iter().flat_map(|word| heading.match_indices(word).map(move |(at, _)| (at, word)));
    let bytes = heading.as_bytes();
    let blank = |at: usize| bytes.get(at).is_none_or(u8::is_ascii_whitespace);
    let first = starts
        .filter(|(at, word)| *at > 0 && blank(at - 1) && blank(at + word.len()))
        .filter(|(at, _)| heading.get(..*at).is_some_and(|before| before.matches('`').count() % 2 == 0))
        .map(|(at, _)| at)
        .min();
    heading.split_at(first.unwrap_or(heading.len()))
}

/// How a reading's steps become base units; none for observations and wire gauges.
fn steps(book: &Book, indication: IndicationId) -> Option<Steps> {
    use crate::units::Exact;
    let reading = book.indication(indication).reading()?;
    let step = Exact::pow10(-i32::try_from(super::fixed::DECIMALS).unwrap_or(0));
    match reading.unit.map(|unit| &unit.scale) {
        None => Some(Steps { factor: step, offset: Exact::zero() }),
        Some(Scale::Straight { factor, offset }) => Some(Steps { factor: factor * &step, offset: offset.clone() }),
        Some(Scale::WireGauge) => None,
    }
}
