//! Cases for CI, as JUnit XML: a suite for each book, a test for each case, in the order of the run. No times: the
//! same books give the same file.

use quick_junit::{NonSuccessKind, Property, Report, TestCase, TestCaseStatus, TestSuite};

use crate::lint::cases::{BookCases, CaseResult, Refused};

use super::cases_text::found;
use super::clean::clean;
use super::judgement_json::outcome_word;
use super::page::WIDTH;

/// The results of a run.
///
/// # Errors
/// Why it can't be written as XML.
pub fn junit(books: &[BookCases], refused: &[Refused]) -> Result<String, String> {
    let mut report = Report::new("ruleout cases");
    report.add_test_suites(books.iter().map(suite));
    report.add_test_suites(refused.iter().map(unusable));
    report.to_string().map_err(|error| error.to_string())
}

fn suite(cases: &BookCases) -> TestSuite {
    let book = &cases.book;
    let mut suite = TestSuite::new(safe(&book.file));
    let digest = Some(book.digest.hex().to_string());
    let properties = [
        ("title", Some(book.title.clone())),
        ("revision", book.revision.clone()),
        ("digest", digest),
        ("profile", book.profile.clone()),
    ];
    let said = properties.into_iter().filter_map(|(name, value)| Some(Property::new(name, safe(&value?))));
    suite.add_properties(said);
    suite.add_test_cases(cases.results.iter().map(|result| test(&book.file, result)));
    suite
}

fn test(file: &str, result: &CaseResult) -> TestCase {
    let status = if result.passed() { TestCaseStatus::success() } else { failure(result) };
    let mut test = TestCase::new(safe(&result.label), status);
    test.set_classname(safe(file));
    test.add_property(("place", safe(&result.book.sources.place(result.span)).as_str()));
    test.add_property(("outcome", outcome_word(result.judgement.outcome)));
    test
}

/// Expected against found, then the explanation.
fn failure(result: &CaseResult) -> TestCaseStatus {
    let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
    let messages: Vec<&str> = result.failures.iter().map(|problem| problem.message.as_str()).collect();
    let places = result.failures.iter().map(|problem| {
        let help = problem.help.as_ref().map_or(String::new(), |help| format!(" ({help})"));
        format!("{}: {}{help}\n", result.book.sources.place(problem.span()), problem.message)
    });
    let places: String = places.collect();
    status.set_type(result.failures.first().map_or("case/failed", |problem| problem.code));
    status.set_message(safe(&messages.join("; ")));
    status.set_description(safe(&format!("{places}{}", found(result).render(WIDTH))));
    status
}

/// A book that can't be used is a suite with one error.
fn unusable(refused: &Refused) -> TestSuite {
    let mut status = TestCaseStatus::non_success(NonSuccessKind::Error);
    status.set_type("unusable");
    status.set_message(safe(&refused.why));
    let mut test = TestCase::new("the book can be used", status);
    test.set_classname(safe(&refused.file));
    let mut suite = TestSuite::new(safe(&refused.file));
    suite.add_test_case(test);
    suite
}

/// Without characters that hide, or that XML can't hold.
fn safe(text: &str) -> String {
    clean(text).replace(['\u{FFFE}', '\u{FFFF}'], "\u{FFFD}")
}
