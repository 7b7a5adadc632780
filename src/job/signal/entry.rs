//! Entering a log: its layout found, the channel's unit and accuracy settled, everything that the book asks of it
//! answered in one pass.

use std::cell::RefCell;
use std::io::{Cursor, Read};
use std::rc::Rc;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::book::{Book, Indication, IndicationId, Node, Reading, SignalTest, Test, numbers};
use crate::job::{Entry, Job, Notice};
use crate::problem::Problem;
use crate::syntax::tree::{LogColumn, LogWords};
use crate::units::{Accuracy, Exact, Interval, Unit};

use super::csv::{Channel, Column, HEAD, Layout, LogProblem, Rows, Told, detect};
use super::question::Question;
use super::recording::{Named, Reader, Recording};
use super::{Width, words};

/// A log about to be entered as a reading.
pub(in crate::job) struct Entering<'a> {
    pub(in crate::job) book: &'a Book,
    pub(in crate::job) job: &'a Job,
    pub(in crate::job) id: IndicationId,
    pub(in crate::job) indication: &'a Indication,
    pub(in crate::job) reading: &'a Reading,
}

/// A log as it was entered.
pub(in crate::job) struct Entered {
    pub(in crate::job) recording: Arc<Recording>,
    /// The range that it was seen in, the accuracy included.
    pub(in crate::job) range: Interval,
    pub(in crate::job) said: String,
    pub(in crate::job) notices: Vec<Notice>,
}

/// A channel with its unit and accuracy.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Wanted {
    channel: Channel,
    unit: &'static Unit,
    width: Width,
}

impl Entering<'_> {
    /// Reads the log.
    pub(in crate::job) fn read(&self, words: &LogWords) -> Result<Entered, Problem> {
        let at = words.file.span;
        let told = told(words)?;
        let Some(logs) = &self.job.logs.0 else {
            return Err(LogProblem::new("job/log-no-source", "no log can be read here")
                .help("enter the number that decides, such as the lowest value seen")
                .at(at));
        };
        let open = || {
            let unreadable = |why: String| {
                LogProblem::new("job/log-unreadable", format!("`{}` can't be read: {why}", words.file.text))
                    .help("a log is named relative to the job's folder and lies inside it")
                    .at(at)
            };
            logs.open(&words.file.text).map_err(unreadable)
        };
        let mut log = open()?;
        let mut head = Vec::with_capacity(1 << 16);
        let unread = |error: std::io::Error| {
            LogProblem::new("job/log-unreadable", format!("`{}` can't be read: {error}", words.file.text)).at(at)
        };
        log.by_ref().take(HEAD as u64).read_to_end(&mut head).map_err(unread)?;
        let layout = detect(&head, &told).map_err(|problem| in_log(problem, words).at(at))?;
        let column = match &words.channel {
            Some(column) => Some(self::column(column)?),
            None => None,
        };
        let column = layout.channel(column.as_ref()).map_err(|problem| in_log(problem, words).at(at))?;
        let own = self.wanted(words, &layout, column)?;
        let questions = self.questions(&words.file.text, column);
        let channels = self.channels(&words.file.text, own, &questions);
        let asked = format!("{told:?} {channels:?} {questions:?}");
        let known = logs.known(&words.file.text, &asked);
        let recording = match known {
            Some(recording) => recording,
            None => {
                let named = (words.file.text.to_string(), layout.names.get(column).cloned().unwrap_or_default());
                let read = stream(head, log, &layout, &channels, questions, named);
                let recording = read.map_err(|problem| in_log(problem, words).at(at))?;
                logs.keep(&words.file.text, &asked, &recording);
                recording
            }
        };
        self.entered(recording, words, &layout)
    }

    fn entered(&self, recording: Arc<Recording>, words: &LogWords, layout: &Layout) -> Result<Entered, Problem> {
        let exact = |value: f64| Exact::from_f64(value).map(|value| value.rounded(9)).unwrap_or_default();
        let end = |value: f64, side: f64| exact(value + side * recording.width.at(value));
        let range = Interval::between(end(recording.low, -1.0), end(recording.high, 1.0));
        if let Some((low, high)) = &self.reading.range {
            let possible = Interval { low: low.clone(), high: high.clone() };
            if !range.intersects(&possible) {
                let (shown, seen) = (recording.unit.show_range(&possible), recording.unit.show_range(&range));
                let message = format!("`{}` can only be {shown}, the log holds {seen}", self.indication.name);
                let problem = LogProblem::new("job/outside-range", message);
                return Err(problem.help("check the channel, and its unit: `in mV` tells it").at(words.file.span));
            }
        }
        let notices = words::notices(&recording, layout, words.digest.as_ref().map(|digest| &*digest.text));
        Ok(Entered { range, said: words::said(&recording), notices, recording })
    }

    /// The unit and the accuracy of a channel.
    fn wanted(&self, words: &LogWords, layout: &Layout, column: usize) -> Result<Wanted, Problem> {
        let found = layout.units.get(column).copied().flatten();
        let told = words.unit.as_ref().map(numbers::unit).transpose()?;
        let at = words.unit.as_ref().map_or(words.file.span, |unit| unit.span);
        let Some(unit) = told.or(found).or(self.reading.unit) else {
            return Err(LogProblem::new("units/missing", format!("`{}` has no unit", self.indication.name))
                .help("give the reading a `unit` in the book")
                .at(at));
        };
        let own = self.reading.unit.unwrap_or(unit);
        if unit.dimension != own.dimension {
            let (wants, has) = (own.dimension.a_noun(), unit.dimension.a_noun());
            let message = format!("`{}` is {wants}, the channel is {has} (in {})", self.indication.name, unit.symbol);
            let help = format!("name another channel, or say `in {}` if the header is wrong", own.symbol);
            return Err(Problem::error("units/mismatch", at, message).help(help));
        }
        let decimals = layout.decimals.get(column).copied().unwrap_or(0);
        let digit = unit.width_to_base(&Exact::pow10(-decimals)).abs();
        let in_use = self.job.meters.iter().rev().find(|meter| meter.dimension == unit.dimension);
        let half = Accuracy { percent: Exact::zero(), counts: Exact::one().half(), digit: None };
        let accuracy = in_use.map(|meter| &meter.accuracy).or(self.reading.meter.as_ref()).unwrap_or(&half);
        let fixed = accuracy.with_digit(&digit).half_width(&Exact::zero()).to_f64();
        let nought = unit.to_base(&Exact::zero()).to_f64();
        let width = Width { share: accuracy.percent.to_f64() / 100.0, fixed, nought };
        let factor = unit.width_to_base(&Exact::one()).to_f64();
        Ok(Wanted { channel: Channel { column, factor, offset: nought }, unit: own, width })
    }

    /// Other readings that were entered from the same log: the latest of each.
    fn companions(&self, file: &str) -> Vec<(&Entry, &Arc<Recording>)> {
        let live = self.job.live(self.job.epoch());
        let entries = live.iter().filter_map(|id| self.job.entry(*id));
        let logged = entries.filter_map(|entry| Some((entry, entry.recording.as_ref()?)));
        logged.filter(|(entry, recording)| entry.indication != self.id && recording.file == file).collect()
    }

    /// All that the book asks of this reading, by itself or with others of the same log.
    fn questions(&self, file: &str, own: usize) -> Vec<Question> {
        let companions = self.companions(file);
        let column = |id: IndicationId| {
            if id == self.id {
                return Some(own);
            }
            companions.iter().rev().find(|(entry, _)| entry.indication == id).map(|(_, recording)| recording.column)
        };
        let mut all: Vec<Question> = Vec::new();
        for (_, condition) in self.book.conditions() {
            if !condition.slots.iter().any(|slot| slot.indication == self.id) {
                continue;
            }
            let mut tests = Vec::new();
            signals(&condition.node, &mut tests);
            for test in tests {
                let of_slot = |slot| column(condition.slot(slot)?.indication);
                let own = |slot: &crate::book::SlotIx| condition.slot(*slot).is_some_and(|s| s.indication == self.id);
                if !test.slots.iter().any(own) {
                    continue;
                }
                let lines = match &test.what.comparison.test {
                    Test::Tolerance(_, lines) => lines.iter().map(Some).collect(),
                    _ => vec![None],
                };
                for line in lines {
                    all.extend(Question::of(test, line, &of_slot).filter(|question| !all.contains(question)));
                }
            }
        }
        all
    }

    /// The channels to read: the own one first, then those of others that some question needs.
    fn channels(&self, file: &str, own: Wanted, questions: &[Question]) -> Vec<Wanted> {
        let mut all = vec![own];
        let needed: Vec<usize> = questions.iter().flat_map(Question::columns).collect();
        for (_, other) in self.companions(file) {
            if needed.contains(&other.column) && !all.iter().any(|known| known.channel.column == other.column) {
                all.push(Wanted { channel: other.scale, unit: other.unit, width: other.width });
            }
        }
        all
    }
}

/// What is told of a log, resolved.
fn told(words: &LogWords) -> Result<Told, Problem> {
    let separator = match &words.separator {
        None => None,
        Some(text) => Some(match text.text.as_bytes() {
            [one] if *one != b'"' && *one != b'\n' => *one,
            b"\\t" | b"tab" => b'\t',
            _ => {
                return Err(Problem::error("job/log-separator", text.span, "a separator is one sign")
                    .help("write `separator \";\"`, `separator \",\"` or `separator \"tab\"`"));
            }
        }),
    };
    let time_unit = match &words.time_unit {
        None => None,
        Some(name) => {
            let unit = numbers::unit(name)?;
            Some(super::csv::seconds_of(unit).ok_or_else(|| {
                Problem::error("units/not-a-time", name.span, "a unit of time is needed here")
                    .help("write `time in s` or `time in ms`")
            })?)
        }
    };
    let every = words.every.as_ref().map(positive).transpose()?;
    let time = words.time.as_ref().map(column).transpose()?;
    Ok(Told { separator, comma: words.comma.map(|(comma, _)| comma), time, time_unit, every })
}

fn positive(number: &crate::syntax::tree::Number) -> Result<f64, Problem> {
    let seconds = numbers::seconds(number)?.to_f64();
    if seconds > 0.0 {
        return Ok(seconds);
    }
    Err(Problem::error("units/number", number.span, "samples lie some time apart").help("write `every 10 ms`"))
}

fn column(words: &LogColumn) -> Result<Column, Problem> {
    match words {
        LogColumn::Named(text) => Ok(Column::Name(text.text.to_string())),
        LogColumn::Number(number) => match number.digits.parse::<usize>() {
            Ok(count) if count > 0 => Ok(Column::Number(count)),
            _ => Err(Problem::error("job/log-column", number.span, "columns are counted from 1")
                .help("write `channel 2`, or its name: `channel \"feed\"`")),
        },
    }
}

fn in_log(problem: LogProblem, words: &LogWords) -> LogProblem {
    LogProblem { message: format!("log `{}`: {}", words.file.text, problem.message), ..problem }
}

/// Every condition on a recorded signal in a node.
fn signals<'n>(node: &'n Node, found: &mut Vec<&'n SignalTest>) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| signals(part, found)),
        Node::Not(inner) | Node::Finding(_, inner, _) => signals(inner, found),
        Node::Signal(test) => found.push(test),
        Node::Answer(..) | Node::Compare(_) => {}
    }
}

/// Bytes on their way, and their digest.
struct Hashing<R> {
    inner: R,
    hasher: Rc<RefCell<Sha256>>,
}

impl<R: Read> Read for Hashing<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.inner.read(buffer)?;
        self.hasher.borrow_mut().update(buffer.get(..count).unwrap_or_default());
        Ok(count)
    }
}

/// Reads the whole log once.
fn stream(
    head: Vec<u8>,
    log: Box<dyn Read>,
    layout: &Layout,
    wanted: &[Wanted],
    questions: Vec<Question>,
    (file, name): (String, String),
) -> Result<Arc<Recording>, LogProblem> {
    let hasher = Rc::new(RefCell::new(Sha256::new()));
    let bytes = Hashing { inner: Cursor::new(head).chain(log), hasher: hasher.clone() };
    let channels: Vec<Channel> = wanted.iter().map(|one| one.channel).collect();
    let mut rows = Rows::new(bytes, layout, &channels);
    let place = |column: usize| wanted.iter().position(|one| one.channel.column == column).unwrap_or(usize::MAX);
    let local: Vec<Question> = questions.iter().map(|question| question.renumbered(&place)).collect();
    let widths = wanted.iter().map(|one| one.width).collect();
    let mut more = rows.next_block()?;
    let mut reader = Reader::new(local, widths, usual_interval(&rows.times));
    while more {
        reader.take(&rows.times, &rows.columns);
        more = rows.next_block()?;
    }
    rows.check()?;
    let tally = rows.tally;
    drop(rows);
    let digest: String = hasher.borrow().clone().finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    let (scale, unit) = wanted
        .first()
        .map(|own| (own.channel, own.unit))
        .ok_or_else(|| LogProblem::new("job/log-column", "no channel is asked for"))?;
    reader.finish(Named { file, channel: name, scale, digest, unit, tally, questions })
}

/// The middle one of the times between neighbours, in s.
fn usual_interval(times: &[f64]) -> f64 {
    let mut apart: Vec<f64> = times.iter().skip(1).zip(times).map(|(later, earlier)| later - earlier).collect();
    apart.sort_by(f64::total_cmp);
    apart.get(apart.len() / 2).copied().unwrap_or(1.0)
}
