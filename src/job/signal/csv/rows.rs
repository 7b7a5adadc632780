//! The rows of a log as blocks of samples. Rows that can't be used are counted, each kind with its first line; nothing is
//! guessed.

use std::io::{BufRead, BufReader, Read};

use super::cells::each_cell;
use super::layout::Layout;
use super::number::{Cell, number};
use super::time::{DAY, TimeForm, time};
use super::{LONGEST_LINE, LogProblem, MOST_COLUMNS};

/// Samples of a block.
const BLOCK: usize = 4_096;

/// A channel to read: its column, and what turns its numbers to base units.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Channel {
    /// The column, from 0.
    pub column: usize,
    /// Base units in 1 of its unit.
    pub factor: f64,
    /// The base value at its unit's nought.
    pub offset: f64,
}

/// What was read and what could not be: counts, each with the first line it happened at.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Samples with a time.
    pub samples: u64,
    /// Samples at which a channel that was asked for holds nothing (blank, NaN), and the first such line.
    pub missing: (u64, u64),
    /// Rows with fewer cells than needed.
    pub short: (u64, u64),
    /// Rows whose time can't be read.
    pub untimed: (u64, u64),
    /// Rows whose time is that of the row before.
    pub repeated: (u64, u64),
    /// Rows whose time lies before that of a row above.
    pub backward: (u64, u64),
    /// Rows with a cell that is no number.
    pub unreadable: (u64, u64),
    /// Whether the last line was not finished and is set aside.
    pub torn: bool,
}

impl Tally {
    /// Rows that were skipped, whatever for.
    pub fn skipped(&self) -> u64 {
        self.short.0 + self.untimed.0 + self.repeated.0 + self.backward.0 + self.unreadable.0
    }
}

fn add(count: &mut (u64, u64), line: u64) {
    if count.0 == 0 {
        count.1 = line;
    }
    count.0 += 1;
}

/// What one row comes to.
enum Row {
    Sample(f64),
    Short,
    Untimed,
    Unreadable,
    Blank,
}

/// Rows being read.
pub struct Rows<'l, R: Read> {
    reader: BufReader<R>,
    layout: &'l Layout,
    channels: &'l [Channel],
    /// The channel of each column up to the last that is needed.
    places: Vec<Vec<usize>>,
    line: Vec<u8>,
    number: u64,
    origin: Option<f64>,
    last: f64,
    days: f64,
    row: Vec<f64>,
    /// Times of the block in s since the first sample of the log, and its columns, one a channel.
    pub times: Vec<f64>,
    /// The columns of the block, in base units.
    pub columns: Vec<Vec<f64>>,
    /// What was read so far.
    pub tally: Tally,
}

impl<'l, R: Read> Rows<'l, R> {
    /// Reads these channels.
    pub fn new(reader: R, layout: &'l Layout, channels: &'l [Channel]) -> Self {
        let time = layout.time.map_or(0, |(column, _)| column + 1);
        let needed = channels.iter().map(|channel| channel.column + 1).fold(time, usize::max);
        let mut places = vec![Vec::new(); needed];
        for (nth, channel) in channels.iter().enumerate() {
            if let Some(place) = places.get_mut(channel.column) {
                place.push(nth);
            }
        }
        Self {
            reader: BufReader::with_capacity(1 << 16, reader),
            layout,
            channels,
            places,
            line: Vec::new(),
            number: 0,
            origin: None,
            last: f64::NEG_INFINITY,
            days: 0.0,
            row: vec![f64::NAN; channels.len()],
            times: Vec::with_capacity(BLOCK),
            columns: vec![Vec::with_capacity(BLOCK); channels.len()],
            tally: Tally::default(),
        }
    }

    /// Reads the next block; `false` at the end.
    ///
    /// # Errors
    /// The system says no, or a line is too long.
    pub fn next_block(&mut self) -> Result<bool, LogProblem> {
        self.times.clear();
        self.columns.iter_mut().for_each(Vec::clear);
        while self.times.len() < BLOCK {
            if !self.next_line()? {
                break;
            }
            self.number += 1;
            if self.number == 1 && self.line.starts_with(b"\xEF\xBB\xBF") {
                self.line.drain(..3);
            }
            if self.number > self.layout.skip as u64 {
                self.sample()?;
            }
        }
        Ok(!self.times.is_empty())
    }

    /// Reads a line into `self.line`; `false` at the end.
    fn next_line(&mut self) -> Result<bool, LogProblem> {
        self.line.clear();
        loop {
            let buffer = self.reader.fill_buf().map_err(|error| {
                LogProblem::new("job/log-unreadable", format!("it can't be read to its end: {error}"))
            })?;
            if buffer.is_empty() {
                return Ok(!self.line.is_empty());
            }
            let end = memchr::memchr(b'\n', buffer);
            let taken = end.unwrap_or(buffer.len());
            if self.line.len() + taken > LONGEST_LINE {
                return Err(LogProblem::new(
                    "job/log-long-line",
                    format!("line {} is longer than {} MB", self.number + 1, LONGEST_LINE >> 20),
                )
                .help("a log holds one sample a line; this may be another kind of file"));
            }
            self.line.extend_from_slice(buffer.get(..taken).unwrap_or_default());
            self.reader.consume(taken + usize::from(end.is_some()));
            if end.is_some() {
                if self.line.last() == Some(&b'\r') {
                    self.line.pop();
                }
                return Ok(true);
            }
        }
    }

    fn at_end(&mut self) -> bool {
        self.reader.fill_buf().is_ok_and(<[u8]>::is_empty)
    }

    fn sample(&mut self) -> Result<(), LogProblem> {
        let line = self.number;
        match self.parse_row() {
            Row::Blank => Ok(()),
            Row::Sample(time) => self.push(time),
            Row::Short | Row::Untimed if self.at_end() => {
                self.tally.torn = true;
                Ok(())
            }
            Row::Short => self.skip(|tally| &mut tally.short, line),
            Row::Untimed => self.skip(|tally| &mut tally.untimed, line),
            Row::Unreadable => self.skip(|tally| &mut tally.unreadable, line),
        }
    }

    fn skip(&mut self, which: fn(&mut Tally) -> &mut (u64, u64), line: u64) -> Result<(), LogProblem> {
        add(which(&mut self.tally), line);
        let seen = self.tally.samples + self.tally.skipped();
        if self.tally.skipped() * 2 > seen && seen > 1_000 {
            return Err(self.hopeless());
        }
        Ok(())
    }

    fn hopeless(&self) -> LogProblem {
        let skipped = self.tally.skipped();
        let all = skipped + self.tally.samples;
        LogProblem::new("job/log-hopeless", format!("{skipped} of its first {all} rows can't be used"))
            .help("check separator, decimal mark and time column, and tell them: `separator \";\"`, `decimal comma`, `time column 1 in ms`")
    }

    /// Whether so few rows could be used that the log says nothing.
    ///
    /// # Errors
    /// More than half of the rows were skipped.
    pub fn check(&self) -> Result<(), LogProblem> {
        if self.tally.skipped() > self.tally.samples { Err(self.hopeless()) } else { Ok(()) }
    }

    fn parse_row(&mut self) -> Row {
        let line = self.line.as_slice();
        if line.trim_ascii().is_empty() || line.starts_with(b"#") {
            return Row::Blank;
        }
        self.row.fill(f64::NAN);
        let (layout, channels, places, row) = (self.layout, self.channels, &self.places, &mut self.row);
        let (mut at, mut readable, mut seen) = (None, true, 0);
        each_cell(line, layout.separator, |column, cell| {
            seen = column + 1;
            if let Some((time_column, form)) = layout.time
                && column == time_column
            {
                at = time(cell, form, layout.comma);
            }
            for nth in places.get(column).into_iter().flatten() {
                let (Some(channel), Some(place)) = (channels.get(*nth), row.get_mut(*nth)) else { continue };
                match number(cell, layout.comma) {
                    Cell::Number(value) => *place = value * channel.factor + channel.offset,
                    Cell::Missing => {}
                    Cell::Other => readable = false,
                }
            }
            seen < places.len() && seen < MOST_COLUMNS
        });
        match (seen < places.len(), layout.time, at) {
            (true, ..) => Row::Short,
            (_, Some(_), None) => Row::Untimed,
            _ if !readable => Row::Unreadable,
            (_, None, _) => Row::Sample(self.tally.samples as f64 * layout.every),
            (_, _, Some(at)) => Row::Sample(at),
        }
    }

    fn push(&mut self, time: f64) -> Result<(), LogProblem> {
        let line = self.number;
        let clock = matches!(self.layout.time, Some((_, TimeForm::Clock)));
        let mut time = time + self.days;
        if clock && self.last.is_finite() && time < self.last - DAY / 2.0 + self.origin.unwrap_or(0.0) {
            self.days += DAY;
            time += DAY;
        }
        let origin = *self.origin.get_or_insert(time);
        let time = time - origin;
        if time <= self.last {
            if time == self.last {
                return self.skip(|tally| &mut tally.repeated, line);
            }
            return self.skip(|tally| &mut tally.backward, line);
        }
        self.last = time;
        self.tally.samples += 1;
        if self.row.iter().any(|value| value.is_nan()) {
            add(&mut self.tally.missing, line);
        }
        self.times.push(time);
        self.columns.iter_mut().zip(&self.row).for_each(|(column, value)| column.push(*value));
        Ok(())
    }
}
