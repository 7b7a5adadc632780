//! Cases for machines: JSON of a versioned shape. The schema is made from these structs and kept in the tests.

use schemars::JsonSchema;
use serde::Serialize;

use crate::book::Book;
use crate::lint::cases::coverage::Coverage;
use crate::lint::cases::draft::{Drafts, Why};
use crate::lint::cases::mutants::{Fate, Mutation};
use crate::lint::cases::{BookCases, CaseResult, Refused};
use crate::problem::Problem;

use super::cases_text::{found, words};
use super::clean::clean;
use super::judgement_json::{JsonBook, json_book, outcome_word};

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/cases/1";

/// A run of `ruleout cases`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCases {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// How many cases passed.
    pub passed: usize,
    /// How many failed.
    pub failed: usize,
    /// The books, in the order of the run.
    pub books: Vec<JsonCaseBook>,
    /// Books whose cases could not be run.
    pub refused: Vec<JsonRefused>,
}

/// A book that can't be used.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRefused {
    /// Its file, as given.
    pub file: String,
    /// Why.
    pub why: String,
}

/// The cases of one book.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCaseBook {
    /// The book.
    pub book: JsonBook,
    /// How many of its cases passed.
    pub passed: usize,
    /// How many failed.
    pub failed: usize,
    /// The cases, in book order.
    pub cases: Vec<JsonCase>,
    /// What they reach, of what the book's own file declares.
    pub coverage: JsonCoverage,
    /// What `--write-missing` drafted; null without it.
    pub drafts: Option<JsonDrafts>,
    /// What `--mutants` found; left out without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mutation: Option<JsonMutation>,
}

/// How sharp the cases of a book are.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonMutation {
    /// Slips in rules that some case finds.
    pub killed: usize,
    /// Slips that none finds.
    pub survivors: Vec<JsonSurvivor>,
    /// Slips that no measurement tells from the rule.
    pub equal: usize,
    /// Slips that were not decided.
    pub undecided: usize,
}

/// A slip that no case finds.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonSurvivor {
    /// The rule's label.
    pub rule: String,
    /// File and line.
    pub place: String,
    /// What slipped.
    pub slip: &'static str,
    /// The lines of a job that would find it.
    pub witness: Vec<String>,
}

fn json_mutation(book: &Book, mutation: &Mutation) -> JsonMutation {
    let [killed, _, equal, undecided] = mutation.counts();
    let survivors = mutation.mutants.iter().filter_map(|mutant| match &mutant.fate {
        Fate::Survives(lines) => Some(JsonSurvivor {
            rule: clean(&book.rule(mutant.rule).label).into_owned(),
            place: clean(&book.sources.place(mutant.span)).into_owned(),
            slip: mutant.says,
            witness: lines.iter().map(|line| clean(line).into_owned()).collect(),
        }),
        _ => None,
    });
    JsonMutation { killed, survivors: survivors.collect(), equal, undecided }
}

/// One case.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCase {
    /// Its label.
    pub case: String,
    /// File and line.
    pub place: String,
    /// Whether all was as expected.
    pub passed: bool,
    /// What it comes to at its end: a word as in `ruleout/judgement/1`.
    pub outcome: &'static str,
    /// What was not as expected, and lines that could not be taken.
    pub failures: Vec<JsonFailure>,
    /// The explanation of what was found instead, line by line; empty where it passed.
    pub found: Vec<String>,
}

/// One expectation that did not come true, or one line that could not be taken.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonFailure {
    /// `case/failed`, `case/no-expect`, or that of the line's problem.
    pub code: &'static str,
    /// File and line.
    pub place: String,
    /// Expected against found.
    pub message: String,
    /// The fix.
    pub help: Option<String>,
}

/// What cases reach.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCoverage {
    /// Each rule, in book order.
    pub rules: Vec<JsonRuleTried>,
    /// Each comparison that a verdict can rest on, by place.
    pub comparisons: Vec<JsonComparisonTried>,
    /// Each fault, in book order.
    pub faults: Vec<JsonFaultTried>,
}

/// In how many cases a rule applied.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRuleTried {
    /// Its label.
    pub rule: String,
    /// File and line.
    pub place: String,
    /// In how many cases it applied.
    pub applied: usize,
}

/// In how many cases a comparison came out which way.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonComparisonTried {
    /// Its words.
    pub words: String,
    /// File and line.
    pub place: String,
    /// In how many cases it was true.
    pub was_true: usize,
    /// In how many it was false.
    pub was_false: usize,
    /// Whether it was both.
    pub both_sides: bool,
}

/// In how many cases a fault was given which verdict.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonFaultTried {
    /// As declared.
    pub fault: String,
    /// File and line.
    pub place: String,
    /// Proved.
    pub proved: usize,
    /// Ruled out.
    pub ruled_out: usize,
    /// Left open, the only one left included.
    pub left_open: usize,
    /// In conflict.
    pub in_conflict: usize,
}

/// What was drafted.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonDrafts {
    /// The drafts, in the order of their rules.
    pub drafted: Vec<JsonDraft>,
    /// Rules for which there is none.
    pub undrafted: Vec<JsonUndrafted>,
}

/// One draft.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonDraft {
    /// The rule that it makes apply.
    pub rule: String,
    /// The label of the case.
    pub case: String,
    /// Its text.
    pub text: String,
}

/// A rule without a draft.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonUndrafted {
    /// Its label.
    pub rule: String,
    /// File and line.
    pub place: String,
    /// `no_setup`, `no_entries`, `out_of_budget`, `unwritable`.
    pub why: &'static str,
    /// The same in a sentence.
    pub text: String,
}

/// The results of a run.
pub fn json_cases(books: &[BookCases], refused: &[Refused]) -> JsonCases {
    let refused = refused.iter().map(|one| JsonRefused { file: safe(&one.file), why: safe(&one.why) });
    JsonCases {
        schema: SCHEMA,
        passed: books.iter().map(|book| book.counts().0).sum(),
        failed: books.iter().map(|book| book.counts().1).sum(),
        books: books.iter().map(one_book).collect(),
        refused: refused.collect(),
    }
}

fn one_book(cases: &BookCases) -> JsonCaseBook {
    let (passed, failed) = cases.counts();
    JsonCaseBook {
        book: json_book(&cases.book),
        passed,
        failed,
        cases: cases.results.iter().map(one_case).collect(),
        coverage: json_coverage(&cases.book, &cases.coverage),
        drafts: cases.drafts.as_ref().map(|drafts| json_drafts(&cases.book, drafts)),
        mutation: cases.mutation.as_ref().map(|mutation| json_mutation(&cases.book, mutation)),
    }
}

fn one_case(result: &CaseResult) -> JsonCase {
    let passed = result.passed();
    let lines = |result: &CaseResult| {
        let page = found(result);
        page.lines().iter().map(|(depth, text)| format!("{}{text}", "  ".repeat(*depth))).collect()
    };
    JsonCase {
        case: safe(&result.label),
        place: safe(&result.book.sources.place(result.span)),
        passed,
        outcome: outcome_word(result.judgement.outcome),
        failures: result.failures.iter().map(|problem| failure(&result.book, problem)).collect(),
        found: if passed { Vec::new() } else { lines(result) },
    }
}

fn failure(book: &Book, problem: &Problem) -> JsonFailure {
    JsonFailure {
        code: problem.code,
        place: safe(&book.sources.place(problem.span())),
        message: safe(&problem.message),
        help: problem.help.as_ref().map(|help| safe(help)),
    }
}

fn json_coverage(book: &Book, coverage: &Coverage) -> JsonCoverage {
    let place = |span| safe(&book.sources.place(span));
    let rules = coverage.rules.iter().map(|tried| {
        let rule = book.rule(tried.rule);
        JsonRuleTried { rule: safe(&rule.label), place: place(rule.span), applied: tried.applied }
    });
    let comparisons = coverage.comparisons.iter().map(|tried| JsonComparisonTried {
        words: safe(&words(book, tried.span)),
        place: place(tried.span),
        was_true: tried.was_true,
        was_false: tried.was_false,
        both_sides: tried.both_sides(),
    });
    let faults = coverage.faults.iter().map(|tried| {
        let fault = book.fault(tried.fault);
        JsonFaultTried {
            fault: safe(&fault.name),
            place: place(fault.span),
            proved: tried.proved,
            ruled_out: tried.ruled_out,
            left_open: tried.left_open,
            in_conflict: tried.in_conflict,
        }
    });
    JsonCoverage { rules: rules.collect(), comparisons: comparisons.collect(), faults: faults.collect() }
}

fn json_drafts(book: &Book, drafts: &Drafts) -> JsonDrafts {
    let label = |rule| safe(&book.rule(rule).label);
    let drafted = drafts.drafts.iter().map(|draft| JsonDraft {
        rule: label(draft.rule),
        case: safe(&draft.label),
        text: draft.text.clone(),
    });
    let undrafted = drafts.undrafted.iter().map(|one| JsonUndrafted {
        rule: label(one.rule),
        place: safe(&book.sources.place(book.rule(one.rule).span)),
        why: why(one.why),
        text: one.why.words().into(),
    });
    JsonDrafts { drafted: drafted.collect(), undrafted: undrafted.collect() }
}

fn why(why: Why) -> &'static str {
    match why {
        Why::NoSetup => "no_setup",
        Why::NoEntries => "no_entries",
        Why::NeedsLog => "needs_log",
        Why::OutOfBudget => "out_of_budget",
        Why::Unwritable => "unwritable",
    }
}

fn safe(text: &str) -> String {
    clean(text).into_owned()
}
