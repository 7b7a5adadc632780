//! The corpus: in `tests/corpus/lint` each book says at the line above what is found there (`# lint: id, id`), and
//! nothing else is; in `tests/corpus/lint/clean` nothing is found.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use ruleout::lint::checks::CHECKS;

use crate::shelf::{found, lint, told};

const MARK: &str = "# lint:";

fn books(folder: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/lint").join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == "rulebook"));
    paths.sort();
    paths
        .into_iter()
        .map(|path| (path.file_stem().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(path).unwrap()))
        .collect()
}

/// The books in which nothing is found.
pub(crate) fn clean_books() -> Vec<(String, String)> {
    books("clean")
}

/// What a book says that is found in it.
fn expected(text: &str) -> Vec<(usize, String)> {
    let marked = text.lines().enumerate().filter_map(|(at, line)| Some((at, line.trim().strip_prefix(MARK)?)));
    let mut all: Vec<(usize, String)> =
        marked.flat_map(|(at, ids)| ids.split(',').map(move |id| (at + 2, id.trim().to_string()))).collect();
    all.sort();
    all
}

#[test]
fn the_corpus_is_found_whole_and_nothing_else() {
    let mut wrong = String::new();
    for (name, text) in books("") {
        let linted = lint(&text);
        let mut said: Vec<(usize, String)> =
            found(&linted).into_iter().map(|(line, id)| (line, id.to_string())).collect();
        said.sort();
        let expected = expected(&text);
        assert!(!expected.is_empty(), "{name} expects nothing");
        if said != expected {
            wrong.push_str(&format!("{name}: expected {expected:?}\n{}", told(&linted)));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_check_has_a_book_in_the_corpus() {
    let ids: BTreeSet<String> = books("").iter().flat_map(|(_, text)| expected(text)).map(|(_, id)| id).collect();
    let missing: Vec<&str> = CHECKS.iter().map(|check| check.id).filter(|id| !ids.contains(*id)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn near_misses_raise_nothing() {
    let books = clean_books();
    assert!(books.len() >= 40, "{}", books.len());
    let noisy: String = books
        .iter()
        .map(|(name, text)| (name, lint(text)))
        .filter(|(_, l)| !l.findings.is_empty())
        .map(|(name, l)| format!("{name}\n{}", told(&l)))
        .collect();
    assert!(noisy.is_empty(), "{noisy}");
}
