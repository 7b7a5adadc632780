//! The record line by line, and how long was worked.

use std::collections::BTreeMap;

use crate::job::stamp::{Worked, worked};
use crate::job::{EntryId, Job};
use crate::output::words::Wording;
use crate::syntax::tree::Statement;

use super::{LogLine, Times};

impl Wording<'_> {
    /// Every line, those taken back too.
    pub(super) fn log(&self) -> Vec<LogLine> {
        let mut made: BTreeMap<usize, usize> = BTreeMap::new();
        for (place, entry) in self.job.entries.iter().enumerate() {
            made.entry(entry.line).or_insert(place);
        }
        let each = self.job.lines.iter().enumerate().map(|(place, line)| LogLine {
            stamp: line.stamp.clone(),
            kind: line.statement().map_or("note", |statement| kind(&statement)),
            words: line.text.to_string(),
            taken_back: line.taken_back,
            entry: made.get(&place).and_then(|place| self.row(EntryId::at(*place))),
        });
        each.collect()
    }

    /// What meters were in use and what the air was, as entered.
    pub(super) fn conditions(&self) -> Vec<String> {
        let counts = |statement: &Statement| {
            matches!(statement, Statement::Meter { .. } | Statement::Ambient(_) | Statement::Profile(_))
        };
        let lines =
            self.job.lines.iter().filter(|line| !line.taken_back && line.statement().is_some_and(|said| counts(&said)));
        lines.map(|line| line.text.to_string()).collect()
    }
}

fn kind(statement: &Statement) -> &'static str {
    match statement {
        Statement::Setup(_) => "setup",
        Statement::Entry(_) => "entry",
        Statement::CustomerWords(_) | Statement::Complaint(_) => "complaint",
        Statement::Repaired(_) => "repair",
        Statement::CannotReach(_) => "cannot_reach",
        Statement::TakeBack(_) => "take_back",
        _ => "note",
    }
}

/// When a job was worked on, by its stamps.
pub(super) fn times(job: &Job) -> Option<Times> {
    let stamps: Vec<(usize, String)> =
        job.lines.iter().enumerate().filter_map(|(place, line)| Some((place, line.stamp?))).collect();
    let until = |end: usize| stamps.iter().filter(move |(place, _)| *place < end).map(|(_, stamp)| stamp.as_str());
    let whole = worked(until(job.lines.len()))?;
    let to_repair = job.repairs.first().and_then(|repair| worked(until(repair.line + 1)));
    let minutes = |sum: &Worked| (sum.seconds + 30) / 60;
    Some(Times {
        started: stamps.first()?.1.clone(),
        ended: stamps.last()?.1.clone(),
        minutes: minutes(&whole),
        minutes_to_repair: to_repair.map(|sum| minutes(&sum)),
        pauses: whole.pauses,
        backward: whole.backward,
    })
}
