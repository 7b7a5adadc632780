//! The lines of a job, as they were typed. They are kept as text and read again where what they say is needed, which is
//! seldom: as trees they are several times their text. Taking a line back keeps it.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::source::SourceId;
use crate::syntax::parse_statement;
use crate::syntax::tree::Statement;

use super::ledger::{Ledger, Reader, write_signed, write_whole};
use super::stamp;

/// It was taken back.
const TAKEN_BACK: u8 = 1;
/// It takes back another.
const TAKES_BACK: u8 = 2;
/// What it says can't be read from its text; it is kept beside.
const BESIDE: u8 = 4;
/// Source and first byte follow.
const PLACED: u8 = 8;
/// A stamp follows: its moment and offset, or, with [`WORDS`], its text.
const STAMPED: u8 = 16;
/// The stamp is kept as text.
const WORDS: u8 = 32;

/// A statement as it was accepted.
#[derive(Clone, PartialEq, Debug)]
pub struct Line<'l> {
    /// As typed.
    pub text: &'l str,
    /// Whether a later `take back` took it back.
    pub taken_back: bool,
    /// Date, time and UTC offset, where a record says so.
    pub stamp: Option<String>,
    takes_back: bool,
    source: SourceId,
    start: usize,
    beside: Option<&'l Statement>,
}

impl<'l> Line<'l> {
    /// What it says; none if its text is none that can be read.
    pub fn statement(&self) -> Option<Cow<'l, Statement>> {
        match self.beside {
            Some(statement) => Some(Cow::Borrowed(statement)),
            None => parse_statement(self.source, self.start, self.text).ok().map(Cow::Owned),
        }
    }

    /// Whether it counts: it was not taken back, and is no `take back` itself.
    pub fn counts(&self) -> bool {
        !self.taken_back && !self.takes_back
    }
}

/// Every accepted line of a job, in order.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Lines {
    rows: Ledger,
    /// What some lines say, by their places.
    beside: BTreeMap<usize, Box<Statement>>,
}

impl Lines {
    /// How many.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The lines in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = Line<'_>> {
        (0..self.len()).filter_map(|at| self.get(at))
    }

    /// The line at that place, from 0.
    pub fn get(&self, at: usize) -> Option<Line<'_>> {
        let mut reader = Reader(self.rows.row(at)?);
        let flags = reader.byte()?;
        let (mut source, mut start) = (SourceId::default(), 0);
        if flags & PLACED != 0 {
            (source, start) = (SourceId(reader.whole()?.try_into().ok()?), reader.place()?);
        }
        let stamp = if flags & STAMPED != 0 { Some(read_stamp(&mut reader, flags)?) } else { None };
        Some(Line {
            text: std::str::from_utf8(reader.0).ok()?,
            taken_back: flags & TAKEN_BACK != 0,
            takes_back: flags & TAKES_BACK != 0,
            stamp,
            source,
            start,
            beside: self.beside.get(&at).map(Box::as_ref),
        })
    }

    /// The last line that still counts.
    pub(super) fn last_that_counts(&self) -> Option<usize> {
        let counts = |at: &usize| {
            self.rows.row(*at).and_then(<[u8]>::first).is_some_and(|flags| flags & (TAKEN_BACK | TAKES_BACK) == 0)
        };
        (0..self.len()).rev().find(counts)
    }

    /// Adds a line.
    pub(super) fn add(&mut self, text: &str, statement: Statement) {
        let span = match &statement {
            Statement::Entry(words) => Some(words.span),
            Statement::Setup(items) => items.first().map(|item| item.span),
            Statement::TakeBack(span) | Statement::ThatWas(_, span) => Some(*span),
            _ => None,
        };
        let begins = !text.is_empty() && !text.starts_with(char::is_whitespace);
        let mut flags = if matches!(statement, Statement::TakeBack(_)) { TAKES_BACK } else { 0 };
        let mut row = Vec::with_capacity(text.len() + 8);
        match span.filter(|_| begins) {
            Some(span) => {
                if (span.source, span.start) != (SourceId::default(), 0) {
                    flags |= PLACED;
                }
                row.push(flags);
                if flags & PLACED != 0 {
                    write_whole(&mut row, span.source.0.into());
                    write_whole(&mut row, span.start.into());
                }
            }
            None => {
                row.push(flags | BESIDE);
                self.beside.insert(self.len(), Box::new(statement));
            }
        }
        row.extend_from_slice(text.as_bytes());
        self.rows.add(&row);
    }

    /// Marks a line as taken back.
    pub(super) fn take_back(&mut self, at: usize) {
        let Some(row) = self.rows.row(at) else { return };
        let mut row = row.to_vec();
        if let Some(flags) = row.first_mut() {
            *flags |= TAKEN_BACK;
        }
        self.rows.put(at, &row);
    }

    /// Says when the last line was written.
    pub(super) fn stamp_last(&mut self, stamp: &str) {
        let Some(last) = self.len().checked_sub(1) else { return };
        let Some((flags, line)) = self.rows.row(last).and_then(|row| Some((*row.first()?, self.get(last)?))) else {
            return;
        };
        let mut row = vec![(flags | STAMPED) & !WORDS];
        if flags & PLACED != 0 {
            write_whole(&mut row, line.source.0.into());
            write_whole(&mut row, line.start as u128);
        }
        write_stamp(&mut row, stamp);
        row.extend_from_slice(line.text.as_bytes());
        self.rows.put(last, &row);
    }

    /// Takes the last line away, as if it had never been.
    pub(super) fn drop_last(&mut self) {
        self.rows.drop_last();
        self.beside.remove(&self.len());
    }

    /// The first so many.
    #[must_use]
    pub(super) fn first(&self, count: usize) -> Self {
        let mut rows = self.rows.clone();
        rows.keep_first(count);
        Self { rows, beside: self.beside.range(..count).map(|(at, said)| (*at, said.clone())).collect() }
    }
}

/// A stamp as its moment and offset in minutes where it can be written again from them, else as it is.
fn write_stamp(row: &mut Vec<u8>, words: &str) {
    match stamp::packed(words) {
        Some((moment, offset)) => {
            write_signed(row, moment.into());
            write_signed(row, offset.into());
        }
        None => {
            if let Some(flags) = row.first_mut() {
                *flags |= WORDS;
            }
            write_whole(row, words.len() as u128);
            row.extend_from_slice(words.as_bytes());
        }
    }
}

fn read_stamp(reader: &mut Reader<'_>, flags: u8) -> Option<String> {
    if flags & WORDS == 0 {
        return stamp::unpacked(reader.signed()?.try_into().ok()?, reader.signed()?.try_into().ok()?);
    }
    let length = reader.place()?;
    let (words, rest) = reader.0.split_at_checked(length)?;
    reader.0 = rest;
    Some(std::str::from_utf8(words).ok()?.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_what_was_entered_with_its_place_and_stamp() {
        let said = [
            (0, "with hot, without swapped"),
            (70, "r1 = 4.20 V ± 0.1 V with hot"),
            (1_000_000, "that was with hot"),
            (3, "take back"),
            (9, "meter \"bench 2\" V 0.5 % + 2 digits of 0.01 V"),
            (0, "complaint \"it does not cool\""),
            (17, "repaired f0"),
        ];
        let stamps =
            ["2026-11-25 10:12:03 +01:00", "some day", "", "2026-11-25 10:12:60 -03:30", "2024-02-29 23:59:59 -00:00"];
        let mut lines = Lines::default();
        let mut wanted = Vec::new();
        for (nth, (base, text)) in said.into_iter().enumerate() {
            let statement = parse_statement(SourceId(nth as u32 % 2), base, text).unwrap();
            lines.add(text, statement.clone());
            let stamp = stamps.get(nth).copied();
            stamp.iter().for_each(|stamp| lines.stamp_last(stamp));
            wanted.push((text, statement, stamp));
        }
        lines.take_back(1);
        for (at, (text, statement, stamp)) in wanted.iter().enumerate() {
            let line = lines.get(at).unwrap();
            assert_eq!((line.text, line.stamp.as_deref(), line.taken_back), (*text, *stamp, at == 1));
            assert_eq!(line.statement().as_deref(), Some(statement), "{text}");
        }
        assert_eq!(lines.last_that_counts(), Some(6));
        assert_eq!(lines.first(5).iter().collect::<Vec<_>>(), lines.iter().take(5).collect::<Vec<_>>());
        lines.drop_last();
        assert_eq!((lines.len(), lines.beside.len(), lines.first(5).last_that_counts()), (6, 2, Some(4)));
    }
}
