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
