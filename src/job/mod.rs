//! What a technician enters: the setup of each moment, entries taken under it, complaints, repairs. [`Job`] is a
//! value that knows no file; [`record`] is its text, [`journal`] keeps that on disk.

mod entries;
pub mod entry;
pub mod journal;
mod notice;
mod perform;
pub use perform::{decides_nothing, set_up, set_words, setup_words};
pub mod record;
pub mod signal;
pub mod stamp;

use std::borrow::Cow;

use crate::book::{Book, ComplaintId, FaultId, IndicationId, Setup};
use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::parse_statement;
use crate::syntax::tree::{Name, Statement, Value};
use crate::units::functions::Surroundings;
use crate::units::{Accuracy, Dimension, Exact};

pub use entries::Entries;
pub use entry::{Entry, EntryId, EntryValue};
pub use notice::{Notice, NoticeKind};
pub use signal::{LogSource, Logs, Recording};

/// A name that the book doesn't have, told to someone who can't declare it: the nearest ones, or what there is.
pub fn unknown<'a>(name: &Name, wanted: &str, known: impl Iterator<Item = &'a str> + Clone) -> Problem {
    let near = did_you_mean(&name.text, known.clone());
    let some: Vec<&str> = known.clone().take(4).collect();
    let list = match (some.is_empty(), known.count() > some.len()) {
        (true, _) => format!("it has no {wanted} at all"),
        (false, true) => format!("it has `{}` and others; Tab completes names", some.join("`, `")),
        (false, false) => format!("it has `{}`", some.join("`, `")),
    };
    Problem::error("job/unknown-name", name.span, format!("this book has no {wanted} `{}`", name.text))
        .help(near.unwrap_or(list))
}

/// A statement as it was accepted.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// As typed.
    pub text: String,
    said: Said,
    /// Whether a later `take back` took it back.
    pub taken_back: bool,
    /// Date, time and UTC offset, where a record says so.
    pub stamp: Option<String>,
}

/// What a line says.
#[derive(Clone, PartialEq, Debug)]
enum Said {
    /// As it was read.
    Whole(Box<Statement>),
    /// To be read again where it is needed, which is seldom: most lines of a long job are entries and setups, and as trees
    /// they are several times their text. It begins there.
    Again(Span),
}

impl Line {
    fn new(text: &str, statement: Statement) -> Self {
        let span = match &statement {
            Statement::Entry(words) => Some(words.span),
            Statement::Setup(items) => items.first().map(|item| item.span),
            _ => None,
        };
        let begins = !text.is_empty() && !text.starts_with(char::is_whitespace);
        let said = match span.filter(|_| begins) {
            Some(span) => Said::Again(Span { end: span.start, ..span }),
            None => Said::Whole(Box::new(statement)),
        };
        Self { text: text.to_string(), said, taken_back: false, stamp: None }
    }

    /// What it says; none if its text is none that can be read.
    pub fn statement(&self) -> Option<Cow<'_, Statement>> {
        match &self.said {
            Said::Whole(statement) => Some(Cow::Borrowed(statement)),
            Said::Again(span) => parse_statement(span.source, span.start as usize, &self.text).ok().map(Cow::Owned),
        }
    }

    fn is_take_back(&self) -> bool {
        matches!(&self.said, Said::Whole(statement) if matches!(**statement, Statement::TakeBack(_)))
    }
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
    pub lines: Vec<Line>,
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
    /// How to undo the latest lines, by line.
    undo: Vec<(usize, Undo)>,
}

/// How to undo a line without playing all others again.
#[derive(Clone, PartialEq, Debug)]
enum Undo {
    /// It set up something: the setup before.
    Setup(Setup),
    /// It made the latest entry.
    Entry,
    /// It restamped the latest entry, which was this before.
    Restamp(Box<Entry>),
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
            let last = self.lines.iter().rposition(|line| !line.taken_back && !line.is_take_back());
            let Some(last) = last else {
                return Err(vec![Problem::error("job/nothing-to-take-back", span, "there is nothing to take back")]);
            };
            let said = self.lines.get(last).map(|line| line.text.clone()).unwrap_or_default();
            if let Some(line) = self.lines.get_mut(last) {
                line.taken_back = true;
            }
            self.lines.push(Line::new(text, statement));
            if !self.undo(book, last) {
                self.rebuild(book);
            }
            return Ok(vec![Notice::new(NoticeKind::TakenBack, format!("taken back: {said}"))]);
        }
        // What can't be taken is refused before anything is changed.
        let notices = self.perform(book, &statement, self.lines.len())?;
        self.lines.push(Line::new(text, statement));
        Ok(notices)
    }

    /// Says when the last line was written.
    pub fn stamp_last(&mut self, stamp: &str) {
        if let Some(line) = self.lines.last_mut() {
            line.stamp = Some(stamp.to_string());
        }
    }

    /// When a line was written, where a record says so.
    pub fn stamp_of(&self, line: usize) -> Option<&str> {
        self.lines.get(line)?.stamp.as_deref()
    }

    /// Plays all lines that count again, for example against another revision of the book. What no longer fits is
    /// returned with its line number.
    pub fn rebuild(&mut self, book: &Book) -> Vec<(usize, Vec<Problem>)> {
        let lines = std::mem::take(&mut self.lines);
        *self = Job::with_logs(book, std::mem::take(&mut self.logs));
        let mut misfits = Vec::new();
        for (number, line) in lines.iter().enumerate() {
            if line.taken_back || line.is_take_back() {
                continue;
            }
            let Some(statement) = line.statement() else { continue };
            if let Err(problems) = self.perform(book, &statement, number) {
                misfits.push((number, problems));
            }
        }
        self.lines = lines;
        misfits
    }

    /// The job as it stood before a line.
    #[must_use]
    pub fn before(&self, book: &Book, line: usize) -> Self {
        let mut earlier = Self {
            lines: self.lines.get(..line).unwrap_or(&self.lines).to_vec(),
            ..Self::with_logs(book, self.logs.clone())
        };
        earlier.rebuild(book);
        earlier
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

    /// Undoes the latest line that counts, if it is that one and can be undone by itself.
    fn undo(&mut self, book: &Book, line: usize) -> bool {
        let Some((_, undo)) = self.undo.pop_if(|(at, _)| *at == line) else { return false };
        match undo {
            Undo::Setup(before) => self.setup = before,
            Undo::Entry => self.entries.forget(),
            Undo::Restamp(before) => self.put_latest(book, *before),
        }
        true
    }

    /// Puts another entry in place of the latest.
    fn put_latest(&mut self, book: &Book, entry: Entry) {
        self.entries.forget();
        self.entries.add(book, entry);
    }

    /// The entries of an epoch that count, the latest under each setup, in order.
    pub fn live(&self, epoch: usize) -> &[EntryId] {
        self.entries.live(epoch)
    }

    /// The entry of that id.
    pub fn entry(&self, id: EntryId) -> Option<&Entry> {
        self.entries.get(id.place())
    }
}
