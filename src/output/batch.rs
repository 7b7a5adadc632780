//! What many jobs come to, a line each: for people, as JSON, as a table.

use std::fmt::{self, Write};

use serde::Serialize;

use crate::batch::{Judged, Way};
use crate::book::{Book, FaultId};
use crate::reasoning::Outcome;

use super::clean;
use super::judgement_json::outcome_word;
use super::words::counted;

/// A job that was judged, or could not be.
#[derive(Clone, Debug)]
pub struct Done {
    /// Where it stands: `row 7`, `line 7`, a file's name.
    pub place: String,
    /// Its own name; the number of its row if it has none.
    pub name: String,
    /// What it comes to, or why it could not be taken.
    pub result: Result<Judged, String>,
}

/// How answers are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// For people.
    Text,
    /// An object a line.
    Ndjson,
    /// A table.
    Csv,
}

/// One answer as JSON.
#[derive(Serialize)]
struct JsonDone<'a> {
    job: &'a str,
    outcome: &'static str,
    proved: Vec<&'a str>,
    open: Vec<&'a str>,
    conflict: Vec<&'a str>,
}

impl Form {
    /// What comes before the first answer.
    pub fn head(self) -> String {
        if self == Form::Csv { "job,outcome,proved,open,conflict\n".into() } else { String::new() }
    }

    /// Writes one answer.
    pub fn write(self, page: &mut String, book: &Book, done: &Done, judged: &Judged) {
        let standing = &judged.standing;
        let names = |faults: &mut dyn Iterator<Item = FaultId>| -> Vec<&str> {
            faults.map(|fault| book.fault(fault).name.as_str()).collect()
        };
        let answer = JsonDone {
            job: &done.name,
            outcome: outcome_word(standing.outcome),
            proved: names(&mut standing.proved()),
            open: names(&mut standing.open()),
            conflict: names(&mut standing.conflict()),
        };
        match self {
            Form::Ndjson => {
                let line = serde_json::to_string(&answer).unwrap_or_default();
                page.push_str(&line);
                page.push('\n');
            }
            Form::Csv => {
                let lists = [&answer.proved, &answer.open, &answer.conflict].map(|list| quoted(&list.join("; ")));
                let _ = writeln!(page, "{},{},{}", quoted(answer.job), answer.outcome, lists.join(","));
            }
            Form::Text => {
                let _ = writeln!(page, "{}: {}", clean(answer.job), said(standing.outcome, &answer));
            }
        }
    }
}

/// The outcome in a line.
fn said(outcome: Outcome, answer: &JsonDone<'_>) -> String {
    match outcome {
        Outcome::Proved => format!("{} proved", answer.proved.join(", ")),
        Outcome::OnlyOneLeft => format!("{} is the only one left, not proved", answer.open.join(", ")),
        Outcome::Open if answer.open.len() > 4 => format!("{} open", counted(answer.open.len(), "fault", "faults")),
        Outcome::Open => format!("open: {}", answer.open.join(", ")),
        Outcome::Conflict => format!("conflict over {}", answer.conflict.join(", ")),
        Outcome::NoFaultSeen => "no fault seen".into(),
        Outcome::NotCoveredOrWrongEntry => "an entry is wrong, or this book does not cover it".into(),
    }
}

/// A cell of a table, quoted where it must be (RFC 4180); one that a spreadsheet would reckon out begins with an apostrophe.
fn quoted(cell: &str) -> String {
    let cell = if cell.starts_with(['=', '+', '-', '@']) { format!("'{cell}") } else { cell.to_string() };
    if cell.contains([',', '"', '\n', '\r']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
}

/// How many jobs came to what.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Judged as whole numbers.
    pub flat: usize,
    /// Judged one by one.
    pub one_by_one: usize,
    /// Not taken.
    pub skipped: usize,
}

impl Tally {
    /// Counts one.
    pub fn count(&mut self, done: &Done) {
        match done.result.as_ref().map(|judged| judged.way) {
            Ok(Way::Flat) => self.flat += 1,
            Ok(Way::OneByOne) => self.one_by_one += 1,
            Err(_) => self.skipped += 1,
        }
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let judged = counted(self.flat + self.one_by_one, "job", "jobs");
        write!(f, "{judged} judged, {} of them one by one; {} skipped", self.one_by_one, self.skipped)
    }
}
