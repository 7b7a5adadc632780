//! The fuzz targets (`tests/fuzz`) as ordinary tests: the project's own texts, and every text that ever broke a law.

#[path = "fuzz/src/targets/mod.rs"]
mod targets;

use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            files_under(&path, found);
        } else {
            found.push(path);
        }
    }
    found.sort();
}

#[test]
fn whatever_broke_a_law_keeps_it_now() {
    for (name, run) in targets::TARGETS {
        let mut found = Vec::new();
        files_under(&root().join("tests/fuzz/found").join(name), &mut found);
        for path in found {
            let text = std::fs::read(&path).unwrap();
            assert!(std::panic::catch_unwind(|| run(&text)).is_ok(), "{}", path.display());
        }
    }
}

#[test]
fn the_rulebooks_of_the_project_keep_the_laws() {
    let mut books = Vec::new();
    files_under(&root().join("tests/corpus"), &mut books);
    books.retain(|path| path.extension().is_some_and(|end| end == "rulebook"));
    assert!(books.len() > 50);
    for path in books {
        let text = std::fs::read(&path).unwrap();
        for name in ["grammar", "format", "book"] {
            targets::find(name).unwrap()(&text);
        }
    }
}

#[test]
fn the_recorded_jobs_keep_the_laws() {
    let mut jobs = Vec::new();
    files_under(&root().join("rulebooks/jobs"), &mut jobs);
    assert!(jobs.len() > 5);
    for path in jobs {
        let text = std::fs::read_to_string(&path).unwrap();
        targets::find("record").unwrap()(text.as_bytes());
        let sentences: Vec<&str> = text.lines().filter_map(|line| Some(line.split_once("] ")?.1)).collect();
        for book in ["0", "1", "2", "3", "4"] {
            targets::find("entries").unwrap()(format!("{book}{}", sentences.join("\n")).as_bytes());
        }
        targets::find("session").unwrap()(format!("0{}", sentences.join("\n")).as_bytes());
    }
}

#[test]
fn the_logs_of_the_project_keep_the_laws() {
    let mut logs = Vec::new();
    files_under(&root().join("tests/corpus/points"), &mut logs);
    logs.retain(|path| path.extension().is_some_and(|end| end == "csv"));
    assert!(!logs.is_empty());
    for path in logs {
        let log = std::fs::read(&path).unwrap();
        for tail in ["", "channel 2", "channel \"Feed\"", "with nothing", "chanel 2"] {
            targets::find("signals").unwrap()(&[tail.as_bytes(), b"\n", &log].concat());
        }
    }
}

#[test]
fn every_target_has_its_file_and_its_row() {
    let mut files = Vec::new();
    files_under(&root().join("tests/fuzz/src/targets"), &mut files);
    let mut names: Vec<String> =
        files.iter().map(|path| path.file_stem().unwrap().to_string_lossy().into_owned()).collect();
    names.retain(|name| name != "mod" && name != "shelf");
    let mut rows: Vec<&str> = targets::TARGETS.iter().map(|(name, _)| *name).collect();
    rows.sort_unstable();
    assert_eq!(names, rows);
}
