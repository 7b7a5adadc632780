//! Sentences from a file or a pipe, one a line: entered one by one, bad ones reported with their number and skipped.

use std::io::Read;

use crate::book::Book;
use crate::job::{Job, LogSource, Notice, NoticeKind};
use crate::output::judgement_json::JsonSkipped;
use crate::problem::{Problem, Severity};
use crate::source::{SourceId, Sources, Span};
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
        let bad = self.problems.iter().any(|p| p.severity == Severity::Error || p.code == SKIPPED);
        if bad { Exit::Found } else { Exit::Done }
    }

    /// What the record suffers from, in sentences: `line 17: …`. That its book is in another state has a place of its own.
    pub(super) fn remarks(&self) -> Vec<String> {
        let own = self.problems.iter().filter(|problem| problem.code != super::jobfile::OTHER_BOOK);
        let each = own.map(|problem| {
            let line = self.sources.line_column(problem.span()).0;
            format!("line {line}: {}", problem.message)
        });
        each.collect()
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
pub(super) fn play(book: &Book, name: &str, text: &str, logs: &LogSource) -> Played {
    let mut sources = Sources::new();
    let source = sources.add(name, text);
    let mut job = Job::with_logs(book, logs.clone());
    let mut problems = Vec::new();
    for (base, line) in lines(text) {
        problems.extend(enter(book, &mut job, source, base, line));
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

/// Enters one line; what is wrong with it, or with a log that it names, placed in its source.
pub(super) fn enter(book: &Book, job: &mut Job, source: SourceId, base: usize, line: &str) -> Vec<Problem> {
    let statement = match parse_statement(source, base, line) {
        Ok(statement) => statement,
        Err(problem) => return vec![problem],
    };
    match job.enter(book, statement, line) {
        Ok(notices) => notices.iter().filter_map(|notice| of_log(notice, source, base, line)).collect(),
        Err(problems) => problems,
    }
}

/// What was told of a log, as a problem: nobody reads along here.
fn of_log(notice: &Notice, source: SourceId, base: usize, line: &str) -> Option<Problem> {
    let span = Span::new(source, base, base + line.len());
    Some(match notice.kind {
        NoticeKind::LogChanged => Problem::error("job/log-changed", span, &notice.text)
            .help("compare it with a copy of the log; take the test again if there is none"),
        NoticeKind::LogRows => {
            Problem::warning(SKIPPED, span, &notice.text).help("the other rows are judged; mend the log if they matter")
        }
        NoticeKind::LogGaps => Problem::warning("job/log-gaps", span, &notice.text)
            .help("what happened meanwhile is unknown, and is judged so"),
        _ => return None,
    })
}

/// The code of rows of a log that were skipped: something was found, if only a warning.
const SKIPPED: &str = "job/log-rows-skipped";
