//! What the tests of weights and advice share: a book from text, a job from sentences.
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::path::Path;

use ruleout::advice::{Advice, advise};
use ruleout::book::{Book, FaultId, load};
use ruleout::job::Job;
use ruleout::output::words::Wording;
use ruleout::reasoning::{Judgement, judge};
use ruleout::source::Sources;
use ruleout::syntax::parse_statement;

mod text;
pub(crate) use text::Text;

/// A book from its text; a head of `language 1` is put before it.
pub(crate) fn book(text: &str) -> Book {
    let whole = format!("rulebook \"test\"\n  language 1\n{text}");
    let loaded = load(&Text(whole), Path::new("test.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    let errors: Vec<_> = problems.iter().filter(|p| p.severity == ruleout::problem::Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    book
}

/// A job from sentences, one a line.
pub(crate) fn job(book: &Book, lines: &str) -> Job {
    let mut job = Job::new(book);
    enter(book, &mut job, lines);
    job
}

/// Enters sentences, one a line.
pub(crate) fn enter(book: &Book, job: &mut Job, lines: &str) {
    let mut sources = Sources::new();
    let source = sources.add("job", lines);
    for line in lines.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let statement = parse_statement(source, 0, line).unwrap_or_else(|problem| panic!("{line}: {problem:?}"));
        job.enter(book, statement, line).unwrap_or_else(|problems| panic!("{line}: {problems:?}"));
    }
}

/// A job judged.
pub(crate) fn judged(book: &Book, lines: &str) -> (Job, Judgement) {
    let job = job(book, lines);
    let judgement = judge(book, &job);
    (job, judgement)
}

/// The fault of a name.
pub(crate) fn fault(book: &Book, name: &str) -> FaultId {
    book.find_fault(name).unwrap_or_else(|| panic!("no fault {name}"))
}

/// The weight of the hypothesis with exactly these faults; none of them for what the book doesn't cover.
pub(crate) fn weight(book: &Book, judgement: &Judgement, names: &[&str]) -> f64 {
    let mut set: Vec<FaultId> = names.iter().map(|name| fault(book, name)).collect();
    set.sort_unstable();
    judgement.hypotheses.iter().find(|h| h.faults == set).map_or(0.0, |h| h.weight)
}

/// Asserts that two numbers agree to nine digits.
#[track_caller]
pub(crate) fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "found {found}, expected {expected}");
}

/// What is advised for a job from sentences.
pub(crate) fn advice(book: &Book, lines: &str, count: usize) -> Advice {
    let (job, judgement) = judged(book, lines);
    advise(book, &job, &judgement, count)
}

/// What each step of it measures.
pub(crate) fn names(book: &Book, advice: &Advice) -> Vec<String> {
    advice.steps.iter().map(|step| book.indication(step.indication).name.clone()).collect()
}

/// The same advice as it is told.
pub(crate) fn text(book: &Book, lines: &str, count: usize) -> String {
    let (job, judgement) = judged(book, lines);
    let advice = advise(book, &job, &judgement, count);
    Wording { book, job: &job }.advice(&advice, &mut Vec::new()).render(500)
}
