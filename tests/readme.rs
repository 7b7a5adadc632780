//! What the README shows, runs: its rulebook is clean, its cases pass, its commands exist.

use std::path::Path;
use std::process::{Command, Output};

fn readme() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap()
}

fn ruleout(args: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ruleout")).args(args).current_dir(folder).env("NO_COLOR", "1").output().unwrap()
}

fn first_rulebook(readme: &str) -> &str {
    let start = readme.find("```text\nrulebook ").expect("the README has a rulebook") + "```text\n".len();
    let end = start + readme[start..].find("```").expect("it is closed");
    &readme[start..end]
}

#[test]
fn the_first_rulebook_is_clean_laid_out_and_its_cases_pass() {
    let folder = tempfile::tempdir().unwrap();
    let readme = readme();
    std::fs::write(folder.path().join("lamp.rulebook"), first_rulebook(&readme)).unwrap();
    for args in [&["lint", "lamp.rulebook"][..], &["cases", "lamp.rulebook"], &["fmt", "--check", "lamp.rulebook"]] {
        let ran = ruleout(args, folder.path());
        assert!(
            ran.status.success(),
            "{args:?}: {}{}",
            String::from_utf8_lossy(&ran.stdout),
            String::from_utf8_lossy(&ran.stderr)
        );
    }
}

#[test]
fn every_command_of_the_table_exists() {
    let readme = readme();
    let named = readme.lines().filter(|line| line.starts_with("| `ruleout "));
    let mut count = 0;
    for line in named {
        for command in line.split("`ruleout ").skip(1) {
            let word = command.split(|c: char| !c.is_alphanumeric()).next().unwrap();
            let ran = ruleout(&[word, "--help"], Path::new("."));
            assert!(ran.status.success(), "`ruleout {word}` is in the README");
            count += 1;
        }
    }
    assert!(count >= 8, "only {count} commands are in the table");
}

#[test]
fn it_opens_with_one_paragraph_that_states_the_job() {
    let readme = readme();
    let mut parts = readme.split("\n\n");
    assert_eq!(parts.next(), Some("# Ruleout"));
    assert!(parts.next().is_some_and(|p| !p.starts_with(['#', '`', '|', '-']) && p.contains("technician")));
}

/// Copies a folder with all that is in it.
fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copied(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}

#[test]
fn one_recorded_job_goes_from_complaint_to_printed_report_by_its_commands() {
    let readme = readme();
    let path = readme.split("## From complaint to printed report").nth(1).unwrap();
    let block = path.split("```sh\n").nth(1).unwrap().split("```").next().unwrap().replace("\\\n", " ");
    let folder = tempfile::tempdir().unwrap();
    copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks"), &folder.path().join("rulebooks"));
    let mut ran = 0;
    // `ask` waits for a technician; the browser is looked at by .ci/pages; the whole order takes long without optimization.
    for line in block.lines().filter(|line| line.starts_with("ruleout report") || line.starts_with("ruleout jobs")) {
        let words = line.split('#').next().unwrap().trim().replacen("ruleout ", "", 1);
        let mut args: Vec<String> = Vec::new();
        for (nth, piece) in words.split('"').enumerate() {
            match nth % 2 {
                0 => args.extend(piece.split_whitespace().map(str::to_string)),
                _ => args.push(piece.to_string()),
            }
        }
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let done = ruleout(&args, folder.path());
        let said = String::from_utf8_lossy(&done.stderr).to_string();
        assert!(done.status.success(), "{line}: {said}{}", String::from_utf8_lossy(&done.stdout));
        ran += 1;
    }
    assert!(ran >= 4, "only {ran} commands");
    let html = std::fs::read_to_string(folder.path().join("report.html")).unwrap();
    for said in ["Done: the repair is verified", "Recorded signals", "chafed fan ground: proved", "<svg"] {
        assert!(html.contains(said), "{said}");
    }
}
