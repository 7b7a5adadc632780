//! Running the cases of a book: each starts empty, enters its lines, and is held to what it expects. What the cases
//! of a book reach is [`coverage`]; what they don't is drafted by [`draft`]. Knows nothing of files or of how results
//! are shown.

pub mod coverage;
pub mod draft;
mod expected;
pub mod mutants;

use std::sync::Arc;

use rayon::prelude::*;

use self::coverage::Coverage;
use self::draft::Drafts;
use self::expected::held;
use self::mutants::Mutation;
use crate::book::{Book, Case, FaultId, Loaded};
use crate::job::{Job, LogSource, Notice};
use crate::problem::{Problem, Severity};
use crate::reasoning::{Judgement, judge};
use crate::source::Span;
use crate::syntax::tree::{ExpectedVerdict, Statement, fold};

/// A point of a case at which its job was judged: an `expect`.
#[derive(Clone, Debug)]
pub struct Moment {
    /// The job so far.
    pub job: Job,
    /// Its judgement.
    pub judgement: Judgement,
}

/// What an expectation that did not come true was about.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Missed {
    /// A fault, expected to be judged so.
    Fault(FaultId, ExpectedVerdict),
    /// A conflict.
    Conflict,
    /// That `no fault present` stands.
    NoFaultPresent,
}

/// An expectation that did not come true.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Miss {
    /// What it was about.
    pub what: Missed,
    /// At which of [`CaseResult::moments`].
    pub moment: usize,
}

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
    /// Those of the failures that are expectations about the judgement.
    pub misses: Vec<Miss>,
    /// The job at its end.
    pub job: Job,
    /// The judgement at its end.
    pub judgement: Judgement,
    /// The job and its judgement at each `expect`.
    pub moments: Vec<Moment>,
    /// What was told on the way.
    pub notices: Vec<(Span, Notice)>,
}

impl CaseResult {
    /// Whether all was as expected.
    pub fn passed(&self) -> bool {
        self.failures.iter().all(|problem| problem.severity != Severity::Error)
    }

    /// The job and its judgement at each `expect` and at the end.
    pub fn judged(&self) -> impl Iterator<Item = (&Job, &Judgement)> {
        let moments = self.moments.iter().map(|moment| (&moment.job, &moment.judgement));
        moments.chain([(&self.job, &self.judgement)])
    }
}

/// All that was found of the cases of one book.
#[derive(Clone, Debug)]
pub struct BookCases {
    /// The book, as it is without a case's own profile.
    pub book: Arc<Book>,
    /// Its cases, in book order.
    pub results: Vec<CaseResult>,
    /// What they reach.
    pub coverage: Coverage,
    /// What was drafted for rules that they don't reach; none where nobody asked.
    pub drafts: Option<Drafts>,
    /// How sharp they are; none where nobody asked.
    pub mutation: Option<Mutation>,
}

impl BookCases {
    /// Runs the cases of a book and sees what they reach.
    pub fn of(loaded: &Loaded, book: Book) -> Self {
        Self::with_logs(loaded, book, &LogSource::default())
    }

    /// The same; the logs that cases name come from `logs`.
    pub fn with_logs(loaded: &Loaded, book: Book, logs: &LogSource) -> Self {
        let book = Arc::new(book);
        let results = run_all_with(loaded, book.clone(), logs);
        let own = loaded.trees.last().map(|tree| tree.source).unwrap_or_default();
        let coverage = coverage::coverage(&book, own, &results);
        Self { book, results, coverage, drafts: None, mutation: None }
    }

    /// Drafts cases for the rules that no case makes apply.
    #[must_use]
    pub fn with_drafts(self) -> Self {
        let drafts = Some(draft::drafts(&self.book, &self.coverage));
        Self { drafts, ..self }
    }

    /// Tries the mutants of the book's rules; those that no case kills are drafted with the rest, where drafts are wanted.
    #[must_use]
    pub fn with_mutants(self, loaded: &Loaded, logs: &LogSource) -> Self {
        let own = loaded.trees.last().map(|tree| tree.source).unwrap_or_default();
        let mutation = mutants::mutation(&self.book, own, &self.results, logs);
        let drafts = self.drafts.map(|mut drafts| {
            // One label may be drafted twice, for two reasons: the first stays.
            let new = mutation.drafts.iter().filter(|new| !drafts.drafts.iter().any(|old| old.label == new.label));
            let new: Vec<_> = new.cloned().collect();
            drafts.drafts.extend(new);
            drafts
        });
        Self { drafts, mutation: Some(mutation), ..self }
    }

    /// How many cases passed, and how many failed.
    pub fn counts(&self) -> (usize, usize) {
        let passed = self.results.iter().filter(|result| result.passed()).count();
        (passed, self.results.len() - passed)
    }
}

/// A book whose cases could not be run.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Refused {
    /// Its file, as given.
    pub file: String,
    /// Why: lower case, no full stop.
    pub why: String,
}

/// Runs every case of a book, each under the profile that it names if it names one. In book order.
pub fn run_all(loaded: &Loaded, book: impl Into<Arc<Book>>) -> Vec<CaseResult> {
    run_all_with(loaded, book, &LogSource::default())
}

/// The same; the logs that cases name come from `logs`.
pub fn run_all_with(loaded: &Loaded, book: impl Into<Arc<Book>>, logs: &LogSource) -> Vec<CaseResult> {
    let book: Arc<Book> = book.into();
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
    work.into_par_iter().map(|(case, book)| run(&book, case, logs)).collect()
}

/// The profile that a case names.
pub(super) fn profile_of(case: &Case) -> Option<&str> {
    case.lines.iter().rev().find_map(|(statement, _)| match statement {
        Statement::Profile(text) => Some(&*text.text),
        _ => None,
    })
}

/// Runs one case.
pub fn run(book: &Arc<Book>, case: &Case, logs: &LogSource) -> CaseResult {
    let mut job = Job::with_logs(book, logs.clone());
    let (mut failures, mut misses) = (Vec::new(), Vec::new());
    let (mut moments, mut notices) = (Vec::new(), Vec::new());
    for (statement, span) in &case.lines {
        let text = book.sources.slice(*span);
        if let Statement::Expect(expected, _) = statement {
            let judgement = judge(book, &job);
            for (problem, what) in expected.iter().filter_map(|one| held(book, &judgement, one)) {
                failures.push(problem);
                misses.extend(what.map(|what| Miss { what, moment: moments.len() }));
            }
            moments.push(Moment { job: job.clone(), judgement });
            continue;
        }
        match job.enter(book, statement.clone(), text) {
            Ok(told) => notices.extend(told.into_iter().map(|notice| (*span, notice))),
            Err(problems) => failures.extend(problems),
        }
    }
    if moments.is_empty() {
        failures.push(
            Problem::error("case/no-expect", case.span, format!("case `{}` expects nothing", case.label))
                .help("end it with a line such as `expect open feed wire proved`"),
        );
    }
    let judgement = judge(book, &job);
    let (label, span) = (case.label.clone(), case.span);
    CaseResult { book: book.clone(), label, span, failures, misses, job, judgement, moments, notices }
}
