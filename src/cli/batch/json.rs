//! A JSON object a line: `{"job": "A17", "complaint": "…", "with": "cooling demanded", "entries": {"fan runs": "no"}}`. A number
//! is taken as it is written, last digit included; a text as it would be typed; `null` is not entered.

use std::collections::HashMap;
use std::fs::File;
use std::io::{BufRead, BufReader};
use std::sync::Arc;

use indexmap::IndexMap;
use rayon::prelude::*;
use serde::Deserialize;
use serde_json::value::RawValue;

use crate::batch::{Given, Layout};
use crate::output::batch::Done;

use super::super::out::Failure;
use super::{AT_ONCE, Desk};

/// A job as it stands on its line.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'l> {
    #[serde(default)]
    job: Option<String>,
    #[serde(default)]
    complaint: String,
    #[serde(default)]
    with: String,
    #[serde(borrow, default)]
    entries: IndexMap<String, &'l RawValue>,
}

/// Setup and headings.
type Key = (String, Vec<String>);
type Layouts = HashMap<Key, Result<Arc<Layout>, String>>;

/// More layouts than these are not kept.
const MOST_LAYOUTS: usize = 1_000;

/// Judges all lines of a file.
pub(super) fn judge(desk: &mut Desk<'_>, file: File) -> Result<(), Failure> {
    let mut lines = BufReader::new(file).split(b'\n');
    let mut layouts = Layouts::new();
    let mut number = 0;
    loop {
        let mut some: Vec<(usize, String)> = Vec::with_capacity(AT_ONCE);
        for line in lines.by_ref().take(AT_ONCE) {
            number += 1;
            let line = line.map_err(|error| Failure::said(&format!("line {number} can't be read: {error}")))?;
            // What is no UTF-8 is no JSON either, and is said to be so when it is read.
            some.push((number, String::from_utf8_lossy(&line).into_owned()));
        }
        if some.is_empty() {
            return Ok(());
        }
        some.retain(|(_, line)| !line.trim().is_empty());
        let parsed: Vec<(usize, Result<Line<'_>, String>)> = some
            .par_iter()
            .map(|(number, line)| (*number, serde_json::from_str(line).map_err(|error| error.to_string())))
            .collect();
        if layouts.len() > MOST_LAYOUTS {
            layouts.clear();
        }
        for line in parsed.iter().filter_map(|(_, line)| line.as_ref().ok()) {
            let key = line.key();
            layouts.entry(key).or_insert_with_key(|key| layout(desk, key).map(Arc::new));
        }
        let done: Vec<Done> = parsed.into_par_iter().map(|(number, line)| one(desk, &layouts, number, line)).collect();
        desk.write(&done);
    }
}

impl Line<'_> {
    fn key(&self) -> Key {
        (self.with.clone(), self.entries.keys().cloned().collect())
    }
}

fn layout(desk: &Desk<'_>, (setup, headings): &Key) -> Result<Layout, String> {
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    Layout::new(desk.book, setup, &headings).map_err(|problems| {
        let each = problems.into_iter().map(|(place, problem)| match place.and_then(|place| headings.get(place)) {
            Some(heading) => format!("`{heading}`: {}", problem.message),
            None => format!("`with`: {}", problem.message),
        });
        each.collect::<Vec<_>>().join("; ")
    })
}

fn one(desk: &Desk<'_>, layouts: &Layouts, number: usize, line: Result<Line<'_>, String>) -> Done {
    let place = format!("line {number}");
    let name = line.as_ref().ok().and_then(|line| line.job.clone()).unwrap_or_else(|| number.to_string());
    let result = line.and_then(|line| {
        let Some(layout) = layouts.get(&line.key()) else { return Err("its entries are not known".to_string()) };
        let layout = layout.as_ref().map_err(Clone::clone)?;
        let said: Vec<String> = line.entries.values().map(|value| said(value)).collect::<Result<_, _>>()?;
        let given = Given { said: said.iter().map(String::as_str).collect(), complaint: &line.complaint };
        layout.judge(desk.book, &given).map_err(|bad| super::reasons(layout, &bad))
    });
    Done { place, name, result }
}

/// What would be typed for a value.
fn said(value: &RawValue) -> Result<String, String> {
    let raw = value.get().trim();
    match raw.bytes().next() {
        Some(b'"') => serde_json::from_str(raw).map_err(|error| error.to_string()),
        Some(b'-' | b'0'..=b'9') => Ok(raw.to_string()),
        Some(b'n') => Ok(String::new()),
        Some(b't') => Ok("yes".into()),
        Some(b'f') => Ok("no".into()),
        _ => Err(format!("`{raw}` is neither a number nor a text")),
    }
}
