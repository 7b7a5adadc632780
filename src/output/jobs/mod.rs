//! Many jobs at once: each in a few facts, how often which fault was proved and repaired, which parts were replaced that
//! proved good. Values to values; where the records lie is the command line's affair.

pub mod listing;
mod tally;
pub mod text;

use schemars::JsonSchema;
use serde::Serialize;

use crate::book::{Book, FaultId};
use crate::job::Job;
use crate::job::record::{Header, Record};
use crate::job::stamp::{self, worked};
use crate::output::judgement_json::outcome_word;
use crate::output::words::Wording;
use crate::reasoning::Verdict;
use crate::reasoning::history::{Came, Course};

pub use tally::{FaultTally, Tally, VainPart, tally};

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/jobs/1";

/// One repair of a job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JobRepair {
    /// The fault that was repaired.
    pub fault: String,
    /// The part at fault, where the book names one.
    pub part: Option<String>,
    /// Whether it was proved before.
    pub proved: bool,
    /// `verified`, `not_verified`, `in_vain`.
    pub came: &'static str,
    /// The same in words.
    pub words: String,
}

/// One job in a few facts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JobFacts {
    /// Its file.
    pub file: String,
    /// Which vehicle.
    pub vehicle: Option<String>,
    /// Day of its first line.
    pub begun: Option<String>,
    /// Day of its last line.
    pub ended: Option<String>,
    /// Minutes worked by its stamps, gaps over 30 min left out.
    pub minutes: Option<i64>,
    /// The complaints: as the book names them, else the customer's words.
    pub complaints: Vec<String>,
    /// Faults proved at its end.
    pub proved: Vec<String>,
    /// Its repairs.
    pub repairs: Vec<JobRepair>,
    /// As of `judge`: `proved`, `open`, …
    pub outcome: &'static str,
    /// Whether it is done.
    pub done: bool,
    /// The book's title.
    pub book: String,
    /// What the record suffers from, another state of its book included.
    pub remarks: Vec<String>,
}

/// A file that could not be listed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BadFile {
    /// Its path.
    pub file: String,
    /// Why: lower case, no full stop.
    pub why: String,
}

/// The whole answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JobList {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The jobs that were asked for, oldest first.
    pub jobs: Vec<JobFacts>,
    /// What they come to together.
    pub tally: Tally,
    /// Files that could not be listed.
    pub bad: Vec<BadFile>,
}

impl JobList {
    /// The list of some jobs.
    pub fn of(mut jobs: Vec<JobFacts>, bad: Vec<BadFile>) -> Self {
        jobs.sort_by(|a, b| (&a.begun, &a.file).cmp(&(&b.begun, &b.file)));
        let tally = tally(&jobs);
        Self { schema: SCHEMA, jobs, tally, bad }
    }
}

/// Day of the first and of the last line of a record.
pub fn days(record: &Record) -> (Option<&str>, Option<&str>) {
    let day = |line: &crate::job::record::Stamped| stamp::moment(&line.stamp).is_some();
    let mut stamps = record.lines.iter().filter(|line| day(line)).filter_map(|line| line.stamp.get(..10));
    let first = stamps.next();
    (first, stamps.next_back().or(first))
}

/// A played record in a few facts.
pub fn facts(file: &str, record: &Record, book: &Book, job: &Job, course: &Course, remarks: Vec<String>) -> JobFacts {
    let wording = Wording { book, job };
    let (begun, ended) = days(record);
    let name = |fault: FaultId| book.fault(fault).name.clone();
    let minutes = worked(record.lines.iter().map(|line| line.stamp.as_str())).map(|sum| (sum.seconds + 30) / 60);
    JobFacts {
        file: file.to_string(),
        vehicle: record.header.vehicle.clone(),
        begun: begun.map(str::to_string),
        ended: ended.map(str::to_string),
        minutes,
        complaints: complaints(book, job),
        proved: course.last.with(Verdict::Proved).map(name).collect(),
        repairs: course.stages.iter().map(|stage| repair(&wording, stage)).collect(),
        outcome: outcome_word(course.last.outcome),
        done: !job.repairs.is_empty() && wording.open_ends(&course.last).is_empty(),
        book: book.title.clone(),
        remarks: other_state(&record.header, book).into_iter().chain(remarks).collect(),
    }
}

fn complaints(book: &Book, job: &Job) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for entered in &job.complaints {
        let name = &book.complaint(entered.complaint).name;
        if !all.contains(name) {
            all.push(name.clone());
        }
    }
    if all.is_empty() { job.customer_words.clone() } else { all }
}

fn repair(wording: &Wording<'_>, stage: &crate::reasoning::history::Stage) -> JobRepair {
    let declared = wording.book.fault(stage.fault);
    let proved = stage.judgement.of(stage.fault).is_some_and(|found| found.verdict == Verdict::Proved);
    let came = match stage.came {
        Came::Verified => "verified",
        Came::NotVerified => "not_verified",
        Came::InVain(_) => "in_vain",
    };
    JobRepair {
        fault: declared.name.clone(),
        part: declared.part.map(|part| wording.book.part(part).name.clone()),
        proved,
        came,
        words: wording.came(stage),
    }
}

/// Said where the book is no longer what the record was made with.
fn other_state(header: &Header, book: &Book) -> Option<String> {
    if header.digest.is_empty() || header.digest == book.digest.hex() {
        return None;
    }
    let revision =
        |revision: &Option<String>| revision.clone().map_or("no revision".into(), |r| format!("revision {r}"));
    let (then, now) = (revision(&header.revision), revision(&book.revision));
    Some(format!("recorded with another state of the book ({then}; now {now}); judged with what still fits"))
}
