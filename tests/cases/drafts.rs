//! Drafts: one for every rule that can apply, that passes, makes its rule apply and is laid out; and the reason where
//! there is none.

use std::path::{Path, PathBuf};

use ruleout::lint::cases::BookCases;
use ruleout::lint::cases::draft::{Drafts, Why};
use ruleout::syntax::format::format;

use crate::{books, corpus, of_file, of_text, resolved};

/// The drafts of a book as if it had no case at all, and its text.
fn drafted(path: &Path) -> (String, BookCases) {
    let (loaded, mut book) = of_file(path);
    let labels: Vec<String> = book.cases.drain(..).map(|case| case.label).collect();
    assert!(labels.iter().all(|label| !label.starts_with("draft of ")), "{}", path.display());
    (std::fs::read_to_string(path).unwrap(), BookCases::of(&loaded, book).with_drafts())
}

/// With its drafts at its end a book has no errors, every draft passes and makes its rule apply; then nothing more is
/// drafted for those rules.
fn stands(path: &Path, text: &str, drafts: &Drafts) {
    let folder = path.parent().unwrap();
    let beside = folder.join(path.file_name().unwrap());
    let shelf = Beside { path: beside.clone(), text: drafts.appended_to(text) };
    let loaded = ruleout::book::load(&shelf, &beside).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(!ruleout::book::load::has_errors(&problems), "{}: {problems:#?}", path.display());
    let again = BookCases::of(&loaded, book);
    for draft in &drafts.drafts {
        let result = again.results.iter().find(|result| result.label == draft.label).unwrap();
        assert!(result.passed(), "{}: {:#?}", path.display(), result.failures);
        let label = &again.book.rule(draft.rule).label;
        let applied = |rule| &again.book.rule(rule).label == label;
        let applies = result.judgement.evidence.applied.iter().any(|one| applied(one.rule));
        assert!(applies, "{}: `{label}` does not apply in\n{}", path.display(), draft.text);
    }
    let left: Vec<&str> = again.coverage.untried_rules().map(|rule| &*again.book.rule(rule).label).collect();
    let undrafted: Vec<&str> = drafts.undrafted.iter().map(|one| &*again.book.rule(one.rule).label).collect();
    assert!(left.iter().all(|rule| undrafted.contains(rule)), "{}: {left:?}", path.display());
}

struct Beside {
    path: std::path::PathBuf,
    text: String,
}

impl ruleout::book::Library for Beside {
    fn read(&self, path: &Path) -> Result<String, String> {
        if path == self.path { Ok(self.text.clone()) } else { crate::Shelf::Disk.read(path) }
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

#[test]
fn rules_of_the_shipped_books_get_drafts_that_pass() {
    let (mut count, mut none) = (0, Vec::new());
    for path in books("rulebooks") {
        let (text, cases) = drafted(&path);
        let drafts = cases.drafts.as_ref().unwrap();
        none.extend(drafts.undrafted.iter().map(|one| (cases.book.rule(one.rule).label.clone(), one.why)));
        count += drafts.drafts.len();
        stands(&path, &text, drafts);
        for draft in &drafts.drafts {
            assert_eq!(format(&draft.text).as_deref(), Ok(&*draft.text), "{}", path.display());
            assert!(
                draft.text.starts_with("# drafted by ruleout cases --write-missing; check the values\ncase draft of ")
            );
        }
        if format(&text).as_ref() == Ok(&text) {
            let whole = drafts.appended_to(&text);
            assert_eq!(format(&whole).as_ref(), Ok(&whole), "{}", path.display());
        }
    }
    assert!(none.iter().all(|(_, why)| *why != Why::Unwritable), "{none:?}");
    none.retain(|(_, why)| *why != Why::NeedsLog);
    assert!(count >= 120 && none.len() * 20 <= count, "{count} drafted, not {none:?}");
}

#[test]
fn drafts_of_the_points_of_the_language_pass() {
    let (mut count, mut none) = (0, 0);
    // A recorded signal can't be drafted: a case names a log that somebody recorded.
    let signals = |path: &PathBuf| path.file_name().is_some_and(|name| name.to_string_lossy().contains("signals"));
    for path in books("tests/corpus/points").into_iter().filter(|path| !signals(path)) {
        let (text, cases) = drafted(&path);
        let drafts = cases.drafts.as_ref().unwrap();
        count += drafts.drafts.len();
        none += drafts.undrafted.iter().filter(|one| one.why != Why::NeedsLog).count();
        stands(&path, &text, drafts);
    }
    // What is left asks for one exact value, or can't be.
    assert!(count >= 380 && none * 20 <= count, "{count} drafted, {none} not");
}

#[test]
fn a_book_that_says_what_can_not_be_drafted_is_right() {
    let path = corpus("drafts.rulebook");
    let (text, cases) = drafted(&path);
    let drafts = cases.drafts.as_ref().unwrap();
    stands(&path, &text, drafts);
    let mut said = Vec::new();
    for (mark, rule) in text.lines().zip(text.lines().skip(1)) {
        if let Some(why) = mark.strip_prefix("# undrafted: ") {
            said.push((rule.strip_prefix("rule ").unwrap().trim_end_matches(':').to_string(), why.to_string()));
        }
    }
    let word = |why| match why {
        Why::NoSetup => "no_setup",
        Why::NoEntries => "no_entries",
        Why::NeedsLog => "needs_log",
        Why::OutOfBudget => "out_of_budget",
        Why::Unwritable => "unwritable",
    };
    let found = drafts.undrafted.iter().map(|one| (cases.book.rule(one.rule).label.clone(), word(one.why).to_string()));
    assert_eq!(found.collect::<Vec<_>>(), said);
    assert_eq!(drafts.drafts.len() + said.len(), cases.book.rules.len());
    insta::assert_snapshot!("drafts", drafts.text());
}

#[test]
fn the_same_book_gives_the_same_drafts() {
    let path = corpus("drafts.rulebook");
    assert_eq!(drafted(&path).1.drafts, drafted(&path).1.drafts);
}

#[test]
fn a_draft_says_its_profile_and_shuns_labels_that_are_taken() {
    let text = "rulebook \"r\"\n  language 1\nlimit least = 11 V\nreading v\n  unit V\n  from 0 V to 40 V\nfault f\nfault g\n\
                rule low: v below least implies f\nprofile \"24 V\"\n  limit least = 22 V\n\
                case Draft of LOW:\n  v = 30 V\n  expect f open\n";
    let (loaded, _) = of_text(text);
    let cases = BookCases::of(&loaded, loaded.resolve(Some("24 V")).0).with_drafts();
    let drafts = cases.drafts.unwrap();
    assert_eq!(drafts.drafts[0].label, "draft of low (2)");
    let lines: Vec<&str> = drafts.drafts[0].text.lines().map(str::trim).collect();
    assert_eq!(lines[2], "profile \"24 V\"");
    // Between the two limits, so only the profile makes it true.
    assert_eq!(lines[3], "v = 21.9 V");
    // Without `--profile` it still passes: it names its own.
    let (loaded, book) = of_text(&drafts.appended_to(text));
    assert_eq!(BookCases::of(&loaded, book).counts(), (2, 0));
}

#[test]
fn a_draft_without_a_conflict_is_found_if_there_is_one() {
    // Below 8 V both rules apply and quarrel; between 8 V and 10 V only the first.
    let text = "rulebook \"r\"\n  language 1\nreading v\n  unit V\n  from 0 V to 40 V\nobservation o\n  answers yes, no\n\
                fault f\nfault g\nrule low: v below 10 V and o is yes implies f\nrule lower: v below 8 V rules out f\n\
                case lower:\n  v = 2 V\n  expect f ruled out\n";
    let (loaded, book) = of_text(text);
    let cases = BookCases::of(&loaded, book).with_drafts();
    let drafts = cases.drafts.unwrap();
    assert!(drafts.drafts[0].text.contains("expect f proved"), "{}", drafts.text());
}

#[test]
fn line_ends_are_those_of_the_book() {
    let (_, cases) = drafted(&corpus("drafts.rulebook"));
    let drafts = cases.drafts.unwrap();
    let dos = drafts.appended_to("rulebook \"r\"\r\n  language 1");
    assert!(dos.replace("\r\n", "").find(['\n', '\r']).is_none());
    assert!(dos.starts_with("rulebook \"r\"\r\n  language 1\r\n\r\n# drafted"));
    let unix = drafts.appended_to("rulebook \"r\"\n  language 1\n");
    assert!(unix.starts_with("rulebook \"r\"\n  language 1\n\n# drafted") && !unix.contains('\r'));
    assert_eq!(unix, dos.replace("\r\n", "\n"));
}

#[test]
fn a_very_long_or_deep_condition_ends() {
    let head = "rulebook \"r\"\n  language 1\nobservation o\n  answers yes, no\nobservation p\n  answers yes, no\nfault f\nfault g\n";
    let pair = "(o is yes or p is yes)";
    let long = format!("{head}rule long: {} implies f\n", [pair; 300].join(" and "));
    let impossible = format!("{head}rule never: {} and o is no and p is no implies f\n", [pair; 9].join(" and "));
    for text in [long, impossible] {
        let (loaded, book) = resolved(&crate::Shelf::Text(text), Path::new("book.rulebook"));
        let drafts = BookCases::of(&loaded, book).with_drafts().drafts.unwrap();
        assert_eq!(drafts.undrafted.first().map(|one| one.why), Some(Why::OutOfBudget));
    }
}
