//! Holds `ruleout cases` to what it promises beyond running cases: what they reach, drafts for the rest, JUnit XML,
//! JSON, and an explanation of what was found that is no longer than it must be. The books of tests/corpus/cases say in
//! themselves what is expected of them.

#[path = "points/bench.rs"]
#[allow(dead_code, reason = "each test file uses a part of it")]
mod bench;
#[path = "cases/command.rs"]
mod command;
#[path = "cases/coverage.rs"]
mod coverage;
#[path = "cases/drafts.rs"]
mod drafts;
#[path = "cases/results.rs"]
mod results;
#[path = "cases/values.rs"]
mod values;

use std::path::{Path, PathBuf};

use ruleout::book::load::has_errors;
use ruleout::book::{Book, Library, Loaded, load};

/// The disk, or one text.
enum Shelf {
    Disk,
    Text(String),
}

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        match self {
            Shelf::Text(text) if path == Path::new("book.rulebook") => Ok(text.clone()),
            _ => std::fs::read_to_string(path).map_err(|error| error.to_string()),
        }
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn resolved(shelf: &Shelf, path: &Path) -> (Loaded, Book) {
    let loaded = load(shelf, path).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(!has_errors(&problems), "{}: {problems:#?}", path.display());
    (loaded, book)
}

/// A book from its text.
fn of_text(text: &str) -> (Loaded, Book) {
    resolved(&Shelf::Text(text.to_string()), Path::new("book.rulebook"))
}

/// A book from its file.
fn of_file(path: &Path) -> (Loaded, Book) {
    resolved(&Shelf::Disk, path)
}

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn corpus(name: &str) -> PathBuf {
    root("tests/corpus/cases").join(name)
}

/// The books of a folder, in order.
fn books(folder: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(root(folder)).unwrap().map(|entry| entry.unwrap().path());
    let mut books: Vec<PathBuf> = entries.filter(|path| path.extension().is_some_and(|e| e == "rulebook")).collect();
    books.sort();
    books
}
