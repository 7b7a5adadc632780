//! A CSV table: a column a reading or observation, headed by its name and setup words; `job`, `complaint` and `with` are
//! columns of their own. An empty cell is not entered.

use std::collections::HashMap;
use std::fs::File;
use std::sync::Arc;

use csv::{ReaderBuilder, StringRecord};
use rayon::prelude::*;

use crate::batch::{Given, Layout};
use crate::output::batch::Done;

use super::super::out::Failure;
use super::{AT_ONCE, Desk};

/// What the columns are for.
struct Head {
    job: Option<usize>,
    complaint: Option<usize>,
    setup: Option<usize>,
    /// The others, by place, with their headings.
    entries: Vec<(usize, String)>,
}

type Layouts = HashMap<String, Result<Arc<Layout>, String>>;

/// Judges all rows of a table.
pub(super) fn judge(desk: &mut Desk<'_>, file: File) -> Result<(), Failure> {
    let mut reader = ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(file);
    let headings = reader.headers().map_err(|error| Failure::said(&format!("the first row can't be read: {error}")))?;
    let head = Head::of(headings);
    let mut layouts = Layouts::new();
    // The headings themselves must be right before any row is read.
    if let Err(why) = head.layout(desk, "") {
        return Err(Failure::said(&why));
    }
    let mut row = 1;
    loop {
        let mut records: Vec<(usize, Result<StringRecord, String>)> = Vec::with_capacity(AT_ONCE);
        for record in reader.records().take(AT_ONCE) {
            row += 1;
            records.push((row, record.map_err(|error| error.to_string())));
        }
        if records.is_empty() {
            return Ok(());
        }
        for record in records.iter().filter_map(|(_, record)| record.as_ref().ok()) {
            let setup = head.cell(record, head.setup);
            if !layouts.contains_key(setup) {
                layouts.insert(setup.to_string(), head.layout(desk, setup).map(Arc::new));
            }
        }
        let done: Vec<Done> =
            records.par_iter().map(|(row, record)| head.judge(desk, &layouts, *row, record)).collect();
        desk.write(&done);
    }
}

impl Head {
    fn of(headings: &StringRecord) -> Self {
        let mut head = Self { job: None, complaint: None, setup: None, entries: Vec::new() };
        for (place, heading) in headings.iter().enumerate() {
            match heading.trim_start_matches('\u{FEFF}').to_lowercase().as_str() {
                "job" => head.job = Some(place),
                "complaint" => head.complaint = Some(place),
                "with" => head.setup = Some(place),
                _ => head.entries.push((place, heading.trim_start_matches('\u{FEFF}').to_string())),
            }
        }
        head
    }

    fn cell<'r>(&self, record: &'r StringRecord, place: Option<usize>) -> &'r str {
        place.and_then(|place| record.get(place)).unwrap_or("")
    }

    /// The layout of rows under a setup, or why there is none.
    fn layout(&self, desk: &Desk<'_>, setup: &str) -> Result<Layout, String> {
        let headings: Vec<&str> = self.entries.iter().map(|(_, heading)| heading.as_str()).collect();
        Layout::new(desk.book, setup, &headings).map_err(|problems| {
            let each = problems.into_iter().map(|(place, problem)| {
                let help = problem.help.map_or(String::new(), |help| format!(" ({help})"));
                match place.and_then(|place| headings.get(place)) {
                    Some(heading) => format!("column `{heading}`: {}{help}", problem.message),
                    None => format!("setup `{setup}`: {}{help}", problem.message),
                }
            });
            each.collect::<Vec<_>>().join("; ")
        })
    }

    fn judge(&self, desk: &Desk<'_>, layouts: &Layouts, row: usize, record: &Result<StringRecord, String>) -> Done {
        let place = format!("row {row}");
        let name = record.as_ref().map_or("", |record| self.cell(record, self.job));
        let name = if name.is_empty() { row.to_string() } else { name.to_string() };
        let result = record.as_ref().map_err(Clone::clone).and_then(|record| {
            let setup = self.cell(record, self.setup);
            let layout = match layouts.get(setup) {
                Some(layout) => layout.as_ref().map_err(Clone::clone)?,
                None => return Err("its setup is not known".to_string()),
            };
            if let Some(more) = record.get(self.entries.len() + self.others()).filter(|more| !more.is_empty()) {
                return Err(format!("it has more cells than the first row, from `{more}` on"));
            }
            let said = self.entries.iter().map(|(place, _)| self.cell(record, Some(*place))).collect();
            let given = Given { said, complaint: self.cell(record, self.complaint) };
            layout.judge(desk.book, &given).map_err(|bad| super::reasons(layout, &bad))
        });
        Done { place, name, result }
    }

    fn others(&self) -> usize {
        [self.job, self.complaint, self.setup].iter().flatten().count()
    }
}
