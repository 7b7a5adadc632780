//! Job files: records with header and stamps, or plain sentences. Both are played line by line against a book.

use std::path::Path;

use crate::book::Book;
use crate::job::record::{self, Header, Record};
use crate::job::{Job, LogSource};
use crate::problem::Problem;
use crate::source::{SourceId, Sources, Span};

use super::script::{self, Played};

/// The code of the warning that a record was made with another state of its book.
pub(super) const OTHER_BOOK: &str = "job/other-book";

/// Plays a record. What the record itself suffers from comes first among the problems, as warnings.
pub(super) fn play_record(book: &Book, name: &str, text: &str, record: &Record, logs: &LogSource) -> Played {
    let mut sources = Sources::new();
    let source = sources.add(name, text);
    let mut job = Job::with_logs(book, logs.clone());
    let mut problems = complaints_of(record, source, text);
    problems.extend(other_book(book, &record.header, source));
    let header = record.header.sentences.iter().map(String::as_str).zip(record.header_bases.iter().copied());
    let header = header.map(|(sentence, base)| (sentence, base, None));
    let lines = record.lines.iter().map(|line| (line.text.as_str(), line.base, Some(line.stamp.as_str())));
    for (sentence, base, stamp) in header.chain(lines) {
        let known = job.lines.len();
        problems.extend(script::enter(book, &mut job, source, base, sentence));
        if let Some(stamp) = stamp.filter(|_| job.lines.len() > known) {
            job.stamp_last(stamp);
        }
    }
    Played { job, sources, problems }
}

/// Plays a file, whichever kind it is.
///
/// # Errors
/// It is a record of a version that this program doesn't know.
pub(super) fn play(book: &Book, name: &str, text: &str, logs: &LogSource) -> Result<Played, String> {
    if record::is_record(text) {
        let record = record::read(text)?;
        return Ok(play_record(book, name, text, &record, logs));
    }
    Ok(script::play(book, name, text, logs))
}

/// Torn last line and broken chain.
fn complaints_of(record: &Record, source: SourceId, text: &str) -> Vec<Problem> {
    let mut problems = Vec::new();
    if record.torn.is_some() {
        let span = Span::new(source, record.whole, text.len());
        problems.push(
            Problem::warning("job/torn-line", span, "the last line was not finished and is set aside")
                .help("it was never acknowledged; enter it again if it matters"),
        );
    }
    let (mut start, mut lines) = (0, text.split_inclusive('\n').enumerate());
    for number in &record.broken {
        // Both go the same way, so the text is gone over once.
        let Some((_, line)) = lines.by_ref().inspect(|(_, line)| start += line.len()).find(|(at, _)| at + 1 == *number)
        else {
            break;
        };
        let (start, length) = (start - line.len(), line.trim_end().len());
        problems.push(
            Problem::error(
                "job/chain-broken",
                Span::new(source, start, start + length),
                "this line, or one before it, was changed after it was written",
            )
            .help("the job is judged as it reads now; compare with a copy of the record"),
        );
    }
    problems
}

/// A record made with another revision of the book.
fn other_book(book: &Book, header: &Header, source: SourceId) -> Option<Problem> {
    if header.digest.is_empty() || header.digest == book.digest.hex() {
        return None;
    }
    let revision =
        |revision: &Option<String>| revision.clone().map_or("no revision".to_string(), |r| format!("revision {r}"));
    let name = |path: &str| Path::new(path).file_name().map(std::ffi::OsStr::to_os_string);
    let message = if name(&header.book) == name(&book.file) {
        let (then, now) = (revision(&header.revision), revision(&book.revision));
        format!("this job was recorded with another state of the book ({then}; the book now is {now})")
    } else {
        format!("this job was recorded with another book, `{}`", header.book)
    };
    Some(
        Problem::warning(OTHER_BOOK, Span::new(source, 0, record::FIRST_LINE.len()), message)
            .help("it is judged with what still fits; lines that no longer fit are named"),
    )
}

/// The header for a new record of a book.
pub(super) fn new_header(book: &Book, path: &Path) -> Header {
    Header {
        book: path.display().to_string(),
        revision: book.revision.clone(),
        digest: book.digest.hex().to_string(),
        ..Header::default()
    }
}
