//! What is left of a channel once its log was read: its extent, its extremes, its picture, the answers to what the book
//! asks. Its size does not depend on the log's.

use std::sync::Arc;

use crate::units::Unit;

use super::csv::{Channel, LogProblem};
use super::found::Answer;
use super::monitor::{Monitor, Watch};
use super::outline::Outline;
use super::predicate::{Block, Mark, Width};
use super::question::{Asks, Question};
use super::response::Response;

pub use super::csv::Tally;

/// One channel of a log.
#[derive(Clone, PartialEq, Debug)]
pub struct Recording {
    /// The log's file, as typed.
    pub file: String,
    /// The channel's name in the log.
    pub channel: String,
    /// The channel's column in the log, from 0.
    pub column: usize,
    /// What turns its numbers to base units.
    pub scale: Channel,
    /// The first 16 digits of the file's SHA-256, in hex.
    pub digest: String,
    /// The unit that it is shown in.
    pub unit: &'static Unit,
    /// How well it is read.
    pub width: Width,
    /// What was read and what could not be.
    pub tally: Tally,
    /// From the first sample to the last, in s.
    pub seconds: f64,
    /// The usual time between two samples, in s.
    pub interval: f64,
    /// The longest time between two samples, in s.
    pub widest: f64,
    /// How often samples lie further apart than [`GAP`] usual times.
    pub gaps: u64,
    /// The lowest value, in base units.
    pub low: f64,
    /// The highest.
    pub high: f64,
    /// Its picture.
    pub outline: Outline,
    /// The questions that were asked of the log, with their answers.
    pub answers: Vec<(Question, Answer)>,
    /// For a log that nobody took: whether it shows whatever is asked.
    pub supposed: Option<bool>,
}

impl Recording {
    /// A log that nobody took, to ask what it would say: it shows whatever is asked, or nothing.
    pub fn supposed(unit: &'static Unit, seen: bool) -> Self {
        Self {
            file: String::new(),
            channel: String::new(),
            column: 0,
            scale: Channel { column: 0, factor: 1.0, offset: 0.0 },
            digest: String::new(),
            unit,
            width: Width::default(),
            tally: Tally::default(),
            seconds: 0.0,
            interval: 0.0,
            widest: 0.0,
            gaps: 0,
            low: f64::NAN,
            high: f64::NAN,
            outline: Outline::default(),
            answers: Vec::new(),
            supposed: Some(seen),
        }
    }

    /// The answer to a question, if it was asked.
    pub fn answer(&self, question: &Question) -> Option<&Answer> {
        self.answers.iter().find(|(asked, _)| asked == question).map(|(_, answer)| answer)
    }

    /// Whether another channel is of the same log.
    pub fn same_log(&self, other: &Recording) -> bool {
        self.file == other.file && self.digest == other.digest
    }
}

/// Samples further apart than this many usual times leave a gap.
pub const GAP: f64 = 3.0;

/// A question that is being answered.
enum Watching {
    Episodes(Monitor, Vec<Mark>, Vec<f64>),
    Always(Monitor, Vec<Mark>, Vec<f64>),
    Response(Response, Vec<Mark>, Vec<Mark>),
}

/// Reads one channel and answers questions on it (and on other channels of the same log), block by block.
pub struct Reader {
    questions: Vec<Question>,
    watching: Vec<Watching>,
    widths: Vec<Width>,
    interval: f64,
    last: Option<f64>,
    widest: f64,
    gaps: u64,
    low: f64,
    high: f64,
    outline: Outline,
}

impl Reader {
    /// A reader for these questions; their channels are columns of the blocks. The channel itself is the first column.
    /// `interval` is the usual time between samples, in s.
    pub fn new(questions: Vec<Question>, widths: Vec<Width>, interval: f64) -> Self {
        let gap = GAP * interval;
        let watching = questions
            .iter()
            .map(|question| match &question.asks {
                Asks::Episodes(watch) => Watching::Episodes(Monitor::new(*watch, gap), Vec::new(), Vec::new()),
                Asks::Always => {
                    let watch = Watch { lasting: 0.0, times: 1 };
                    Watching::Always(Monitor::new(watch, gap), Vec::new(), Vec::new())
                }
                Asks::Response { within, .. } => Watching::Response(Response::new(*within), Vec::new(), Vec::new()),
            })
            .collect();
        Self {
            questions,
            watching,
            widths,
            interval,
            last: None,
            widest: 0.0,
            gaps: 0,
            low: f64::INFINITY,
            high: f64::NEG_INFINITY,
            outline: Outline::new(interval),
        }
    }

    /// Takes a block; times in s from the first sample of the log on, rising.
    pub fn take(&mut self, times: &[f64], columns: &[Vec<f64>]) {
        let block = Block { times, columns, widths: &self.widths };
        for (question, watching) in self.questions.iter().zip(&mut self.watching) {
            match watching {
                Watching::Episodes(monitor, marks, values) => {
                    question.what.marks(block, marks);
                    question.what.subject(block, values);
                    monitor.take(times, marks, values);
                }
                Watching::Always(monitor, marks, values) => {
                    question.what.marks(block, marks);
                    marks.iter_mut().for_each(|mark| *mark = mark.turned());
                    question.what.subject(block, values);
                    monitor.take(times, marks, values);
                }
                Watching::Response(response, begins, awaited) => {
                    if let Asks::Response { after, .. } = &question.asks {
                        after.marks(block, begins);
                        question.what.marks(block, awaited);
                        response.take(times, begins, awaited);
                    }
                }
            }
        }
        self.extent(times, columns.first().map_or(&[], Vec::as_slice));
    }

    fn extent(&mut self, times: &[f64], values: &[f64]) {
        for (time, value) in times.iter().zip(values).filter(|(_, value)| !value.is_nan()) {
            if let Some(last) = self.last {
                let apart = time - last;
                self.widest = self.widest.max(apart);
                self.gaps += u64::from(super::longer(apart, GAP * self.interval));
            }
            self.last = Some(*time);
            self.low = self.low.min(*value);
            self.high = self.high.max(*value);
        }
        self.outline.take(times, values);
    }

    /// The recording once all blocks are taken.
    ///
    /// # Errors
    /// There is no sample at all.
    pub fn finish(self, own: Named) -> Result<Arc<Recording>, LogProblem> {
        let Some(seconds) = self.last else {
            return Err(LogProblem::new("job/log-empty", format!("channel `{}` holds no number", own.channel))
                .help("name another channel; the log may hold only blanks there"));
        };
        let answers = self.watching.into_iter().map(|watching| match watching {
            Watching::Episodes(monitor, ..) => monitor.answer(),
            Watching::Always(monitor, ..) => {
                let answer = monitor.answer();
                Answer { holds: answer.holds.map(|ever| !ever), ..answer }
            }
            Watching::Response(response, ..) => response.answer(),
        });
        Ok(Arc::new(Recording {
            file: own.file,
            channel: own.channel,
            column: own.scale.column,
            scale: own.scale,
            digest: own.digest,
            unit: own.unit,
            width: self.widths.first().copied().unwrap_or_default(),
            tally: own.tally,
            seconds,
            interval: self.interval,
            widest: self.widest,
            gaps: self.gaps,
            low: self.low,
            high: self.high,
            outline: self.outline,
            answers: own.questions.into_iter().zip(answers).collect(),
            supposed: None,
        }))
    }
}

/// What a recording is called, and the questions by columns of the log.
pub struct Named {
    /// The log's file, as typed.
    pub file: String,
    /// The channel's name.
    pub channel: String,
    /// Its column in the log, and what turns its numbers to base units.
    pub scale: Channel,
    /// Digest of the file.
    pub digest: String,
    /// Its unit.
    pub unit: &'static Unit,
    /// What was read.
    pub tally: Tally,
    /// The questions, their channels columns of the log.
    pub questions: Vec<Question>,
}
