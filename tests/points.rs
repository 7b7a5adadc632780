//! Holds the tool to the language's own page, point by point: every case of tests/corpus/points must pass, and what a
//! case can't say (JSON, exit statuses, standard input, records, `use`, messages) is asked of the program itself.
//! Every expectation is derived from the page's words, which are quoted beside it.

#[path = "points/answers.rs"]
mod answers;
#[path = "points/bench.rs"]
mod bench;
#[path = "points/books.rs"]
mod books;
#[path = "points/entries.rs"]
mod entries;
#[path = "points/exits.rs"]
mod exits;
#[path = "support/logs.rs"]
mod logs;
#[path = "points/messages.rs"]
mod messages;
#[path = "points/records.rs"]
mod records;

use std::path::{Path, PathBuf};

use ruleout::book::load::has_errors;
use ruleout::book::{Library, load};
use ruleout::lint::cases;

struct Corpus;

impl Library for Corpus {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(path).map_err(|error| error.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn corpus() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/points");
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut books: Vec<PathBuf> = entries.filter(|path| path.extension().is_some_and(|e| e == "rulebook")).collect();
    books.sort();
    books
}

/// What is wrong with a book of the corpus, one line a problem, and how many cases it has.
fn failures(path: &Path) -> (Vec<String>, usize) {
    let loaded = load(&Corpus, path).unwrap();
    let (book, problems) = loaded.resolve(None);
    if has_errors(&problems) {
        let said = problems.iter().map(|p| format!("{}: {} {}", loaded.sources.place(p.span()), p.code, p.message));
        return (said.collect(), 0);
    }
    let results = cases::run_all_with(&loaded, book, &logs::logs_of(path.parent().unwrap()));
    let failed = results.iter().filter(|result| !result.passed());
    let said = failed.flat_map(|result| {
        let each =
            result.failures.iter().map(|p| format!("{}: {} {}", loaded.sources.place(p.span()), p.code, p.message));
        each.collect::<Vec<_>>()
    });
    (said.collect(), results.len())
}

#[test]
fn every_case_of_the_corpus_passes() {
    let mut wrong = Vec::new();
    let mut total = 0;
    for path in corpus() {
        let (said, count) = failures(&path);
        if said.is_empty() && count == 0 {
            wrong.push(format!("{}: no case", path.display()));
        }
        wrong.extend(said);
        total += count;
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(total >= 200, "only {total} cases");
}

#[test]
fn every_settled_point_has_a_book() {
    let names: Vec<String> = corpus().iter().filter_map(|p| Some(p.file_stem()?.to_str()?.to_string())).collect();
    for point in 1..=14 {
        let prefix = format!("{point:02}-");
        assert!(names.iter().any(|name| name.starts_with(&prefix)), "no book for point {point}");
    }
}

#[test]
fn a_case_that_expects_wrongly_fails() {
    // Guards the corpus itself: the runner can tell wrong from right.
    let text = "rulebook \"r\"\n  language 1\nobservation a\n  answers yes, no\nfault f\nfault g\n\
                rule r: a is yes implies f\ncase c:\n  a is yes\n  expect f open\n";
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wrong.rulebook");
    std::fs::write(&path, text).unwrap();
    assert_eq!(failures(&path).0.len(), 1);
}
