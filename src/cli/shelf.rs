//! The books of many records: each loaded once, and resolved once for each profile.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use indexmap::IndexMap;

use crate::book::load::has_errors;
use crate::book::{Book, Loaded, load_part};
use crate::job::record::Record;
use crate::source::SourceId;
use crate::syntax::tree::Statement;
use crate::syntax::{Extent, parse_statement};

use super::{Disk, ReadingArgs, recorded};

/// What is known of the book that records of a folder name: where it lies, or why not.
type Places = IndexMap<(PathBuf, String), Result<PathBuf, String>>;
/// Books by path.
type Texts = IndexMap<PathBuf, Result<Arc<Loaded>, String>>;
/// Books by path and profile.
type Resolved = IndexMap<(PathBuf, Option<String>), Result<Arc<Book>, String>>;

/// The books.
pub(super) struct Shelf {
    folder: Option<PathBuf>,
    reading: ReadingArgs,
    places: Mutex<Places>,
    texts: Mutex<Texts>,
    resolved: Mutex<Resolved>,
}

impl Shelf {
    /// An empty shelf; books are looked for in that folder, else where the records say.
    pub(super) fn of(folder: Option<&Path>, reading: &ReadingArgs) -> Self {
        Self {
            folder: folder.map(Path::to_path_buf),
            reading: reading.clone(),
            places: Mutex::default(),
            texts: Mutex::default(),
            resolved: Mutex::default(),
        }
    }

    /// Fetches the book of a record, so that later ones find it there.
    pub(super) fn fetch(&self, job: &Path, record: &Record) {
        let _known = self.book(job, record, None);
    }

    /// The book of a record under a profile.
    ///
    /// # Errors
    /// Why it can't be had.
    pub(super) fn book(&self, job: &Path, record: &Record, profile: Option<&str>) -> Result<Arc<Book>, String> {
        let path = self.place(job, &record.header.book)?;
        let key = (path, profile.map(str::to_string));
        let mut resolved = self.resolved.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = resolved.get(&key) {
            return known.clone();
        }
        let book = self.text(&key.0).and_then(|loaded| {
            let (book, problems) = loaded.resolve(profile);
            if has_errors(&problems) {
                return Err(format!("its book `{}` has errors; `ruleout lint` shows them", key.0.display()));
            }
            Ok(Arc::new(book))
        });
        resolved.insert(key, book.clone());
        book
    }

    fn text(&self, path: &Path) -> Result<Arc<Loaded>, String> {
        let mut texts = self.texts.lock().unwrap_or_else(PoisonError::into_inner);
        let fetch = || {
            let loaded = load_part(&Disk::of(path, &self.reading), path, Extent::WithoutCases);
            loaded.map(Arc::new).map_err(|why| format!("its book `{}` can't be read: {why}", path.display()))
        };
        texts.entry(path.to_path_buf()).or_insert_with(fetch).clone()
    }

    fn place(&self, job: &Path, book: &str) -> Result<PathBuf, String> {
        let beside = job.parent().map(Path::to_path_buf).unwrap_or_default();
        let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
        let look = || match &self.folder {
            Some(folder) => in_folder(folder, book),
            None => recorded::beside(job, book)
                .map_err(|why| format!("{why}; say where the rulebooks lie with `--books FOLDER`")),
        };
        places.entry((beside, book.to_string())).or_insert_with(look).clone()
    }

    /// The profile that a record names, as far as that can be told without its book.
    pub(super) fn profile(&self, record: &Record) -> Option<String> {
        let lines = record.lines.iter().map(|line| line.text.as_str());
        let sentences = record.header.sentences.iter().map(String::as_str).chain(lines);
        let mut named = sentences.filter(|line| line.trim_start().starts_with("profile"));
        match parse_statement(SourceId::default(), 0, named.next_back()?) {
            Ok(Statement::Profile(text)) => Some(text.text.to_string()),
            _ => None,
        }
    }

    /// The names of all faults of all books on it.
    pub(super) fn faults(&self) -> Vec<String> {
        let resolved = self.resolved.lock().unwrap_or_else(PoisonError::into_inner);
        let mut all: Vec<String> =
            resolved.values().flatten().flat_map(|book| book.faults.iter().map(|f| f.name.clone())).collect();
        all.sort();
        all.dedup();
        all
    }
}

/// The book by its file's name in a folder that was named on the command line.
fn in_folder(folder: &Path, book: &str) -> Result<PathBuf, String> {
    let name = Path::new(book).file_name().ok_or_else(|| "it names no book".to_string())?;
    let path = folder.join(name);
    if path.is_file() { Ok(path) } else { Err(format!("its book `{book}` is not in `{}`", folder.display())) }
}
