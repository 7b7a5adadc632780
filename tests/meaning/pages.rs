//! Every check by meaning keeps what its help page says: the bad example is found, with a witness that the judge bears
//! out; the good one, a near-miss of it, is not.

use std::collections::BTreeSet;

use ruleout::lint::meaning::CHECKS;
use ruleout::source::SourceId;
use ruleout::syntax::parse_book;

use crate::shelf::{Asked, ask, assert_witnessed};

/// What the examples may speak of without declaring it.
const SETTING: &str = include_str!("../lint/setting.rulebook");

/// The setting less what the example declares itself, and the example behind it; only what is found in the example.
fn in_setting(example: &str) -> Asked {
    let own: BTreeSet<(_, String)> =
        parse_book(SourceId(0), example).0.declarations.iter().map(|d| (d.word, d.name.key())).collect();
    let (tree, _) = parse_book(SourceId(0), SETTING);
    let starts: Vec<usize> = tree.declarations.iter().map(|d| d.span.start as usize).chain([SETTING.len()]).collect();
    let mut text = String::new();
    for (declaration, ends) in tree.declarations.iter().zip(&starts[1..]) {
        if !own.contains(&(declaration.word, declaration.name.key())) {
            text.push_str(&SETTING[declaration.span.start as usize..*ends]);
        }
    }
    let start = text.len();
    let mut asked = ask(&(text + example));
    asked.findings.retain(|finding| finding.problem.span().start as usize >= start);
    asked
}

#[test]
fn every_bad_example_is_found_with_its_witness_and_no_good_one() {
    let mut wrong = String::new();
    for check in CHECKS {
        let page = check.page();
        for part in [&page.finds, &page.harm] {
            assert!(part.ends_with('.'), "{}: {page:?}", check.id);
        }
        let bad = in_setting(&page.bad);
        if bad.of(check.id).is_empty() {
            wrong.push_str(&format!("{}: the bad example is not found\n{}", check.id, bad.told()));
        }
        if bad.of(check.id).iter().any(|finding| finding.witness.is_none()) {
            wrong.push_str(&format!("{}: no witness\n{}", check.id, bad.told()));
        }
        let good = in_setting(&page.good);
        if !good.of(check.id).is_empty() {
            wrong.push_str(&format!("{}: the good example is found\n{}", check.id, good.told()));
        }
        assert_witnessed(&bad);
        assert_witnessed(&good);
        assert_eq!((bad.survey.total(), good.survey.total()), (0, 0), "{}", check.id);
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_check_is_a_file_and_a_row_in_order() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/lint/meaning");
    let files: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| std::fs::read_to_string(path).unwrap().contains("\ncheck! {"))
        .map(|path| path.file_stem().unwrap().to_string_lossy().replace('_', "-"))
        .collect();
    let rows: Vec<String> = CHECKS.iter().map(|check| check.id.to_string()).collect();
    assert_eq!(files.into_iter().collect::<Vec<_>>(), rows);
}
