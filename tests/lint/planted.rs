//! Defects planted by a generator: every clean book of the corpus is broken in one place at a time, and what was
//! planted must be found there. Nothing else may be said but what follows from the planted line being gone.

use rayon::prelude::*;
use ruleout::source::{SourceId, Span};
use ruleout::syntax::parse_book;
use ruleout::syntax::tree::{Declaration, FieldBody, Tree};
use ruleout::syntax::words::{DeclarationWord as D, FieldWord as F};

use crate::corpus::clean_books;
use crate::shelf::{found, lint, told};

/// One broken book: its text, and what must be found in which line.
struct Planted {
    text: String,
    line: usize,
    id: &'static str,
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

fn lines_of(text: &str, span: Span) -> std::ops::Range<usize> {
    let start = text[..span.start as usize].rfind('\n').map_or(0, |at| at + 1);
    let end = text[span.end as usize..].find('\n').map_or(text.len(), |at| span.end as usize + at + 1);
    start..end
}

/// Fields that are missed when they go: of which declarations, which, and the check that misses them.
const MISSED: &[(D, F, &str)] = &[
    (D::Rule, F::Because, "missing-because"),
    (D::Limit, F::Because, "missing-because"),
    (D::Fault, F::Remedy, "missing-remedy"),
    (D::Fault, F::Verify, "missing-verify"),
    (D::Fault, F::Share, "missing-share"),
    (D::Reading, F::Takes, "missing-takes"),
    (D::Observation, F::Takes, "missing-takes"),
    (D::Change, F::Takes, "missing-takes"),
    (D::Change, F::How, "missing-how"),
    (D::Reading, F::Where, "missing-where"),
    (D::Reading, F::From, "missing-range"),
    (D::Complaint, F::First, "complaint-without-first"),
    (D::Complaint, F::GoneWhen, "complaint-without-gone-when"),
    (D::Rulebook, F::Language, "incomplete-header"),
    (D::Rulebook, F::Revision, "incomplete-header"),
    (D::Rulebook, F::Scope, "incomplete-header"),
];

/// Takes one field out of one declaration.
fn without_a_field(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    for declaration in &tree.declarations {
        for (_, word, id) in MISSED.iter().filter(|(of, ..)| *of == declaration.word) {
            let mut fields = declaration.fields.iter().filter(|field| field.word == *word);
            let (Some(field), None) = (fields.next(), fields.next()) else { continue };
            let others = tree.declarations.iter().any(|d| {
                d.word == D::Fault && d.name != declaration.name && d.fields.iter().any(|f| f.word == F::Share)
            });
            let how = declaration.fields.iter().any(|f| f.word == F::How);
            if (*id == "missing-share" && !others) || (*id == "missing-where" && how) {
                continue;
            }
            let range = lines_of(text, field.span);
            let text = format!("{}{}", &text[..range.start], &text[range.end..]);
            out.push(Planted { line: line_of(&text, declaration.name.span.start as usize), text, id });
        }
    }
}

fn without_expect(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    for case in tree.declarations.iter().filter(|d| d.word == D::Case) {
        let expects: Vec<_> = case.fields.iter().filter(|f| text[f.span.range()].starts_with("expect")).collect();
        if let [only] = expects.as_slice() {
            let range = lines_of(text, only.span);
            let text = format!("{}{}", &text[..range.start], &text[range.end..]);
            out.push(Planted { line: line_of(&text, case.name.span.start as usize), text, id: "case-without-expect" });
        }
    }
}

/// Puts words into the first text of each fault.
fn spoilt_texts(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    for fault in tree.declarations.iter().filter(|d| d.word == D::Fault).take(1) {
        let said =
            fault.fields.iter().find_map(|f| if let FieldBody::Text(said) = &f.body { Some(said) } else { None });
        let Some(said) = said else { continue };
        let at = said.span.start as usize + 1;
        for (put, id) in
            [("\u{200B}", "hidden-characters"), ("\u{1B}[2J", "hidden-characters"), ("TODO ", "unfinished-text")]
        {
            let text = format!("{}{put}{}", &text[..at], &text[at..]);
            out.push(Planted { line: line_of(&text, at), text, id });
        }
        let text = format!("{}{}", &text[..at], &text[said.span.end as usize - 1..]);
        out.push(Planted { line: line_of(&text, at), text, id: "empty-text" });
    }
}

/// Writes a fault's name with a letter of another script, everywhere.
fn disguised(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    for fault in tree.declarations.iter().filter(|d| d.word == D::Fault && d.name.text.contains('e')).take(1) {
        let spoilt = fault.name.text.replacen('e', "\u{435}", 1);
        let text = text.replace(&*fault.name.text, &spoilt);
        let at = text.find(&format!("fault {spoilt}")).unwrap();
        out.push(Planted { line: line_of(&text, at), text, id: "look-alike-letters" });
    }
}

/// Declares something that nothing asks for.
fn unasked(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    if !tree.declarations.iter().any(|d| d.word == D::Rule) {
        return;
    }
    for (words, id) in [
        (
            "limit most heat = 90 degC\n  because \"So the maker of the hose says\"\n  source \"invented\"\n",
            "unused-limit",
        ),
        ("state doors open\n", "unused-state"),
        ("change horn unplugged\n  how \"Pull its plug.\"\n  takes 2 min\n", "unused-change"),
        ("observation horn sounds\n  answers yes, no\n  takes 1 min\n", "unused-observation"),
        ("part horn\n  kind \"horn, 24 V\"\n", "unused-part"),
        ("caution loud horn\n  \"The horn is loud.\"\n", "unused-caution"),
    ] {
        let line = text.matches('\n').count() + 1;
        out.push(Planted { text: format!("{text}{words}"), line, id });
    }
}

/// Copies a rule under another label, and turns odds round.
fn careless_rules(text: &str, tree: &Tree, out: &mut Vec<Planted>) {
    for rule in tree.declarations.iter().filter(|d| d.word == D::Rule) {
        let copy = text[rule.span.range()].replacen(&*rule.name.text, "once more the same", 1);
        let line = text.matches('\n').count() + 1;
        out.push(Planted { text: format!("{text}{copy}\n"), line, id: "same-conditions" });
        let body = &text[rule.span.range()];
        if let Some(at) = body.find(" 2 to 1").map(|at| at + rule.span.start as usize) {
            let text = format!("{} 1 to 2{}", &text[..at], &text[at + 7..]);
            out.push(Planted { line: line_of(&text, at + 1), text, id: "reversed-odds" });
        }
    }
}

fn stale_allowance(text: &str, declaration: &Declaration, out: &mut Vec<Planted>) {
    let at = lines_of(text, declaration.name.span).start;
    let text = format!("{}# allow: tolerance-twice — once there were two\n{}", &text[..at], &text[at..]);
    out.push(Planted { line: line_of(&text, at), text, id: "unneeded-allowance" });
}

fn plant(text: &str) -> Vec<Planted> {
    let (tree, problems) = parse_book(SourceId(0), text);
    assert!(problems.is_empty());
    let mut all = Vec::new();
    without_a_field(text, &tree, &mut all);
    without_expect(text, &tree, &mut all);
    spoilt_texts(text, &tree, &mut all);
    disguised(text, &tree, &mut all);
    unasked(text, &tree, &mut all);
    careless_rules(text, &tree, &mut all);
    tree.declarations
        .iter()
        .filter(|d| d.word == D::Fault)
        .take(1)
        .for_each(|fault| stale_allowance(text, fault, &mut all));
    all
}

/// What may come along because a line is gone or a rule copied.
fn follows(planted: &str, id: &str) -> bool {
    id.starts_with("unused-")
        || matches!(
            (planted, id),
            ("missing-how", "lone-part-kind")
                | ("same-conditions", "repeated-number")
                | ("look-alike-letters", "unknown-name-in-case")
        )
}

#[test]
fn what_is_planted_is_found_and_nothing_that_does_not_follow() {
    let books: Vec<(String, Planted)> = clean_books()
        .iter()
        .flat_map(|(name, text)| plant(text).into_iter().map(|planted| (name.clone(), planted)))
        .collect();
    let wrong: String = books.par_iter().filter_map(|(name, planted)| amiss(name, planted)).collect();
    assert!(wrong.is_empty(), "{wrong}");
    assert!(books.len() >= 500, "only {} planted", books.len());
}

/// What is wrong with the findings of a broken book.
fn amiss(name: &str, planted: &Planted) -> Option<String> {
    let linted = lint(&planted.text);
    let said = found(&linted);
    let hit = said.contains(&(planted.line, planted.id));
    let noise = said.iter().any(|(line, id)| (*line, *id) != (planted.line, planted.id) && !follows(planted.id, id));
    (!hit || noise).then(|| format!("{name}: planted {} in line {}\n{}\n", planted.id, planted.line, told(&linted)))
}
