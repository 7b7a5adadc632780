//! What the cases of a book reach.

use std::collections::BTreeMap;

use ruleout::lint::cases::BookCases;
use ruleout::lint::cases::coverage::{ComparisonTried, FaultTried, RuleTried};
use ruleout::output::cases_text;
use ruleout::source::Span;

use crate::{corpus, of_file, of_text};

/// Line by line what the book itself says of its coverage.
fn said(text: &str) -> BTreeMap<usize, String> {
    let marks = ["# rule: ", "# true: ", "# fault: "];
    let mark = |line: &str| marks.iter().find_map(|mark| line.find(mark).map(|at| line[at + 2..].trim().to_string()));
    text.lines().enumerate().skip(3).filter_map(|(at, line)| Some((at + 1, mark(line)?))).collect()
}

#[test]
fn a_book_that_says_what_its_cases_reach_is_right() {
    let path = corpus("coverage.rulebook");
    let (loaded, book) = of_file(&path);
    let cases = BookCases::of(&loaded, book);
    assert_eq!(cases.counts(), (4, 0));
    let line = |span: Span| cases.book.sources.line_column(span).0;
    let mut found = BTreeMap::new();
    for RuleTried { rule, applied } in &cases.coverage.rules {
        found.insert(line(cases.book.rule(*rule).span), format!("rule: {applied}"));
    }
    for ComparisonTried { span, was_true, was_false } in &cases.coverage.comparisons {
        found.insert(line(*span), format!("true: {was_true}, false: {was_false}"));
    }
    for FaultTried { fault, proved, ruled_out, left_open, in_conflict } in &cases.coverage.faults {
        let verdicts = format!("fault: {proved}, {ruled_out}, {left_open}, {in_conflict}");
        found.insert(line(cases.book.fault(*fault).span), verdicts);
    }
    assert_eq!(found, said(&std::fs::read_to_string(path).unwrap()));
    assert!(found.len() >= 15, "{found:?}");
}

#[test]
fn coverage_is_said_in_words_and_places() {
    let (loaded, book) = of_file(&corpus("coverage.rulebook"));
    let cases = BookCases::of(&loaded, book);
    let page = cases_text::coverage(&cases.book, &cases.coverage).render(200);
    let plain = page.replace(&corpus("").display().to_string(), "");
    insta::assert_snapshot!("coverage", plain);
}

const SHARED: &str = "rulebook \"r\"\n  language 1\n  use \"used.rulebook\"\nlimit least = 11 V\n\
    reading v\n  unit V\n  from 0 V to 40 V\n  meter 0.1 V\nfault f\nfault g\n\
    rule own: v below least implies f\nprofile \"24 V\"\n  limit least = 22 V\n\
    case under the profile:\n  profile \"24 V\"\n  v = 15 V\n  expect f proved\n";

#[test]
fn a_case_under_a_profile_counts_and_a_used_file_does_not() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.rulebook");
    std::fs::write(&path, SHARED).unwrap();
    let used =
        "rulebook \"u\"\n  language 1\nobservation o\n  answers yes, no\nfault h\nrule theirs: o is yes implies h\n";
    std::fs::write(folder.path().join("used.rulebook"), used).unwrap();
    let (loaded, book) = of_file(&path);
    let cases = BookCases::of(&loaded, book).with_drafts();
    let rules: Vec<usize> = cases.coverage.rules.iter().map(|rule| rule.applied).collect();
    assert_eq!(rules, [1], "the file's own rule, applied under the profile");
    assert_eq!(cases.coverage.faults.len(), 2);
    // 15 V is below 22 V; that it is not below 11 V is not known to any case.
    let sides: Vec<(usize, usize)> = cases.coverage.comparisons.iter().map(|c| (c.was_true, c.was_false)).collect();
    assert_eq!(sides, [(1, 0)]);
    assert_eq!(cases.drafts, Some(Default::default()), "their rule is drafted in their file");
}

#[test]
fn a_book_without_cases_reaches_nothing() {
    let (loaded, book) = of_text(
        "rulebook \"r\"\n  language 1\nobservation o\n  answers yes, no\nfault f\nrule r: o is yes implies f\n",
    );
    let cases = BookCases::of(&loaded, book);
    assert_eq!((cases.coverage.cases, cases.coverage.rules[0].applied), (0, 0));
    assert_eq!(cases.coverage.untried_rules().count(), 1);
}
