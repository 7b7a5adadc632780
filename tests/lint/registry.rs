//! Every check: its help page is whole, its examples behave, its file is its row.

use std::collections::BTreeSet;

use ruleout::lint::checks::CHECKS;
use ruleout::lint::{Check, HelpPage, fix};
use ruleout::problem::Severity;
use ruleout::source::SourceId;
use ruleout::syntax::parse_book;

use crate::shelf::{lint, told};

/// What the examples may speak of without declaring it.
const SETTING: &str = include_str!("setting.rulebook");

/// The setting less what the example declares itself, and the example behind it; where the example begins.
fn in_setting(example: &str) -> (String, usize) {
    let own: BTreeSet<(_, String)> =
        parse_book(SourceId(0), example).0.declarations.iter().map(|d| (d.word, d.name.key())).collect();
    let (tree, problems) = parse_book(SourceId(0), SETTING);
    assert!(problems.is_empty(), "the setting itself: {problems:?}");
    let starts: Vec<usize> = tree.declarations.iter().map(|d| d.span.start as usize).chain([SETTING.len()]).collect();
    let mut text = String::new();
    for (declaration, ends) in tree.declarations.iter().zip(&starts[1..]) {
        let header = declaration.word == ruleout::syntax::words::DeclarationWord::Rulebook;
        let replaced = if header {
            own.iter().any(|(word, _)| *word == declaration.word)
        } else {
            own.contains(&(declaration.word, declaration.name.key()))
        };
        if !replaced {
            text.push_str(&SETTING[declaration.span.start as usize..*ends]);
        }
    }
    let start = text.len();
    (text + example, start)
}

/// The ids found inside an example, and all that was said.
fn ids(example: &str) -> (Vec<&'static str>, String) {
    let (text, start) = in_setting(example);
    let linted = lint(&text);
    let inside = linted.findings.iter().filter(|f| f.problem.span().start as usize >= start);
    (inside.map(|f| f.id()).collect(), told(&linted))
}

fn for_each_check(test: impl Fn(&Check, &HelpPage)) {
    for check in CHECKS {
        test(check, &check.page());
    }
}

#[test]
fn every_page_is_whole() {
    for_each_check(|check, page| {
        for part in [&page.finds, &page.harm, &page.bad, &page.good] {
            assert!(!part.trim().is_empty(), "{}: {page:?}", check.id);
        }
        assert_ne!(page.bad, page.good, "{}", check.id);
        assert!(page.finds.ends_with('.') && page.harm.ends_with('.'), "{}", check.id);
    });
}

#[test]
fn every_id_is_kebab_case_and_stands_in_order() {
    let ids: Vec<&str> = CHECKS.iter().map(|check| check.id).collect();
    let mut sorted = ids.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(ids, sorted);
    for id in ids {
        let kebab = id.split('-').all(|word| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase()));
        assert!(kebab && id.contains('-'), "{id}");
    }
}

#[test]
fn every_file_is_a_row_and_every_row_a_file() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/lint/checks");
    let files: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_string_lossy().replace('_', "-"))
        .filter(|name| name != "mod")
        .collect();
    let rows: BTreeSet<String> = CHECKS.iter().map(|check| check.id.to_string()).collect();
    assert_eq!(files, rows);
}

#[test]
fn every_bad_example_is_found_and_no_good_one() {
    for_each_check(|check, page| {
        let (bad, said) = ids(&HelpPage::typed(&page.bad));
        assert!(bad.contains(&check.id), "{}: the bad example is not found\n{said}", check.id);
        let (good, said) = ids(&HelpPage::typed(&page.good));
        assert!(!good.contains(&check.id), "{}: the good example is found\n{said}", check.id);
    });
}

#[test]
fn examples_can_be_read() {
    for_each_check(|check, page| {
        for example in [&page.bad, &page.good] {
            let (text, _) = in_setting(&HelpPage::typed(example));
            let linted = lint(&text);
            let errors: Vec<_> = linted
                .findings
                .iter()
                .filter(|f| f.problem.severity == Severity::Error && f.id().contains('/'))
                .collect();
            assert!(errors.is_empty(), "{}: {}", check.id, told(&linted));
        }
    });
}

#[test]
fn a_promised_fix_mends_and_an_unpromised_one_is_not_offered() {
    for_each_check(|check, page| {
        let bad = HelpPage::typed(&page.bad);
        let (text, start) = in_setting(&bad);
        let linted = lint(&text);
        let own: Vec<_> =
            linted.findings.iter().filter(|f| f.id() == check.id && f.problem.span().start as usize >= start).collect();
        assert_eq!(own.iter().any(|f| f.fix.is_some()), page.fix.is_some(), "{}", check.id);
        if page.fix.is_none() {
            return;
        }
        let source = own[0].problem.span().source;
        let (mended, done) = fix::apply(&text, source, own.iter().filter_map(|f| f.fix.as_ref()));
        assert!(done > 0, "{}", check.id);
        let again = lint(&mended);
        let left =
            again.findings.iter().filter(|f| f.id() == check.id && f.problem.span().start as usize >= start).count();
        assert_eq!(left, 0, "{}: {mended}\n{}", check.id, told(&again));
        assert_eq!(
            mended,
            in_setting(&HelpPage::typed(&page.good)).0,
            "{}: the fix is not what the good example shows",
            check.id
        );
    });
}
