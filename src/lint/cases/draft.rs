//! Cases for rules that no case makes apply: setups from what the rule's readings demand, entries from a small search
//! over values around its limits, outside of what the meter can tell, and what is to be expected from judging them. A
//! draft is read again and run before it is given out. It says what the book does, not what a vehicle does: the
//! author has to check its values. Knows nothing of files.

mod search;
mod stands;
mod values;
mod ways;
pub(in crate::lint) mod words;

use std::collections::BTreeSet;
use std::sync::Arc;

use rayon::prelude::*;

use crate::book::{Book, Case, FaultId, RuleId};
use crate::problem::Severity;
use crate::reasoning::Judgement;
use crate::source::{SourceId, Span};
use crate::syntax::format::format;
use crate::syntax::parse_book;
use crate::syntax::tree::{FieldBody, fold};

use super::coverage::Coverage;

/// A case for one rule.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Draft {
    /// The rule that it makes apply.
    pub rule: RuleId,
    /// Its label.
    pub label: String,
    /// Its text, laid out, the comment above it included.
    pub text: String,
}

/// Why there is no draft.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Why {
    /// No setup meets what its readings ask for together.
    NoSetup,
    /// No entries that were tried make it true.
    NoEntries,
    /// It asks for what only a recorded signal can tell.
    NeedsLog,
    /// The search was given up.
    OutOfBudget,
    /// What was found can't be written so that it passes.
    Unwritable,
}

impl Why {
    /// In words: lower case, no full stop.
    pub fn words(self) -> &'static str {
        match self {
            Why::NoSetup => {
                "no setup meets all that its readings ask for: it contradicts itself, or the states it needs do"
            }
            Why::NoEntries => {
                "no answers, and no values that a meter can tell from its limits, make it true: it may contradict itself"
            }
            Why::NeedsLog => "it asks for what only a recorded signal can tell; record one and write the case",
            Why::OutOfBudget => "too many values would have to be tried",
            Why::Unwritable => "what was found does not pass when it is written down and run",
        }
    }
}

/// A rule without a draft.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Undrafted {
    /// Which rule.
    pub rule: RuleId,
    /// Why.
    pub why: Why,
}

/// All that was drafted for a book, in its order.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Drafts {
    /// The drafts.
    pub drafts: Vec<Draft>,
    /// Rules for which there is none.
    pub undrafted: Vec<Undrafted>,
}

impl Drafts {
    /// A book's text with the drafts after it; its line ends are kept.
    pub fn appended_to(&self, text: &str) -> String {
        let mut out = text.to_string();
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        for draft in &self.drafts {
            if !out.is_empty() && !out.ends_with('\n') {
                out.push_str(end);
            }
            out.push_str(end);
            out.push_str(&draft.text.replace('\n', end));
        }
        out
    }

    /// The drafts as one text.
    pub fn text(&self) -> String {
        self.drafts.iter().map(|draft| draft.text.as_str()).collect::<Vec<_>>().join("\n")
    }
}

/// A case for each rule of the book's own file that no case makes apply.
pub fn drafts(book: &Arc<Book>, coverage: &Coverage) -> Drafts {
    let rules: Vec<RuleId> = coverage.untried_rules().collect();
    let found: Vec<_> = rules.par_iter().map(|rule| search::search(book, *rule)).collect();
    let mut all = Drafts::default();
    let mut taken: BTreeSet<String> = book.cases.iter().map(|case| fold(&case.label)).collect();
    for (rule, found) in rules.into_iter().zip(found) {
        match found {
            Err(_) if book.rule(rule).condition.asks_a_log() => {
                all.undrafted.push(Undrafted { rule, why: Why::NeedsLog });
            }
            Err(why) => all.undrafted.push(Undrafted { rule, why }),
            Ok(found) => {
                let label = free_label(&book.rule(rule).label, &mut taken);
                let text = laid_out(words::case(book, rule, &label, &found));
                all.drafts.push(Draft { rule, label, text });
            }
        }
    }
    proved(book, all)
}

/// Whether trying values finds a job that makes a rule apply.
pub(in crate::lint) fn applies_by_trial(book: &Book, rule: RuleId) -> bool {
    search::search(book, rule).is_ok()
}

/// `draft of feed lost after the relay`, with a number where there is such a case already.
pub(in crate::lint) fn free_label(rule: &str, taken: &mut BTreeSet<String>) -> String {
    let plain = format!("draft of {rule}");
    let numbered = (2..).map(|n| format!("{plain} ({n})"));
    let free = std::iter::once(plain.clone()).chain(numbered).find(|label| !taken.contains(&fold(label)));
    let label = free.unwrap_or(plain);
    taken.insert(fold(&label));
    label
}

/// The text of a case for a rule, laid out: some lines, and what is found of the faults it speaks of and of some others.
pub(in crate::lint) fn case_text(
    book: &Book,
    rule: RuleId,
    label: &str,
    lines: &[String],
    (judgement, also): (Judgement, Vec<FaultId>),
) -> String {
    laid_out(words::case(book, rule, label, &search::Found { lines: lines.to_vec(), judgement, also }))
}

fn laid_out(text: String) -> String {
    format(&text).unwrap_or(text)
}

/// Reads the drafts again and runs them; those that don't pass, or don't make their rule apply, are left out.
fn proved(book: &Arc<Book>, all: Drafts) -> Drafts {
    let mut reader = Book::clone(book);
    let read: Vec<(SourceId, Option<Case>)> = all
        .drafts
        .iter()
        .map(|draft| {
            let source = reader.sources.add("draft", draft.text.as_str());
            (source, read_one(source, &draft.text))
        })
        .collect();
    let reader = Arc::new(reader);
    let passes = |rule: RuleId, case: &Case| {
        let result = super::run(&reader, case, &crate::job::LogSource::default());
        result.passed() && result.judgement.evidence.applied.iter().any(|applied| applied.rule == rule)
    };
    let stands: Vec<bool> = all
        .drafts
        .par_iter()
        .zip(&read)
        .map(|(draft, (_, case))| case.as_ref().is_some_and(|case| passes(draft.rule, case)))
        .collect();
    let mut proved = Drafts { drafts: Vec::new(), undrafted: all.undrafted };
    for (draft, stands) in all.drafts.into_iter().zip(stands) {
        if stands {
            proved.drafts.push(draft);
        } else {
            proved.undrafted.push(Undrafted { rule: draft.rule, why: Why::Unwritable });
        }
    }
    proved.undrafted.sort_by_key(|one| one.rule);
    proved
}

/// The one case of a text, if nothing is wrong with it.
pub(in crate::lint) fn read_one(source: SourceId, text: &str) -> Option<Case> {
    let (tree, problems) = parse_book(source, text);
    if problems.iter().any(|problem| problem.severity == Severity::Error) {
        return None;
    }
    let declaration = tree.declarations.into_iter().next()?;
    // Spans of a tree are those of its source.
    let span = |span: Span| Span { source, ..span };
    let lines = declaration.fields.into_iter().filter_map(|field| match field.body {
        FieldBody::Statement(statement) => Some((*statement, span(field.span))),
        _ => None,
    });
    Some(Case { label: declaration.name.text.to_string(), span: span(declaration.name.span), lines: lines.collect() })
}
