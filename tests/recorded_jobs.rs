//! The recorded jobs that are shipped: each is read, judged and reported, and ends as its story says.

use std::path::{Path, PathBuf};
use std::process::Command;

use ruleout::job::record;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks")
}

fn records() -> Vec<PathBuf> {
    let files = std::fs::read_dir(folder().join("jobs")).unwrap().map(|entry| entry.unwrap().path());
    let mut all: Vec<PathBuf> = files.filter(|path| path.extension().is_some_and(|e| e == "job")).collect();
    all.sort();
    all
}

fn ruleout(args: &[&str]) -> (String, i32) {
    let ran = Command::new(env!("CARGO_BIN_EXE_ruleout")).args(args).current_dir(folder()).output().unwrap();
    let text = format!("{}{}", String::from_utf8_lossy(&ran.stdout), String::from_utf8_lossy(&ran.stderr));
    (text, ran.status.code().unwrap())
}

#[test]
fn every_record_is_whole_and_its_chain_holds() {
    let all = records();
    assert!(all.len() >= 4, "the issue asks for four jobs on the fan book");
    for path in all {
        let record = record::read(&std::fs::read_to_string(&path).unwrap()).unwrap();
        assert!(record.broken.is_empty() && record.torn.is_none(), "{}", path.display());
        assert!(record.header.vehicle.is_some() && record.lines.len() > 5, "{}", path.display());
    }
}

#[test]
fn a_job_that_was_repaired_is_verified_and_one_with_a_wrong_entry_is_a_conflict() {
    for path in records() {
        let record = record::read(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let job = path.display().to_string();
        let (said, status) = ruleout(&["judge", &record.header.book, &job]);
        let repaired = record.lines.iter().any(|line| line.text.starts_with("repaired "));
        if job.ends_with("wrong-entry.job") {
            assert_eq!(status, 1, "{said}");
            assert!(said.contains("is both proved and ruled out") && said.contains("take again first"), "{said}");
        } else if repaired {
            assert_eq!(status, 0, "{job}: {said}");
            assert!(said.contains("Repaired and verified"), "{job}: {said}");
            assert!(said.contains("The job is done"), "{job}: {said}");
        }
        let (said, _) = ruleout(&["report", &job]);
        assert!(said.contains("Job report: ") && said.contains("demo fleet"), "{said}");
        assert!(said.lines().count() <= 60, "the first page of {job} has {} lines", said.lines().count());
    }
}

#[test]
fn before_its_repair_each_fault_was_proved_or_the_only_one_left() {
    for path in records() {
        let job = path.display().to_string();
        let (said, _) = ruleout(&["report", &job, "--whole"]);
        for part in said.split("What was found before ").skip(1) {
            let outcome = part.lines().nth(1).unwrap_or("");
            assert!(outcome.contains("Proved:") || outcome.contains("The only one left"), "{job}: {outcome}");
        }
    }
}
