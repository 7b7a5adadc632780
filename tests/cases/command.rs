//! `ruleout cases` as it is typed: options, files, exit statuses.

use crate::bench::Bench;

const BOOK: &str = "observation a\n  answers yes, no\nobservation b\n  answers yes, no\nfault f\nfault g\n\
                    rule r: a is yes implies f\nrule s: b is yes rules out f\n\
                    case right:\n  a is yes\n  expect f proved\n";

fn text(bench: &Bench, name: &str) -> String {
    std::fs::read_to_string(bench.path(name)).unwrap()
}

#[test]
fn coverage_comes_after_the_results() {
    let bench = Bench::with(BOOK);
    let plain = bench.run(&["cases", "book.rulebook"], "");
    assert_eq!((plain.status, &*plain.out), (0, "1 case passed, 0 failed\n"));
    let ran = bench.run(&["cases", "book.rulebook", "--coverage"], "");
    assert_eq!(ran.status, 0, "what is not reached is no failure");
    assert!(ran.says(&["rules: 1 of 2 applied", "book.rulebook:10: never applied: s", "limits: 0 of 0"]), "{ran:?}");
    assert!(ran.out.ends_with("1 case passed, 0 failed\n"));
}

#[test]
fn missing_cases_are_written_once_and_pass() {
    let bench = Bench::with(BOOK);
    let before = text(&bench, "book.rulebook");
    let dry = bench.run(&["cases", "book.rulebook", "--write-missing", "--dry-run"], "");
    assert_eq!(dry.status, 0);
    assert!(dry.out.contains("# drafted by ruleout cases --write-missing; check the values\ncase draft of s:\n  b is yes\n  expect f ruled out\n"));
    assert_eq!(text(&bench, "book.rulebook"), before, "a dry run writes nothing");
    let wet = bench.run(&["cases", "book.rulebook", "--write-missing"], "");
    assert_eq!(wet.status, 0);
    assert!(wet.says(&["1 drafted case added to book.rulebook; check the values"]), "{wet:?}");
    let after = text(&bench, "book.rulebook");
    assert_eq!(
        after,
        format!(
            "{before}\n# drafted by ruleout cases --write-missing; check the values\ncase draft of s:\n  b is yes\n  expect f ruled out\n"
        )
    );
    let again = bench.run(&["cases", "book.rulebook", "--write-missing"], "");
    assert!(again.says(&["a case tries every rule", "2 cases passed, 0 failed"]), "{again:?}");
    assert_eq!(text(&bench, "book.rulebook"), after);
    assert_eq!(bench.run(&["cases", "book.rulebook", "--dry-run"], "").status, 2, "wrong usage");
}

#[test]
fn a_rule_that_can_not_be_drafted_is_found() {
    let bench = Bench::with(&format!("{BOOK}rule never: a is yes and a is no implies g\n"));
    let ran = bench.run(&["cases", "book.rulebook", "--write-missing"], "");
    assert_eq!(ran.status, 1);
    assert!(ran.says(&["not drafted: rule `never`", "it may contradict itself"]), "{ran:?}");
}

#[cfg(unix)]
#[test]
fn a_book_keeps_its_permissions_and_its_link() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let bench = Bench::with(BOOK);
    let own = bench.path("book.rulebook");
    std::fs::set_permissions(&own, std::fs::Permissions::from_mode(0o640)).unwrap();
    symlink("book.rulebook", bench.path("link.rulebook")).unwrap();
    assert_eq!(bench.run(&["cases", "link.rulebook", "--write-missing"], "").status, 0);
    assert!(std::fs::symlink_metadata(bench.path("link.rulebook")).unwrap().is_symlink());
    assert_eq!(std::fs::metadata(&own).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(text(&bench, "book.rulebook").contains("case draft of s"));
}

#[test]
fn a_book_that_must_not_be_written_is_left_as_it_is() {
    let bench = Bench::with(BOOK);
    let before = text(&bench, "book.rulebook");
    let path = bench.path("book.rulebook");
    let mut mode = std::fs::metadata(&path).unwrap().permissions();
    mode.set_readonly(true);
    std::fs::set_permissions(&path, mode).unwrap();
    let ran = bench.run(&["cases", "book.rulebook", "--write-missing"], "");
    assert_eq!(ran.status, 2);
    assert!(ran.says(&["`book.rulebook` can't be written: permission is denied"]), "{ran:?}");
    assert_eq!(text(&bench, "book.rulebook"), before);
}

#[test]
fn junit_goes_to_its_file_and_the_results_to_people() {
    let bench = Bench::with(&format!("{BOOK}case wrong:\n  expect f proved\n"));
    bench.write("broken.rulebook", "rulebook \"w\"\n  language 1\nfault f\nfault f\n");
    let ran = bench.run(&["cases", ".", "--junit", "results.xml"], "");
    assert_eq!(ran.status, 2, "one book could not be run");
    assert!(ran.out.ends_with("1 case passed, 1 failed, the cases of 1 broken book not run\n"));
    let xml = text(&bench, "results.xml");
    assert!(xml.contains("tests=\"3\"") && xml.contains("failures=\"1\"") && xml.contains("errors=\"1\""), "{xml}");
    let ran = bench.run(&["cases", "book.rulebook", "--junit", "no such folder/results.xml"], "");
    assert_eq!(ran.status, 2);
    assert!(ran.says(&["can't be written: there is no such file"]), "{ran:?}");
}

#[test]
fn json_is_the_only_thing_on_standard_output() {
    let bench = Bench::with(&format!("{BOOK}case wrong:\n  expect f proved\n"));
    let ran = bench.run(&["cases", "book.rulebook", "--format", "json", "--write-missing", "--dry-run"], "");
    assert_eq!(ran.status, 1);
    let json = ran.json();
    assert_eq!(json["books"][0]["coverage"]["rules"][1]["applied"], 0);
    assert_eq!(json["books"][0]["cases"][1]["passed"], false);
    assert_eq!(json["books"][0]["drafts"]["drafted"][0]["rule"], "s");
}
