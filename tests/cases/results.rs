//! Results for people and machines: text, JUnit XML, JSON.

use quick_junit::{NonSuccessKind, Report, TestCaseStatus};
use ruleout::lint::cases::{BookCases, Refused};
use ruleout::output::cases_json::{JsonCases, json_cases};
use ruleout::output::cases_text::found;
use ruleout::output::junit::junit;

use crate::{corpus, of_file, of_text};

fn failing() -> BookCases {
    let (loaded, book) = of_file(&corpus("failing.rulebook"));
    BookCases::of(&loaded, book)
}

fn no_folders(text: &str) -> String {
    text.replace(&format!("{}/", corpus("").display()).replace("//", "/"), "")
}

#[test]
fn a_failure_tells_why_and_no_more() {
    let cases = failing();
    assert_eq!(cases.counts(), (0, 8));
    let mut told = String::new();
    for result in &cases.results {
        let messages: Vec<&str> = result.failures.iter().map(|problem| problem.message.as_str()).collect();
        let page = found(result).render(2000);
        told.push_str(&format!("{}\n- {}\n{page}\n", result.label, messages.join("\n- ")));
    }
    insta::assert_snapshot!("failures", no_folders(&told));
    // The first case expects one fault wrongly: the others of the book are not told.
    let first = found(&cases.results[0]).render(80);
    assert!(first.contains("open feed wire") && !first.contains("burnt relay") && !first.contains("seized motor"));
}

fn xml() -> (String, Report) {
    let refused = [Refused { file: "lost.rulebook".into(), why: "there is no such file".into() }];
    let (loaded, book) = of_file(&corpus("coverage.rulebook"));
    let xml = junit(&[failing(), BookCases::of(&loaded, book)], &refused).unwrap();
    let report = Report::deserialize_from_str(&xml).unwrap();
    (xml, report)
}

#[test]
fn junit_has_a_suite_a_book_and_a_test_a_case() {
    let (xml, report) = xml();
    assert_eq!((report.tests, report.failures, report.errors), (13, 8, 1));
    let suites: Vec<(usize, usize)> = report.test_suites.iter().map(|suite| (suite.tests, suite.failures)).collect();
    assert_eq!(suites, [(8, 8), (4, 0), (1, 0)]);
    let first = &report.test_suites[0];
    let names: Vec<&str> = first.properties.iter().map(|property| property.name.as_str()).collect();
    assert_eq!(names, ["title", "revision", "digest"]);
    let case = &first.test_cases[0];
    assert_eq!(case.name.as_str(), "expected proved, left open");
    assert!(case.classname.as_ref().unwrap().as_str().ends_with("failing.rulebook"));
    let TestCaseStatus::NonSuccess { kind, message, ty, description, .. } = &case.status else { panic!("{case:?}") };
    assert_eq!(*kind, NonSuccessKind::Failure);
    assert_eq!(message.as_ref().unwrap().as_str(), "expected `open feed wire` proved, found it open");
    assert_eq!(ty.as_ref().unwrap().as_str(), "case/failed");
    let description = description.as_ref().unwrap().as_str();
    assert!(description.contains("rule `no feed` would prove it") && description.contains("entry 1"), "{description}");
    assert!(!xml.contains("timestamp=") && !xml.contains("time="), "the same books give the same file");
    assert_eq!(xml, self::xml().0);
}

#[test]
fn hostile_labels_can_not_break_out_of_the_xml() {
    let text = "rulebook \"<r> & ]]>\"\n  language 1\nfault f\ncase a <b>&\"c\u{1b}[31m\u{202e}\u{ffff}]]> d:\n  expect f proved\n";
    let (loaded, book) = of_text(text);
    let xml = junit(&[BookCases::of(&loaded, book)], &[]).unwrap();
    let report = Report::deserialize_from_str(&xml).unwrap();
    let name = report.test_suites[0].test_cases[0].name.as_str().to_string();
    assert!(name.starts_with("a <b>&\"c\\u{1b}[31m\\u{202e}") && name.ends_with("]]> d"), "{name}");
    assert!(!xml.contains(['\u{1b}', '\u{202e}', '\u{ffff}']));
}

#[test]
fn the_schema_of_the_cases_is_kept() {
    let schema = schemars::schema_for!(JsonCases);
    insta::assert_snapshot!("cases_schema", serde_json::to_string_pretty(&schema).unwrap());
}

#[test]
fn json_says_all_that_text_says() {
    let (loaded, book) = of_file(&corpus("drafts.rulebook"));
    let drafted = BookCases::of(&loaded, book).with_drafts();
    let refused = [Refused { file: "lost.rulebook".into(), why: "there is no such file".into() }];
    let json = serde_json::to_value(json_cases(&[failing(), drafted], &refused)).unwrap();
    assert_eq!(json["schema"], "ruleout/cases/1");
    assert_eq!((json["passed"].as_u64(), json["failed"].as_u64()), (Some(0), Some(8)));
    assert_eq!(json["refused"][0]["file"], "lost.rulebook");
    let book = &json["books"][0];
    assert_eq!(book["book"]["revision"], "3");
    assert_eq!(book["cases"][0]["failures"][0]["code"], "case/failed");
    assert_eq!(book["cases"][0]["found"][0], "open feed wire: open");
    assert_eq!(book["cases"][0]["outcome"], "open");
    assert_eq!(book["coverage"]["rules"][0]["rule"], "no feed");
    assert_eq!(book["coverage"]["comparisons"][0]["words"], "supply at blower below 11.5 V");
    assert!(book["drafts"].is_null());
    let drafts = &json["books"][1]["drafts"];
    assert_eq!(drafts["drafted"][0]["case"], "draft of plain");
    assert_eq!(drafts["undrafted"][0]["why"], "no_entries");
}
