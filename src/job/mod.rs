//! What a technician enters: the setup of each moment, entries taken under it, complaints, repairs. [`Job`] is a
//! value that knows no file; [`record`] is its text, [`journal`] keeps that on disk.

mod entries;
pub mod entry;
pub mod journal;
mod ledger;
mod lines;
mod notice;
mod packed;
mod perform;
pub use perform::{decides_nothing, set_up, set_words, setup_words};
pub mod record;
pub mod signal;
pub mod stamp;
mod undo;

use std::borrow::Cow;

use crate::book::{Book, ComplaintId, FaultId, IndicationId, Setup};
use crate::problem::{Problem, did_you_mean, nearest_first};
use crate::syntax::tree::{Name, Statement, Value};
use crate::units::functions::Surroundings;
use crate::units::{Accuracy, Dimension, Exact};

pub use entries::Entries;
pub use entry::{Entry, EntryId, EntryValue};
pub use lines::{Line, Lines};
pub use notice::{Notice, NoticeKind};
pub use signal::{LogSource, Logs, Recording};

use undo::Undo;

/// A name that the book doesn't have, told to someone who can't declare it: the nearest ones, or what there is.
pub fn unknown<'a>(name: &Name, wanted: &str, known: impl Iterator<Item = &'a str> + Clone) -> Problem {
    let near = did_you_mean(&name.text, known.clone());
    let all: Vec<&str> = known.collect();
    let some: Vec<&str> = nearest_first(&name.text, &all).into_iter().take(4).collect();
    let list = match (some.is_empty(), all.len() > some.len()) {
        (true, _) => format!("it has no {wanted} at all"),
        (false, true) => format!("it has `{}` and others; Tab completes names", some.join("`, `")),
        (false, false) => format!("it has `{}`", some.join("`, `")),
    };
    Problem::error("job/unknown-name", name.span, format!("this book has no {wanted} `{}`", name.text))
        .help(near.unwrap_or(list))
}

/// A declared complaint that was entered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EnteredComplaint {
    /// Which.
    pub complaint: ComplaintId,
    /// Its line.
    pub line: usize,
    /// How many repairs came before.
    pub epoch: usize,
}

/// A repair that was done.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Repair {
    /// Of which fault.
    pub fault: FaultId,
    /// Its line.
    pub line: usize,
}

/// A meter in use.
#[derive(Clone, PartialEq, Debug)]
pub struct MeterInUse {
    /// Its name, if it has one.
    pub name: Option<String>,
    /// For readings of that dimension.
    pub dimension: Dimension,
    /// How well it reads.
    pub accuracy: Accuracy,
}

/// A job: what was entered so far and what follows from it at this moment.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Job {
    /// Every accepted line, taken back or not.
    pub lines: Lines,
    /// How the vehicle stands.
    pub setup: Setup,
    /// Entries in force, in order; those before a repair are history.
    pub entries: Entries,
    /// Declared complaints.
    pub complaints: Vec<EnteredComplaint>,
    /// The customer's own words.
    pub customer_words: Vec<String>,
    /// Repairs in order.
    pub repairs: Vec<Repair>,
    /// Meters in use, latest last.
    pub meters: Vec<MeterInUse>,
    /// Tests that can't be done on this vehicle.
    pub unreachable: Vec<IndicationId>,
    /// The air around the vehicle.
    pub surroundings: Surroundings,
    /// Its temperature in K, if stated.
    pub ambient: Option<Exact>,
    /// The profile chosen in the job.
    pub profile: Option<String>,
    /// Where its logs come from.
    pub logs: LogSource,
    /// How to undo lines that did something else than making an entry, in order.
    undo: Vec<(usize, Undo)>,
}

impl Job {
    /// An empty job: every setting normal.
    pub fn new(book: &Book) -> Self {
        Self { setup: Setup::normal(&book.settings), ..Self::default() }
    }

    /// An empty job whose recorded signals come from `logs`.
    pub fn with_logs(book: &Book, logs: LogSource) -> Self {
        Self { logs, ..Self::new(book) }
    }

    /// Enters a statement. What it brings about is told; nothing changes where it can't be taken.
    ///
    /// # Errors
    /// Why it can't be taken.
    pub fn enter(&mut self, book: &Book, statement: Statement, text: &str) -> Result<Vec<Notice>, Vec<Problem>> {
        if let Statement::TakeBack(span) = statement {
            let last = self.lines.last_that_counts();
            let Some((last, line)) = last.and_then(|last| Some((last, self.lines.get(last)?))) else {
                return Err(vec![Problem::error("job/nothing-to-take-back", span, "there is nothing to take back")]);
            };
            let told = format!("taken back: {}", line.text);
            self.lines.take_back(last);
            self.lines.add(text, statement);
            if !self.undo(book, last) {
                self.rebuild(book);
            }
            return Ok(vec![Notice::new(NoticeKind::TakenBack, told)]);
        }
        // What can't be taken is refused before anything is changed.
        let notices = self.perform(book, &statement, self.lines.len())?;
        self.lines.add(text, statement);
        Ok(notices)
    }

    /// Forgets the last line, no `take back`, as if it had never been entered: it could not be kept.
    pub fn withdraw(&mut self, book: &Book) {
        let Some(last) = self.lines.len().checked_sub(1) else { return };
        self.lines.drop_last();
        if !self.undo(book, last) {
            self.rebuild(book);
        }
    }

    /// Says when the last line was written.
    pub fn stamp_last(&mut self, stamp: &str) {
        self.lines.stamp_last(stamp);
    }

    /// When a line was written, where a record says so.
    pub fn stamp_of(&self, line: usize) -> Option<String> {
        self.lines.get(line)?.stamp
    }

    /// Plays all lines that count again, for example against another revision of the book. What no longer fits is
    /// returned with its line number.
    pub fn rebuild(&mut self, book: &Book) -> Vec<(usize, Vec<Problem>)> {
        let lines = std::mem::take(&mut self.lines);
        *self = Job::with_logs(book, std::mem::take(&mut self.logs));
        let mut misfits = Vec::new();
        for (number, line) in lines.iter().enumerate().filter(|(_, line)| line.counts()) {
            misfits.extend(self.play(book, number, &line).err().map(|problems| (number, problems)));
        }
        self.lines = lines;
        misfits
    }

    /// Does what a line says, if it can be read.
    fn play(&mut self, book: &Book, number: usize, line: &Line<'_>) -> Result<(), Vec<Problem>> {
        line.statement().map_or(Ok(()), |statement| self.perform(book, &statement, number).map(drop))
    }

    /// The job as it stood before a line.
    #[must_use]
    pub fn before(&self, book: &Book, line: usize) -> Self {
        self.before_each(book, [line]).pop().unwrap_or_default()
    }

    /// The job as it stood before each of some lines, which go upward. Lines taken back later don't count in it.
    #[must_use]
    pub fn before_each(&self, book: &Book, lines: impl IntoIterator<Item = usize>) -> Vec<Self> {
        let mut job = Self::with_logs(book, self.logs.clone());
        let mut played = self.lines.iter().enumerate();
        let each = lines.into_iter().map(|line| {
            for (number, earlier) in
                played.by_ref().take(line.saturating_sub(job.lines.len())).filter(|(_, line)| line.counts())
            {
                // What doesn't fit the book was told when the job was played.
                let _ = job.play(book, number, &earlier);
            }
            job.lines = self.lines.first(line);
            job.clone()
        });
        each.collect()
    }

    /// A sentence as the record keeps it: a log with the digest that it has now, so that a change is noticed.
    pub fn kept_words(&self, line: &str, statement: &Statement) -> String {
        let Statement::Entry(words) = statement else { return line.to_string() };
        let Value::Log(log) = &words.value else { return line.to_string() };
        let recording = self.entries.last().and_then(|entry| entry.recording.as_ref());
        let end = log.file.span.end as usize;
        match (recording, log.digest.is_none(), line.get(..end), line.get(end..)) {
            (Some(recording), true, Some(before), Some(after)) => {
                format!("{before} digest \"{}\"{after}", recording.digest)
            }
            _ => line.to_string(),
        }
    }

    /// How many repairs were done: entries of earlier epochs are history.
    pub fn epoch(&self) -> usize {
        self.repairs.len()
    }

    /// The entries of an epoch that count, the latest under each setup, in order.
    pub fn live(&self, epoch: usize) -> &[EntryId] {
        self.entries.live(epoch)
    }

    /// The entry of that id, where it counts in its epoch or is the latest.
    pub fn entry(&self, id: EntryId) -> Option<&Entry> {
        self.entries.get(id)
    }

    /// The entry of that id, whether it counts or not.
    pub fn kept(&self, id: EntryId) -> Option<Cow<'_, Entry>> {
        self.entries.kept(id)
    }
}
