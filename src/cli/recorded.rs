//! A job record opened with its book: where the book may lie, under which profile the record is judged, what the record
//! suffers from.

use std::path::{Path, PathBuf};

use crate::book::Book;
use crate::book::load::plain;
use crate::job::record::{self, Record};

use super::out::Failure;
use super::script::Played;
use super::{BookArgs, ReadingArgs, disk, jobfile, logs};

/// A record with its book, played.
pub(super) struct Recorded {
    /// The book under the record's profile.
    pub(super) book: Book,
    /// The record as read.
    pub(super) record: Record,
    /// The job after its last line.
    pub(super) played: Played,
}

/// Opens a record; the book is that of `book`, else the one that the record names.
///
/// # Errors
/// It can't be read, its book can't be found or used; said already.
pub(super) fn open(job: &Path, book: Option<&Path>, reading: &ReadingArgs) -> Result<Recorded, Failure> {
    let text = disk::read_text(job, reading.large).map_err(|why| Failure::file(job, &why))?;
    let record = record::read(&text).map_err(|why| Failure::file(job, &why))?;
    let path = match book {
        Some(path) => path.to_path_buf(),
        None => beside(job, &record.header.book)
            .map_err(|why| Failure::file(job, &format!("{why}; give the book with `--book FILE`")))?,
    };
    let args = BookArgs { book: path, profile: None, reading: reading.clone() };
    let (loaded, mut book) = disk::open_book(&args)?;
    let logs = logs::beside(job);
    let name = job.display().to_string();
    let mut played = jobfile::play_record(&book, &name, &text, &record, &logs);
    if let Some(profile) = played.job.profile.clone() {
        book = disk::resolve_book(&loaded, Some(&profile))?;
        played = jobfile::play_record(&book, &name, &text, &record, &logs);
    }
    Ok(Recorded { book, record, played })
}

/// The book that a record names: from here, beside the record, or in the folder above it. A record may come from
/// anywhere, so it never leads out of these folders, by its words or by a link.
///
/// # Errors
/// Why it isn't read, lower case, no full stop.
pub(super) fn beside(job: &Path, book: &str) -> Result<PathBuf, String> {
    if book.is_empty() {
        return Err("it names no book".into());
    }
    let named = plain(Path::new(book));
    if named.is_absolute() || named.starts_with("..") || book.contains('\0') {
        return Err(format!(
            "it names its book as `{book}`, which leads out of the job's folder, and isn't followed there"
        ));
    }
    let folder = job.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = named.file_name().map(PathBuf::from).unwrap_or_default();
    let above = folder.join("..");
    let here = Path::new(".");
    let places =
        [(here, &named), (folder, &named), (folder, &file), (above.as_path(), &file), (above.as_path(), &named)];
    let mut linked_out = false;
    for (folder, file) in places {
        let path = if folder == here { file.clone() } else { folder.join(file) };
        if !path.exists() {
            continue;
        }
        match (path.canonicalize(), folder.canonicalize()) {
            (Ok(real), Ok(folder)) if real.starts_with(&folder) => return Ok(plain(&path)),
            _ => linked_out = true,
        }
    }
    Err(if linked_out {
        format!(
            "its book `{book}` is a link that leads out of the folder, and isn't followed; give the book with `--book FILE`"
        )
    } else {
        format!("its book `{book}` is neither here, nor beside it, nor in the folder above")
    })
}
