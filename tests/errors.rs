//! Holds what the tool says is wrong to books that are wrong. Each book of tests/corpus/errors carries its
//! expectations: `# error: code words` stands on the line above a wrong line and names the problem's code and, where
//! given, the very words that are marked. All errors of a book are found in one run, none is left out and none is
//! added. Every code that a rulebook can raise occurs in the corpus. Source: the language's own page, "An error's place
//! is the word that is wrong; of a duplicate, the second".

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use ruleout::book::{Library, load};
use ruleout::lint::cases;
use ruleout::problem::Problem;
use ruleout::source::Sources;

/// Codes that no rulebook raises; tests/points.rs raises those of the command line.
const NOT_FROM_A_BOOK: &[(&str, &str)] = &[
    ("book/unknown-profile", "raised by `--profile`"),
    ("book/no-header", "stands on the first line, see `a_book_without_a_header`"),
    ("syntax/too-many", "raised by more than 20,000 problems, see tests/hostile.rs"),
    ("book/too-many-files", "raised by 257 files, see `a_book_of_too_many_files`"),
    ("job/chain-broken", "raised by an edited job record"),
    ("job/expect", "raised by `expect` in a job; in a case it is no mistake"),
    ("job/log-changed", "raised by a log that is not the one entered, see tests/signals"),
    ("job/log-column", "raised by a log, as all of these: see tests/signals"),
    ("job/log-columns", "raised by a log"),
    ("job/log-decimal-marks", "raised by a log"),
    ("job/log-empty", "raised by a log"),
    ("job/log-encoding", "raised by a log"),
    ("job/log-gaps", "raised by a log"),
    ("job/log-hopeless", "raised by a log"),
    ("job/log-layout", "raised by a log"),
    ("job/log-long-line", "raised by a log"),
    ("job/log-rows-skipped", "raised by a log"),
    ("job/log-time", "raised by a log"),
    ("job/log-time-unit", "raised by a log"),
    ("job/log-too-wide", "raised by a log"),
    ("job/log-unreadable", "raised by a log"),
    ("job/log-which-channel", "raised by a log"),
    ("job/not-kept", "raised by a full disk"),
    ("job/other-book", "raised by a record of another state of the book"),
    ("job/torn-line", "raised by a torn job record"),
    ("repl/control-character", "raised by a typed line"),
    ("repl/no-signal", "raised by a typed line"),
    ("repl/refused", "never shown: carries the problems of a refused `what if`"),
    ("repl/unknown-command", "raised by a typed line"),
    ("repl/which-entry", "raised by a typed line"),
    ("repl/which-fault", "raised by a typed line"),
];

struct Folder(PathBuf);

impl Library for Folder {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(path).map_err(|_| "there is no such file".to_string())
    }

    fn allows(&self, path: &Path) -> bool {
        path.starts_with(&self.0)
    }
}

/// A problem as the corpus names it: file, line, code, marked words.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Found {
    file: String,
    line: usize,
    code: String,
    words: String,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/errors")
}

fn books() -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let mut all: Vec<PathBuf> = entries.filter(|path| path.extension().is_some_and(|e| e == "rulebook")).collect();
    all.sort();
    all
}

fn file_name(path: &str) -> String {
    Path::new(path).file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn found(problem: &Problem, sources: &Sources) -> Found {
    let span = problem.span();
    let file = sources.get(span.source).map(|source| file_name(&source.name)).unwrap_or_default();
    let words = sources.slice(span).split_whitespace().collect::<Vec<_>>().join(" ");
    Found { file, line: sources.line_column(span).0, code: problem.code.to_string(), words }
}

/// All that a book raises, reading, resolving and its cases, and its texts with their names.
fn raised(path: &Path) -> (BTreeSet<Found>, Vec<(String, String)>) {
    let loaded = load(&Folder(folder()), path).unwrap();
    let (book, problems) = loaded.resolve(None);
    let mut all: BTreeSet<Found> = problems.iter().map(|problem| found(problem, &loaded.sources)).collect();
    for result in cases::run_all(&loaded, book) {
        all.extend(result.failures.iter().map(|problem| found(problem, &loaded.sources)));
    }
    let texts = loaded.trees.iter().filter_map(|tree| loaded.sources.get(tree.source));
    let texts = texts.map(|source| (file_name(&source.name), source.text.to_string())).collect();
    (all, texts)
}

/// What the comments of a text ask for: each counts for the next line that is no comment.
fn expected(file: &str, text: &str) -> BTreeSet<Found> {
    let mut all = BTreeSet::new();
    let mut waiting: Vec<(String, String)> = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let line = line.trim();
        if let Some(wanted) = line.strip_prefix("# error:") {
            let (code, words) = wanted.trim().split_once(' ').unwrap_or((wanted.trim(), ""));
            waiting.push((code.to_string(), words.trim().to_string()));
        } else if !line.starts_with('#') {
            let here =
                waiting.drain(..).map(|(code, words)| Found { file: file.to_string(), line: number + 1, code, words });
            all.extend(here);
        }
    }
    assert!(waiting.is_empty(), "{file}: an expectation after the last line");
    all
}

fn matches(wanted: &Found, found: &Found) -> bool {
    (&wanted.file, wanted.line, &wanted.code) == (&found.file, found.line, &found.code)
        && (wanted.words.is_empty() || wanted.words == found.words)
}

fn shown(found: &Found) -> String {
    format!("{}:{} {} `{}`", found.file, found.line, found.code, found.words)
}

#[test]
fn every_book_raises_what_it_says_and_no_more() {
    let mut wrong = Vec::new();
    for path in books() {
        let (raised, texts) = raised(&path);
        let wanted: BTreeSet<Found> = texts.iter().flat_map(|(file, text)| expected(file, text)).collect();
        assert!(!wanted.is_empty(), "{} expects nothing", path.display());
        wrong.extend(
            wanted.iter().filter(|w| !raised.iter().any(|f| matches(w, f))).map(|w| format!("missing {}", shown(w))),
        );
        wrong.extend(
            raised.iter().filter(|f| !wanted.iter().any(|w| matches(w, f))).map(|f| format!("found   {}", shown(f))),
        );
    }
    wrong.sort_by_key(|line| line.split_once(' ').map(|(_, rest)| rest.trim().to_string()));
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

fn rust_files(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

/// Every `"phase/what-is-wrong"` of the sources.
fn codes() -> BTreeSet<String> {
    let mut files = Vec::new();
    rust_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let mut codes = BTreeSet::new();
    for file in files {
        let text = std::fs::read_to_string(file).unwrap();
        for quoted in text.split('"') {
            let Some((phase, name)) = quoted.split_once('/') else { continue };
            let phases = ["syntax", "book", "units", "setup", "job", "case", "repl"];
            let kebab = !name.is_empty() && name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-');
            if phases.contains(&phase) && kebab {
                codes.insert(quoted.to_string());
            }
        }
    }
    codes
}

#[test]
fn every_code_that_a_rulebook_can_raise_is_in_the_corpus() {
    let codes = codes();
    assert!(codes.len() > 80, "only {} codes found in src", codes.len());
    let wanted = books().into_iter().flat_map(|path| {
        let (_, texts) = raised(&path);
        texts.into_iter().flat_map(|(file, text)| expected(&file, &text)).map(|found| found.code)
    });
    let wanted: BTreeSet<String> = wanted.collect();
    let exempt: BTreeSet<String> = NOT_FROM_A_BOOK.iter().map(|(code, _)| (*code).to_string()).collect();
    let missing: Vec<&String> =
        codes.iter().filter(|code| !wanted.contains(*code) && !exempt.contains(*code)).collect();
    assert!(missing.is_empty(), "no book of tests/corpus/errors raises {missing:?}");
    let gone: Vec<&String> = wanted.iter().chain(&exempt).filter(|code| !codes.contains(*code)).collect();
    assert!(gone.is_empty(), "src knows no {gone:?}");
}

/// A library of one text.
struct One(&'static str);

impl Library for One {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

#[test]
fn a_book_without_a_header() {
    let loaded = load(&One("fault open wire\n"), Path::new("a.rulebook")).unwrap();
    let (_, problems) = loaded.resolve(None);
    let said: Vec<(&str, usize)> = problems.iter().map(|p| (p.code, loaded.sources.line_column(p.span()).0)).collect();
    assert_eq!(said, [("book/no-header", 1)]);
}

struct Chain;

impl Library for Chain {
    fn read(&self, path: &Path) -> Result<String, String> {
        let number: usize =
            path.file_stem().and_then(|stem| stem.to_str()).and_then(|stem| stem.parse().ok()).unwrap_or(0);
        Ok(format!("rulebook \"{number}\"\n  use \"{}.rulebook\"\n", number + 1))
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

#[test]
fn a_book_of_too_many_files() {
    let loaded = load(&Chain, Path::new("0.rulebook")).unwrap();
    let codes: Vec<&str> = loaded.problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["book/too-many-files"]);
}
