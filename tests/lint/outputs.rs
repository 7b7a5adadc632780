//! What CI reads: SARIF of the right shape, JSON, annotations, and findings that can't break out of any of them.

use ruleout::lint::checks::CHECKS;
use ruleout::lint::{Choice, Linted};
use ruleout::output::github::annotations;
use ruleout::output::lint_json::json_lint;
use ruleout::output::sarif::sarif;
use ruleout::problem::Severity;
use serde_json::Value;

use crate::shelf::{lint, lint_files};

/// A fix, a further place, letters of more than one byte, and a problem met in reading.
const BOOK: &str = "rulebook \"Lüfter\"\n  revision 1\n  scope \"x\"\nfault open wire\n  \"Ω\" oops\nfault open wire\nfault dead fan \u{202E}\n";

fn sarif_of(files: &[Linted]) -> Value {
    serde_json::to_value(sarif(files)).unwrap()
}

/// The value at a path of keys and places.
fn at<'v>(value: &'v Value, path: &str) -> &'v Value {
    let found = value.pointer(path).unwrap_or(&Value::Null);
    assert!(!found.is_null(), "nothing at {path} of {value:#}");
    found
}

/// Required properties of SARIF 2.1.0 (errata 01): sarifLog (3.13), run (3.14), toolComponent (3.19), result (3.27),
/// location (3.28), region (3.30), fix (3.55), artifactChange (3.56), replacement (3.57). CI holds the output against
/// the schema itself.
#[test]
fn sarif_has_the_shape_of_the_standard() {
    let log = sarif_of(&[lint(BOOK)]);
    assert_eq!(at(&log, "/version"), "2.1.0");
    assert!(at(&log, "/$schema").as_str().unwrap().ends_with("sarif-schema-2.1.0.json"));
    assert_eq!(at(&log, "/runs/0/tool/driver/name"), "ruleout");
    assert_eq!(at(&log, "/runs/0/columnKind"), "unicodeCodePoints");
    let rules = at(&log, "/runs/0/tool/driver/rules").as_array().unwrap();
    for result in at(&log, "/runs/0/results").as_array().unwrap() {
        let index = usize::try_from(at(result, "/ruleIndex").as_u64().unwrap()).unwrap();
        assert_eq!(at(&rules[index], "/id"), at(result, "/ruleId"));
        assert!(["error", "warning", "note"].contains(&at(result, "/level").as_str().unwrap()));
        assert!(!at(result, "/message/text").as_str().unwrap().is_empty());
        let place = at(result, "/locations/0/physicalLocation");
        assert_eq!(at(place, "/artifactLocation/uri"), "book.rulebook");
        for end in ["startLine", "startColumn", "endLine", "endColumn"] {
            assert!(at(place, &format!("/region/{end}")).as_u64().unwrap() >= 1);
        }
    }
}

#[test]
fn sarif_knows_every_check_and_what_reading_met() {
    let log = sarif_of(&[lint(BOOK)]);
    let rules = at(&log, "/runs/0/tool/driver/rules").as_array().unwrap();
    let ids: Vec<&str> = rules.iter().map(|rule| at(rule, "/id").as_str().unwrap()).collect();
    assert!(CHECKS.iter().all(|check| ids.contains(&check.id)));
    assert!(ids.contains(&"syntax/unexpected"), "{ids:?}");
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len());
}

#[test]
fn a_fix_is_a_replacement_at_its_place() {
    let log = sarif_of(&[lint(BOOK)]);
    let results = at(&log, "/runs/0/results").as_array().unwrap();
    let header = results.iter().find(|r| at(r, "/ruleId") == "incomplete-header").unwrap();
    let change = at(header, "/fixes/0/artifactChanges/0");
    assert_eq!(at(change, "/replacements/0/insertedContent/text"), "\n  language 1");
    assert_eq!(at(change, "/replacements/0/deletedRegion/startLine"), 1);
    assert_eq!(at(change, "/replacements/0/deletedRegion/startColumn"), 18);
}

#[test]
fn json_says_where_in_characters_and_bytes() {
    let json = serde_json::to_value(json_lint(&[lint(BOOK)])).unwrap();
    assert_eq!(at(&json, "/schema"), "ruleout/lint/1");
    assert_eq!(at(&json, "/files/0"), "book.rulebook");
    let findings = at(&json, "/findings").as_array().unwrap();
    let oops = findings.iter().find(|f| at(f, "/id") == "syntax/unexpected").unwrap();
    assert_eq!((at(oops, "/place/line"), at(oops, "/place/column")), (&Value::from(5), &Value::from(7)));
    assert_eq!(at(oops, "/place/start").as_u64().unwrap() as usize, BOOK.find("oops").unwrap());
}

#[test]
fn nothing_from_a_book_reaches_a_terminal_raw() {
    let linted = [lint(BOOK)];
    let all = [
        annotations(&linted),
        serde_json::to_string_pretty(&json_lint(&linted)).unwrap(),
        sarif_of(&linted).to_string(),
    ];
    for text in all {
        assert!(!text.contains('\u{202E}'), "{text}");
    }
}

#[test]
fn annotations_are_one_line_each() {
    let linted = lint(BOOK);
    let text = annotations(std::slice::from_ref(&linted));
    assert_eq!(text.lines().count(), linted.findings.len());
    let header = text.lines().find(|line| line.contains("title=incomplete-header")).unwrap();
    assert_eq!(
        header,
        "::warning file=book.rulebook,line=1,endLine=1,col=10,endColumn=18,title=incomplete-header::this rulebook doesn't say in which \
         language it is written — add an indented line such as `language 1`"
    );
}

#[test]
fn deny_raises_and_allow_leaves_out() {
    let lint_with =
        |choice: &Choice| lint_files(&[("book.rulebook", BOOK)], &["book.rulebook"], choice).remove(0).findings;
    let ids = vec!["incomplete-header".to_string(), "syntax/unexpected".to_string()];
    let denied = lint_with(&Choice { deny: ids.clone(), ..Choice::default() });
    assert!(denied.iter().any(|f| f.id() == "incomplete-header" && f.problem.severity == Severity::Error));
    let allowed = lint_with(&Choice { allow: ids, ..Choice::default() });
    assert!(!allowed.iter().any(|f| f.id() == "incomplete-header"));
    assert!(allowed.iter().any(|f| f.id() == "syntax/unexpected"), "an error of reading can't be left out");
}

const SHELF: &str = "rulebook \"s\"\n  language 1\n  revision 1\n  scope \"s\"\n  source \"invented\"\nlimit least feed = 22.5 V\n  because \"b\"\nlimit spare = 1 V\n  because \"b\"\n";
const USER: &str = "rulebook \"u\"\n  language 1\n  revision 1\n  scope \"u\"\n  source \"invented\"\n  use \"shelf.rulebook\"\nreading feed\n  unit V\n  from 0 V to 32 V\n  where \"w\"\n  takes 1 min\nfault open wire\n  \"o\"\n  remedy \"r\"\n  shows feed below least feed\n  verify feed at least least feed\n";

#[test]
fn a_used_file_is_looked_at_only_when_it_is_named() {
    let files = [("user.rulebook", USER), ("shelf.rulebook", SHELF)];
    let alone = lint_files(&files, &["user.rulebook"], &Choice::default());
    assert!(alone[0].findings.is_empty(), "{:?}", alone[0].findings);
    let shelf = lint_files(&files, &["shelf.rulebook"], &Choice::default());
    assert!(shelf[0].findings.is_empty(), "a file that only declares is there for others: {:?}", shelf[0].findings);
}

#[test]
fn with_its_user_in_the_run_a_shelf_knows_what_is_asked_of_it() {
    let files = [("user.rulebook", USER), ("shelf.rulebook", SHELF)];
    let both = lint_files(&files, &["shelf.rulebook", "user.rulebook"], &Choice::default());
    let ids: Vec<_> = both[0].findings.iter().map(|f| (f.id(), f.problem.message.as_str())).collect();
    assert_eq!(ids, [("unused-limit", "nothing is held against the limit `spare`")]);
    assert!(both[1].findings.is_empty());
}

#[test]
fn an_error_in_a_used_file_is_said_once() {
    let broken = SHELF.replace("= 22.5 V", "= 22.5 volts");
    let files = [("user.rulebook", USER), ("shelf.rulebook", &broken)];
    let count = |named: &[&str]| {
        let linted = lint_files(&files, named, &Choice::default());
        linted.iter().flat_map(|l| &l.findings).filter(|f| f.id() == "units/unknown").count()
    };
    assert_eq!(count(&["user.rulebook"]), 1);
    assert_eq!(count(&["user.rulebook", "shelf.rulebook"]), 1);
}
