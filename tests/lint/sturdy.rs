//! Lint on spoilt books: whatever is cut out of a book or put into it, it answers, places lie in the text, and fixes
//! can be done.

use proptest::prelude::*;

use ruleout::lint::fix;

use crate::corpus::clean_books;
use crate::shelf::lint;

/// Words that a slip of the hand may put anywhere.
const SCRAPS: &[&str] = &[
    "\n",
    "  ",
    "\"",
    "(",
    " and ",
    " or ",
    " with ",
    "0",
    "-",
    "# allow: ",
    "# allow: missing-takes — x\n",
    "é",
    "\u{200B}",
    "\u{435}",
    "`",
    ":",
    "rule x:\n",
    "not ",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_spoilt_book_gets_an_answer(book in 0usize..46, cuts in prop::collection::vec((0.0f64..1.0, 0usize..40, 0usize..18), 1..6)) {
        let books = clean_books();
        let mut text = books[book % books.len()].1.clone();
        for (place, length, scrap) in cuts {
            let near = |at: usize| (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
            let start = near((place * text.len() as f64) as usize);
            let end = near(start + length).max(start);
            text.replace_range(start..end, SCRAPS[scrap % SCRAPS.len()]);
        }
        let linted = lint(&text);
        for finding in &linted.findings {
            for label in &finding.problem.labels {
                prop_assert!(text.get(label.span.range()).is_some(), "{finding:?}");
            }
        }
        if let Some(source) = linted.findings.first().map(|f| f.problem.span().source) {
            let (mended, _) = fix::apply(&text, source, linted.findings.iter().filter_map(|f| f.fix.as_ref()));
            lint(&mended);
        }
    }
}

#[test]
fn a_condition_of_many_thousand_tests_is_looked_at_in_time() {
    let mut text = String::from("rulebook \"x\"\nreading a\n  unit V\nstate s\nchange c\nrule r:\n  a below 1 V");
    for n in 0..5_000 {
        text.push_str(&format!("\n  and a below {n} V with c, s"));
    }
    text.push_str("\n  implies f\nfault f\n");
    let start = std::time::Instant::now();
    let linted = lint(&text);
    assert!(!linted.findings.is_empty());
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
}

#[test]
fn a_hundred_thousand_allowances_before_one_line_are_read_once() {
    let text = "# allow: missing-share x\n".repeat(100_000) + "fault f\n";
    assert!(!lint(&text).findings.is_empty());
    // And before none.
    assert!(!lint(&"# allow: missing-share x\n".repeat(100_000)).findings.is_empty());
}
