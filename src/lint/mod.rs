//! Checks for authors and CI: worked cases, and findings about a book by name and shape. One check a file.
//!
//! [`check_file`] gives the findings of one file: what reading it met, what the checks of [`checks::CHECKS`] found, less
//! what the file allows. It reads no files; the command line hands it loaded books.

mod allow;
pub mod cases;
pub mod check;
pub mod checks;
pub mod fix;
mod names;
mod safety;
mod shape;
mod subject;
mod walk;

use std::path::{Path, PathBuf};

use crate::book::load::plain;
use crate::book::{Book, Loaded};
use crate::problem::{Problem, Severity, nearest};
use crate::source::Sources;

pub use check::{Check, Finding, HelpPage, Needs};
pub use fix::{Edit, Fix};
pub use names::Space;
pub use subject::Outside;

use check::Findings;
use names::NameUses;
use subject::Subject;

/// What the command line says about single ids.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Choice {
    /// Raised to errors.
    pub deny: Vec<String>,
    /// Left out; an error of reading stays.
    pub allow: Vec<String>,
}

/// A file of the run, loaded and resolved.
#[derive(Debug)]
pub struct Opened {
    /// Its texts and trees.
    pub loaded: Loaded,
    /// The book.
    pub book: Book,
    /// What reading it met.
    pub problems: Vec<Problem>,
}

impl Opened {
    /// Resolves a loaded book without a profile.
    pub fn resolve(loaded: Loaded) -> Self {
        let (book, problems) = loaded.resolve(None);
        Self { loaded, book, problems }
    }

    fn path(&self) -> PathBuf {
        plain(Path::new(&self.loaded.file))
    }
}

/// The findings of one file, with the texts that they point into.
#[derive(Clone, Debug)]
pub struct Linted {
    /// The file, as given.
    pub file: String,
    /// The file and all that it uses.
    pub sources: Sources,
    /// In the order of their places.
    pub findings: Vec<Finding>,
}

/// What the other files of a run ask of each file, in the order of the files.
pub fn outside(files: &[Opened]) -> Vec<Outside> {
    let mut all = vec![Outside::default(); files.len()];
    let places: std::collections::BTreeMap<PathBuf, usize> =
        files.iter().enumerate().map(|(place, file)| (file.path(), place)).collect();
    for file in files.iter().filter(|file| file.loaded.trees.len() > 1) {
        let uses = NameUses::gather(&file.book, &file.loaded.trees);
        let own = places.get(&file.path()).copied();
        for tree in file.loaded.trees.iter().rev().skip(1) {
            let Some(source) = file.loaded.sources.get(tree.source) else { continue };
            let Some(place) = places.get(&plain(Path::new(&*source.name))).copied() else { continue };
            if let Some(used) = all.get_mut(place) {
                used.used = true;
                used.names.extend(uses.asked_of(&file.book, tree.source));
            }
            if let Some(user) = own.and_then(|own| all.get_mut(own)) {
                user.looked_at.push(tree.source);
            }
        }
    }
    all
}

/// The findings of one file, in the order of their places.
pub fn check_file(file: &Opened, outside: &Outside, choice: &Choice) -> Vec<Finding> {
    let mut findings: Vec<Finding> = reading_problems(file, outside);
    let Some(mut subject) = Subject::new(&file.loaded, &file.book, &file.problems, outside) else { return findings };
    for check in checks::CHECKS.iter().filter(|check| check.needs < Needs::Findings) {
        if check.needs < Needs::Sound || subject.sound {
            findings.extend(run(check, &subject));
        }
    }
    in_order(&mut findings);
    let source = subject.source();
    let mut allowances = std::mem::take(&mut subject.allowances);
    findings = allow::settle(&mut allowances, source, findings, |finding| !is_reading_error(finding));
    subject.allowances = allowances;
    for check in checks::CHECKS.iter().filter(|check| check.needs == Needs::Findings) {
        findings.extend(run(check, &subject));
    }
    in_order(&mut findings);
    findings.retain(|finding| is_reading_error(finding) || !choice.allow.iter().any(|id| id == finding.id()));
    for finding in findings.iter_mut().filter(|finding| choice.deny.iter().any(|id| id == finding.id())) {
        finding.problem.severity = Severity::Error;
    }
    findings
}

fn run(check: &Check, subject: &Subject<'_>) -> Vec<Finding> {
    let mut found = Findings::of(check);
    (check.find)(subject, &mut found);
    found.into_list()
}

/// What reading met in the file itself, and errors of the files that it uses, for they keep it from being used; those
/// that are looked at themselves say it there.
fn reading_problems(file: &Opened, outside: &Outside) -> Vec<Finding> {
    let own = file.loaded.trees.last().map(|tree| tree.source);
    let elsewhere = |p: &Problem| p.severity == Severity::Error && !outside.looked_at.contains(&p.span().source);
    let shown = file.problems.iter().filter(|p| Some(p.span().source) == own || elsewhere(p));
    shown.map(|problem| Finding { problem: problem.clone(), fix: None }).collect()
}

fn is_reading_error(finding: &Finding) -> bool {
    finding.problem.severity == Severity::Error && find(finding.id()).is_none()
}

/// Sorts by place, then id; drops exact repeats.
fn in_order(findings: &mut Vec<Finding>) {
    findings.sort_by(|a, b| {
        let (a, b) = (&a.problem, &b.problem);
        (a.span(), a.code, &a.message).cmp(&(b.span(), b.code, &b.message))
    });
    findings.dedup();
}

/// The check of that id.
pub fn find(id: &str) -> Option<&'static Check> {
    checks::CHECKS.iter().copied().find(|check| check.id == id)
}

/// The id nearest to what was typed, if one is near enough to be meant.
pub fn nearest_id(typed: &str) -> Option<&'static str> {
    nearest(typed, checks::CHECKS.iter().map(|check| check.id))
}
