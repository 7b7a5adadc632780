//! Holds the folders of src to the rows of the project's layout: a lower row never uses a higher one; `job` and
//! `circuit` don't use each other, nor do `advice` and `lint`. Printing stays in `cli/` and `repl/`; files and the clock
//! in `cli/`, `repl/` and `job/journal.rs`. No file is longer than 500 lines before its tests, none is unsafe, pest's
//! types stay in `syntax/`. A single crate can't enforce this by itself, so the text of the sources is read.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Folder or file of src, and its row.
const ROWS: &[(&str, u8)] = &[
    ("units", 0),
    ("source", 0),
    ("problem", 0),
    ("kept", 0),
    ("syntax", 1),
    ("book", 2),
    ("job", 3),
    ("circuit", 3),
    ("reasoning", 4),
    ("advice", 5),
    ("batch", 5),
    ("lint", 5),
    ("output", 6),
    ("repl", 7),
    ("cli", 7),
];

/// Pairs of one row that must not use each other, one way each.
const APART: &[(&str, &str)] = &[
    ("job", "circuit"),
    ("circuit", "job"),
    ("advice", "lint"),
    ("lint", "advice"),
    ("repl", "cli"),
    ("batch", "advice"),
    ("batch", "lint"),
    ("advice", "batch"),
    ("lint", "batch"),
];

const LONGEST: usize = 500;

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn rust_files(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            rust_files(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

/// A file of src: its path from there, its code without comments, texts and tests.
struct File {
    path: String,
    module: String,
    lines: usize,
    code: String,
}

fn files() -> Vec<File> {
    let mut paths = Vec::new();
    rust_files(&src(), &mut paths);
    paths.iter().map(|path| read(path)).collect()
}

fn read(path: &Path) -> File {
    let text = std::fs::read_to_string(path).unwrap();
    let path = path.strip_prefix(src()).unwrap().to_string_lossy().replace('\\', "/");
    let module = path.split(['/', '.']).next().unwrap_or_default().to_string();
    let before_tests = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let is_test = path.split('/').any(|part| part == "tests" || part == "tests.rs");
    let code = if is_test { String::new() } else { code_of(before_tests) };
    File { path, module, lines: before_tests.lines().count(), code }
}

/// Where the reader of a source stands.
enum In {
    Code,
    Text,
    Raw(usize),
    Comment,
    Block,
}

/// Rust without its comments and the insides of its texts. Characters in single quotes are skipped where they hold a
/// quote.
fn code_of(text: &str) -> String {
    let mut out = String::new();
    let mut state = In::Code;
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let mut step = c.len_utf8();
        match state {
            In::Code if rest.starts_with("//") => state = In::Comment,
            In::Code if rest.starts_with("/*") => state = In::Block,
            In::Code if rest.starts_with("'\"'") || rest.starts_with("'\\\"'") => {
                step = rest.get(1..).and_then(|tail| tail.find("'")).map_or(1, |at| at + 2);
            }
            In::Code if raw_text(rest).is_some() => {
                let hashes = raw_text(rest).unwrap_or(0);
                step = hashes + 2;
                state = In::Raw(hashes);
            }
            In::Code if c == '"' => state = In::Text,
            In::Code => out.push(c),
            In::Text if c == '\\' => {
                step += rest.get(1..).and_then(|tail| tail.chars().next()).map_or(0, char::len_utf8)
            }
            In::Text if c == '"' => state = In::Code,
            In::Raw(hashes) if rest.starts_with(&format!("\"{}", "#".repeat(hashes))) => {
                step = hashes + 1;
                state = In::Code;
            }
            In::Comment if c == '\n' => {
                out.push(c);
                state = In::Code;
            }
            In::Block if rest.starts_with("*/") => {
                step = 2;
                state = In::Code;
            }
            _ => {}
        }
        rest = rest.get(step..).unwrap_or("");
    }
    out
}

/// `r"`, `r#"` …: how many hashes.
fn raw_text(rest: &str) -> Option<usize> {
    let tail = rest.strip_prefix('r')?;
    let hashes = tail.bytes().take_while(|b| *b == b'#').count();
    tail.get(hashes..)?.starts_with('"').then_some(hashes)
}

/// The modules that some code names by `crate::`, or by `use crate::{…}`.
fn used(code: &str) -> Vec<String> {
    let mut modules = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        let rest = code.get(at + "crate::".len()..).unwrap_or_default();
        if let Some(group) = rest.strip_prefix('{') {
            modules.extend(group_heads(group));
        } else {
            modules.push(first_word(rest));
        }
    }
    modules
}

/// The first words of a group's members, at its own depth.
fn group_heads(group: &str) -> Vec<String> {
    let mut heads = Vec::new();
    let (mut depth, mut start) = (0, 0);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => {
                heads.push(first_word(group.get(start..at).unwrap_or_default()));
                return heads;
            }
            '}' => depth -= 1,
            ',' if depth == 0 => {
                heads.push(first_word(group.get(start..at).unwrap_or_default()));
                start = at + 1;
            }
            _ => {}
        }
    }
    heads
}

fn first_word(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

fn row(module: &str) -> Option<u8> {
    ROWS.iter().find(|(name, _)| *name == module).map(|(_, row)| *row)
}

#[test]
fn every_folder_has_its_row() {
    let modules: BTreeMap<String, String> =
        files().into_iter().filter(|f| !["lib", "main"].contains(&&*f.module)).map(|f| (f.module, f.path)).collect();
    assert!(modules.len() >= 11, "{modules:?}");
    for (module, path) in modules {
        assert!(row(&module).is_some(), "{path}: `{module}` has no row in the layout");
    }
}

#[test]
fn dependencies_point_one_way() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for file in files() {
        let Some(own) = row(&file.module) else { continue };
        for module in used(&file.code) {
            let Some(other) = row(&module) else { continue };
            seen += 1;
            let apart = APART.contains(&(&*file.module, &*module));
            // Row 0 uses nothing of ours but row 0.
            if other > own || apart {
                wrong.push(format!("{} uses `{module}`", file.path));
            }
        }
    }
    assert!(seen > 100, "only {seen} uses found");
    wrong.dedup();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// How many modules deep a file stands.
fn depth(path: &str) -> usize {
    path.trim_end_matches(".rs").trim_end_matches("/mod").split('/').count()
}

#[test]
fn no_path_climbs_out_of_its_folder() {
    // Else `super::super::cli` would slip past the test above.
    let climbs = files().into_iter().filter(|file| file.module != "lib" && file.module != "main").filter(|file| {
        let out = "super::".repeat(depth(&file.path));
        file.code.contains(&out)
    });
    let climbs: Vec<String> = climbs.map(|file| file.path).collect();
    none(&climbs);
}

#[test]
fn no_file_is_too_long() {
    let long = files().into_iter().filter(|file| file.lines > LONGEST);
    let long: Vec<String> = long.map(|file| format!("{}: {} lines", file.path, file.lines)).collect();
    assert!(long.is_empty(), "longer than {LONGEST} lines before their tests:\n{}", long.join("\n"));
}

/// Files outside of some places whose code holds one of some words.
fn holding(words: &[&str], allowed: &[&str]) -> Vec<String> {
    let files = files();
    let outside = files.iter().filter(|file| !allowed.iter().any(|place| file.path.starts_with(place)));
    let each = outside.flat_map(|file| {
        let found = words.iter().filter(|word| file.code.contains(*word));
        found.map(|word| format!("{}: {word}", file.path)).collect::<Vec<_>>()
    });
    each.collect()
}

fn none(found: &[String]) {
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn printing_stays_with_those_who_talk_to_people() {
    let words = ["println!", "print!(", "eprint", "dbg!", "io::stdout", "io::stderr"];
    none(&holding(&words, &["cli/", "repl/"]));
}

#[test]
fn files_and_the_clock_stay_at_the_edge() {
    let words = [
        "std::fs",
        "fs::",
        "File::",
        "std::env",
        "std::process",
        "std::net",
        "SystemTime",
        "Instant",
        "Zoned::now",
        "Timestamp::now",
        ".exists()",
        ".canonicalize()",
        ".is_dir()",
        ".is_file()",
    ];
    let found = holding(&words, &["cli/", "repl/", "job/journal.rs", "main.rs"]);
    // `main` only hands over.
    none(&found);
}

#[test]
fn nothing_is_unsafe_and_nothing_panics_by_intent() {
    none(&holding(&["unsafe ", ".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "unreachable!("], &[]));
    assert!(std::fs::read_to_string(src().join("lib.rs")).unwrap().contains("#![forbid(unsafe_code)]"));
}

#[test]
fn the_grammars_engine_stays_in_syntax() {
    none(&holding(&["pest::", "pest_derive"], &["syntax/"]));
    none(&holding(&["miette::"], &["output/"]));
}

#[test]
fn a_test_of_the_reader_itself() {
    let code = code_of(
        "use crate::book; // crate::cli\nlet a = \"crate::repl \\\" x\"; /* crate::job */ let c = '\"'; crate::units::f(r#\"crate::lint\"#);",
    );
    assert_eq!(used(&code), ["book", "units"]);
    assert_eq!(used("use crate::{book::{Book, names}, syntax};"), ["book", "syntax"]);
}
