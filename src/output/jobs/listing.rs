//! Records listed by what they say themselves, without their books: thousands in the time that judging takes for a few.

use schemars::JsonSchema;
use serde::Serialize;

use crate::job::record::Record;
use crate::job::stamp::worked;
use crate::output::page::Page;
use crate::output::words::counted;
use crate::syntax::words::leading_words;

use super::{BadFile, days};

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/job-listing/1";

/// One record as it stands; nothing of it is judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ListedJob {
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
    /// The complaints as they were typed.
    pub complaints: Vec<String>,
    /// Faults that the technician entered as repaired; whether that was verified is for the judge to say.
    pub repaired: Vec<String>,
    /// The book that it names.
    pub book: String,
    /// Lines at which its chain breaks: a line there or before it was changed.
    pub changed: Vec<usize>,
}

/// All of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Listing {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The records that were asked for, oldest first.
    pub jobs: Vec<ListedJob>,
    /// Files that could not be listed.
    pub bad: Vec<BadFile>,
}

impl Listing {
    /// The listing of some records.
    pub fn of(mut jobs: Vec<ListedJob>, bad: Vec<BadFile>) -> Self {
        jobs.sort_by(|a, b| (&a.begun, &a.file).cmp(&(&b.begun, &b.file)));
        Self { schema: SCHEMA, jobs, bad }
    }

    /// As text: a line a record.
    pub fn text(&self) -> Page {
        let mut page = Page::new();
        for job in &self.jobs {
            let day = job.begun.as_deref().unwrap_or("no date");
            let vehicle = job.vehicle.as_deref().unwrap_or("no vehicle named");
            let minutes = job.minutes.map_or(String::new(), |minutes| format!(", {minutes} min"));
            let came = if job.repaired.is_empty() {
                job.complaints.last().cloned().unwrap_or_else(|| "no complaint".into())
            } else {
                format!("{} repaired", job.repaired.join(", "))
            };
            page.line(0, format!("{day} {vehicle}{minutes}: {came} ({})", job.file));
            if let Some(line) = job.changed.first() {
                page.line(1, format!("line {line} or one before it was changed"));
            }
        }
        page.gap().line(0, format!("{}, nothing judged", counted(self.jobs.len(), "job", "jobs")));
        if !self.bad.is_empty() {
            page.gap().line(0, "Not listed:");
        }
        for bad in &self.bad {
            page.line(1, format!("{}: {}", bad.file, bad.why));
        }
        page
    }
}

/// What a record says of itself.
pub fn listed(file: &str, record: &Record) -> ListedJob {
    let (begun, ended) = days(record);
    // What was taken back stands no more.
    let mut standing: Vec<&str> = Vec::new();
    for line in &record.lines {
        if leading_words(&line.text, "take back").is_some() {
            standing.pop();
        } else {
            standing.push(&line.text);
        }
    }
    let after = |words: &str| -> Vec<String> {
        let each = standing.iter().filter_map(|line| line.get(leading_words(line, words)?..));
        each.map(|rest| rest.trim().trim_matches(['"', '`']).to_string()).collect()
    };
    ListedJob {
        file: file.to_string(),
        vehicle: record.header.vehicle.clone(),
        begun: begun.map(str::to_string),
        ended: ended.map(str::to_string),
        minutes: worked(record.lines.iter().map(|line| line.stamp.as_str())).map(|sum| (sum.seconds + 30) / 60),
        complaints: after("complaint"),
        repaired: after("repaired"),
        book: record.header.book.clone(),
        changed: record.broken.clone(),
    }
}
