//! How sharp cases are: slips in rules that no case finds, each with a job that would, and drafts that do.

use std::path::Path;

use ruleout::book::load;
use ruleout::job::LogSource;
use ruleout::lint::cases::BookCases;
use ruleout::lint::cases::mutants::{Fate, Mutation};
use ruleout::problem::Severity;

#[path = "support/text.rs"]
mod text;
use text::Text;

const BOOK: &str = "rulebook \"Fan feed\"\n  language 1\n\
    change relay swapped\n\
    reading supply at fan\n  unit V\n  from 0 V to 32 V\n  meter 0.5 % + 2 digits of 0.01 V\n\
    observation relay clicks\n  answers yes, no\n\
    fault open feed wire\nfault blown fuse\n\
    rule feed lost:\n  supply at fan below 12 V with relay swapped\n  and relay clicks is yes\n  implies open feed wire\n";

fn tried(cases: &str) -> (BookCases, Mutation) {
    let loaded = load(&Text(format!("{BOOK}{cases}")), Path::new("book.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(problems.iter().all(|problem| problem.severity != Severity::Error), "{problems:#?}");
    let cases = BookCases::of(&loaded, book).with_drafts().with_mutants(&loaded, &LogSource::default());
    assert_eq!(cases.counts().1, 0, "a case fails");
    let mutation = cases.mutation.clone().unwrap();
    (cases, mutation)
}

fn surviving(mutation: &Mutation) -> Vec<&'static str> {
    mutation.mutants.iter().filter(|m| matches!(m.fate, Fate::Survives(_))).map(|m| m.says).collect()
}

const DULL: &str =
    "case dull:\n  relay clicks is yes\n  with relay swapped\n  supply at fan = 2 V\n  expect open feed wire proved\n";

#[test]
fn a_case_far_from_the_limit_finds_only_coarse_slips() {
    let (_, mutation) = tried(DULL);
    let [killed, ..] = mutation.counts();
    assert_eq!(
        surviving(&mutation),
        [
            "part left out",
            "limit moved up by the meter's accuracy",
            "limit moved down by the meter's accuracy",
            "part left out",
        ]
    );
    assert_eq!(killed, 4, "{mutation:#?}");
    assert!((mutation.score() - 0.5).abs() < 1e-9);
}

#[test]
fn the_drafts_find_what_survived() {
    let (cases, before) = tried(DULL);
    assert!(!surviving(&before).is_empty());
    let drafted = cases.drafts.unwrap().text();
    let (_, after) = tried(&format!("{DULL}{drafted}"));
    assert_eq!(surviving(&after), Vec::<&str>::new(), "{drafted}");
    assert_eq!(after.counts()[0], before.counts()[0] + before.counts()[1]);
}

#[test]
fn a_slip_that_nobody_can_measure_is_left_out() {
    // The limit lies as far above the scale as the meter may be off: moved down it is the scale's end itself, and
    // moved up nothing changes.
    let beyond = "rule beyond:\n  supply at fan above 40 V\n  implies blown fuse\n";
    let (_, mutation) = tried(&format!("{beyond}{DULL}"));
    let beyond: Vec<&Fate> = mutation
        .mutants
        .iter()
        .filter(|mutant| mutant.says.starts_with("limit moved") && mutant.rule.place() == 1)
        .map(|mutant| &mutant.fate)
        .collect();
    assert_eq!(beyond, [&Fate::Equal, &Fate::Equal], "{mutation:#?}");
}

#[test]
fn cases_that_are_blunter_than_was_asked_for_are_found() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fan.rulebook");
    std::fs::write(&path, format!("{BOOK}{DULL}")).unwrap();
    let run = |least: &str| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ruleout"));
        command.args(["cases", "--mutants", "--at-least", least]).arg(&path).output().unwrap()
    };
    // Four of eight are found.
    assert_eq!(run("50").status.code(), Some(0));
    let blunt = run("51");
    assert_eq!(blunt.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&blunt.stdout).contains("the cases find less than 51 % of the slips"));
}
