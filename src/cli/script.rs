//! Sentences from a file or a pipe, one a line: entered one by one, bad ones reported with their number and skipped.

use std::io::Read;

use crate::book::Book;
use crate::job::Job;
use crate::output::judgement_json::JsonSkipped;
use crate::problem::{Problem, Severity};
use crate::source::{SourceId, Sources};
use crate::syntax::parse_statement;

use super::Exit;
use super::disk::{LARGEST, because, to_text};

/// What a script came to.
pub(super) struct Played {
    /// The job after its last line.
    pub(super) job: Job,
    /// The script as a source, for drawing.
    pub(super) sources: Sources,
    /// Problems, in order of lines.
    pub(super) problems: Vec<Problem>,
}

impl Played {
    /// Found where a sentence could not be taken; warnings alone don't count.
    pub(super) fn exit(&self) -> Exit {
        let bad = self.problems.iter().any(|problem| problem.severity == Severity::Error);
        if bad { Exit::Found } else { Exit::Done }
    }

    /// The problems as an answer names them.
    pub(super) fn skipped(&self) -> Vec<JsonSkipped> {
        let each = self.problems.iter().map(|problem| JsonSkipped {
            line: self.sources.line_column(problem.span()).0,
            message: problem.message.clone(),
            help: problem.help.clone(),
        });
        each.collect()
    }
}

/// All of standard input.
///
/// # Errors
/// A sentence why not.
pub(super) fn standard_input(large: bool) -> Result<String, String> {
    let limit = if large { u64::from(u32::MAX) } else { LARGEST + 1 };
    let mut bytes = Vec::new();
    std::io::stdin().lock().take(limit).read_to_end(&mut bytes).map_err(|error| because(&error))?;
    if !large && bytes.len() as u64 > LARGEST {
        return Err(format!("it is larger than {} MB; `--large` reads it all the same", LARGEST / 1024 / 1024));
    }
    to_text(bytes)
}

/// Plays a script against a book.
pub(super) fn play(book: &Book, name: &str, text: &str) -> Played {
    let mut sources = Sources::new();
    let source = sources.add(name, text);
    let mut job = Job::new(book);
    let mut problems = Vec::new();
    for (base, line) in lines(text) {
        problems.extend(enter(book, &mut job, source, base, line).err().unwrap_or_default());
    }
    Played { job, sources, problems }
}

/// Lines that say something, with where they start.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut base = 0;
    let text = text.strip_prefix('\u{FEFF}').map_or(text, |rest| {
        base = 3;
        rest
    });
    let each = text.split_inclusive('\n').map(move |line| {
        let start = base;
        base += line.len();
        let trimmed = line.trim();
        (start + (line.len() - line.trim_start().len()), trimmed)
    });
    each.filter(|(_, line)| !line.is_empty() && !line.starts_with('#'))
}

/// Enters one line.
///
/// # Errors
/// What is wrong with it, placed in its source.
pub(super) fn enter(
    book: &Book,
    job: &mut Job,
    source: SourceId,
    base: usize,
    line: &str,
) -> Result<Vec<crate::job::Notice>, Vec<Problem>> {
    let statement = parse_statement(source, base, line).map_err(|problem| vec![problem])?;
    job.enter(book, statement, line)
}
