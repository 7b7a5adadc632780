//! Running the cases of a book: each starts empty, enters its lines, and is held to what it expects.

use std::sync::Arc;

use rayon::prelude::*;

use crate::book::{Book, Case, Loaded, Symbol, unknown_name};
use crate::job::{Job, Notice};
use crate::problem::{Problem, Severity};
use crate::reasoning::{Judgement, Outcome, Verdict, judge};
use crate::source::Span;
use crate::syntax::tree::{Expected, ExpectedVerdict, Statement, fold};

/// What a case came to.
#[derive(Clone, Debug)]
pub struct CaseResult {
    /// The book that it was judged with.
    pub book: Arc<Book>,
    /// Its label.
    pub label: String,
    /// Where it stands.
    pub span: Span,
    /// What was not as expected, and lines that could not be taken; empty: it passed.
    pub failures: Vec<Problem>,
    /// The job at its end.
    pub job: Job,
    /// The judgement at its end.
    pub judgement: Judgement,
    /// The judgements at each `expect`.
    pub judged: Vec<Judgement>,
    /// What was told on the way.
    pub notices: Vec<(Span, Notice)>,
}

impl CaseResult {
    /// Whether all was as expected.
    pub fn passed(&self) -> bool {
        self.failures.iter().all(|problem| problem.severity != Severity::Error)
    }
}

/// Runs every case of a book, each under the profile that it names if it names one. In book order.
pub fn run_all(loaded: &Loaded, book: Book) -> Vec<CaseResult> {
    let book = Arc::new(book);
    let mut variants: Vec<(String, Arc<Book>)> = Vec::new();
    let chosen: Vec<Arc<Book>> = book
        .cases
        .iter()
        .map(|case| match profile_of(case) {
            Some(profile) if book.profiles.iter().any(|p| fold(p) == fold(profile)) => {
                if let Some((_, variant)) = variants.iter().find(|(name, _)| fold(name) == fold(profile)) {
                    return variant.clone();
                }
                let variant = Arc::new(loaded.resolve(Some(profile)).0);
                variants.push((profile.to_string(), variant.clone()));
                variant
            }
            _ => book.clone(),
        })
        .collect();
    let work: Vec<(&Case, Arc<Book>)> = book.cases.iter().zip(chosen).collect();
    work.into_par_iter().map(|(case, book)| run(&book, case)).collect()
}

fn profile_of(case: &Case) -> Option<&str> {
    case.lines.iter().rev().find_map(|(statement, _)| match statement {
        Statement::Profile(text) => Some(&*text.text),
        _ => None,
    })
}

/// Runs one case.
pub fn run(book: &Arc<Book>, case: &Case) -> CaseResult {
    let mut job = Job::new(book);
    let (mut failures, mut judged, mut notices) = (Vec::new(), Vec::new(), Vec::new());
    let mut expects = false;
    for (statement, span) in &case.lines {
        let text = book.sources.slice(*span);
        if let Statement::Expect(expected, _) = statement {
            expects = true;
            let judgement = judge(book, &job);
            for one in expected {
                failures.extend(held(book, &judgement, one));
            }
            judged.push(judgement);
            continue;
        }
        match job.enter(book, statement.clone(), text) {
            Ok(told) => notices.extend(told.into_iter().map(|notice| (*span, notice))),
            Err(problems) => failures.extend(problems),
        }
    }
    if !expects {
        failures.push(
            Problem::error("case/no-expect", case.span, format!("case `{}` expects nothing", case.label))
                .help("end it with a line such as `expect open feed wire proved`"),
        );
    }
    let judgement = judge(book, &job);
    CaseResult {
        book: book.clone(),
        label: case.label.clone(),
        span: case.span,
        failures,
        job,
        judgement,
        judged,
        notices,
    }
}

/// The difference between what is expected and what was found, if there is one.
fn held(book: &Book, judgement: &Judgement, expected: &Expected) -> Option<Problem> {
    match expected {
        Expected::Fault(name, wanted) => {
            let Some(Symbol::Fault(id)) = book.symbol(&name.text) else {
                return Some(unknown_name(name, "a fault", book.faults.iter().map(|f| f.name.as_str())));
            };
            let found = judgement.of(id)?.verdict;
            (!fits(*wanted, found)).then(|| {
                let message =
                    format!("expected `{}` {}, found it {}", name.text, wanted_words(*wanted), found_words(found));
                Problem::error("case/failed", name.span, message)
            })
        }
        Expected::Conflict(span) => {
            let quarrels = !judgement.conflicts.is_empty();
            (!quarrels).then(|| {
                Problem::error(
                    "case/failed",
                    *span,
                    format!("expected a conflict, found {}", outcome_words(judgement.outcome)),
                )
            })
        }
        Expected::NoFaultPresent(span) => (!judgement.no_fault_stands()).then(|| {
            Problem::error(
                "case/failed",
                *span,
                format!("expected that `no fault present` stands, found {}", outcome_words(judgement.outcome)),
            )
        }),
    }
}

fn fits(wanted: ExpectedVerdict, found: Verdict) -> bool {
    match wanted {
        ExpectedVerdict::Proved => found == Verdict::Proved,
        ExpectedVerdict::RuledOut => found == Verdict::RuledOut,
        ExpectedVerdict::Open => matches!(found, Verdict::Open | Verdict::OnlyOneLeft),
        ExpectedVerdict::OnlyOneLeft => found == Verdict::OnlyOneLeft,
        ExpectedVerdict::Conflict => found == Verdict::Conflict,
    }
}

fn wanted_words(wanted: ExpectedVerdict) -> &'static str {
    match wanted {
        ExpectedVerdict::Proved => "proved",
        ExpectedVerdict::RuledOut => "ruled out",
        ExpectedVerdict::Open => "open",
        ExpectedVerdict::OnlyOneLeft => "the only one left",
        ExpectedVerdict::Conflict => "in conflict",
    }
}

fn found_words(found: Verdict) -> &'static str {
    match found {
        Verdict::Proved => "proved",
        Verdict::RuledOut => "ruled out",
        Verdict::Open => "open",
        Verdict::OnlyOneLeft => "open, the only one left",
        Verdict::Conflict => "in conflict",
    }
}

fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Proved => "a fault proved",
        Outcome::Open => "faults open",
        Outcome::OnlyOneLeft => "one fault left",
        Outcome::NotCoveredOrWrongEntry => "no fault left: an entry is wrong, or the book does not cover it",
        Outcome::Conflict => "a conflict",
        Outcome::NoFaultSeen => "no fault seen",
    }
}
