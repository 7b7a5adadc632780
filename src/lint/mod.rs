//! Checks for authors and CI: worked cases, and findings about a book by name and shape. One check a file.
//!
//! [`check_file`] gives the findings of one file: what reading it met, what the checks of [`checks::CHECKS`] found, less
//! what the file allows. It reads no files; the command line hands it loaded books.

mod allow;
pub mod cases;
pub mod check;
pub mod checks;
pub mod fix;
pub mod meaning;
mod names;
mod safety;
mod shape;
mod space;
mod subject;
mod walk;

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::book::load::plain;
use crate::book::{Book, Loaded};
use crate::job::Job;
use crate::problem::{Problem, Severity, nearest};
use crate::source::Sources;
use crate::syntax::tree::fold;

pub use check::{Check, Finding, HelpPage, Needs};
pub use fix::{Edit, Fix};
pub use meaning::{Claim, Survey, Witness};
pub use names::Space;
pub use subject::Outside;

use check::Findings;
use meaning::sides::Sides;
use names::NameUses;
use subject::Subject;

/// What the command line says about single ids.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Choice {
    /// Raised to errors.
    pub deny: Vec<String>,
    /// Left out; an error of reading stays.
    pub allow: Vec<String>,
    /// How far the checks go.
    pub depth: Depth,
}

/// How far the checks go.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Depth {
    /// By name and shape.
    #[default]
    Names,
    /// By meaning too, unless the book has more than [`MOST_RULES`].
    Fitting,
    /// By meaning too, whatever it takes.
    Meaning,
}

/// The most rules of a book that are asked by meaning where that was not asked for.
pub const MOST_RULES: usize = 5_000;

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
    /// What was left open by meaning; none where nobody asked, or the book has errors.
    pub survey: Option<Survey>,
    /// Whether the book was too large to be asked by meaning.
    pub passed_over: bool,
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
    examine(file, outside, choice).0
}

/// The findings of one file, and what was left open by meaning.
pub fn examine(file: &Opened, outside: &Outside, choice: &Choice) -> (Vec<Finding>, Option<Survey>) {
    let mut findings: Vec<Finding> = reading_problems(file, outside);
    let fits = match choice.depth {
        Depth::Names => false,
        Depth::Fitting => file.book.rules.len() <= MOST_RULES,
        Depth::Meaning => true,
    };
    let asked = fits && file.problems.iter().all(|p| p.severity != Severity::Error);
    let variants = if asked { variants(file) } else { Vec::new() };
    let empty: Vec<Job> = variants.iter().map(|book| Job::new(book)).collect();
    let sides: Vec<Sides<'_>> = variants.iter().zip(&empty).map(|(book, empty)| Sides::new(book, empty)).collect();
    let Some(mut subject) = Subject::new(&file.loaded, &file.book, &file.problems, outside) else {
        return (findings, None);
    };
    for check in checks::CHECKS.iter().filter(|check| check.needs < Needs::Findings) {
        if check.needs < Needs::Sound || subject.sound {
            findings.extend(run(check, &subject).into_list());
        }
    }
    let survey = asked.then(|| {
        let mut survey = Survey::default();
        for sides in &sides {
            subject.meaning = Some(sides);
            by_meaning(&subject, &mut findings, &mut survey);
        }
        survey
    });
    in_order(&mut findings);
    let source = subject.source();
    let mut allowances = std::mem::take(&mut subject.allowances);
    findings = allow::settle(&mut allowances, source, findings, |finding| !is_reading_error(finding));
    subject.allowances = allowances;
    for check in checks::CHECKS.iter().filter(|check| check.needs == Needs::Findings) {
        findings.extend(run(check, &subject).into_list());
    }
    in_order(&mut findings);
    findings.retain(|finding| is_reading_error(finding) || !choice.allow.iter().any(|id| id == finding.id()));
    for finding in findings.iter_mut().filter(|finding| choice.deny.iter().any(|id| id == finding.id())) {
        finding.problem.severity = Severity::Error;
    }
    (findings, survey)
}

/// The book as its cases use it: under each profile that they name, and without one where one names none, or there are
/// no cases.
fn variants(file: &Opened) -> Vec<Cow<'_, Book>> {
    let named: BTreeSet<Option<String>> =
        file.book.cases.iter().map(|case| cases::profile_of(case).map(fold)).collect();
    let known = |profile: &String| file.book.profiles.iter().find(|known| fold(known) == *profile);
    let variant = |profile: &Option<String>| match profile.as_ref().and_then(known) {
        Some(profile) => Cow::Owned(file.loaded.resolve(Some(profile)).0),
        None => Cow::Borrowed(&file.book),
    };
    if named.is_empty() { vec![Cow::Borrowed(&file.book)] } else { named.iter().map(variant).collect() }
}

/// Runs the checks by meaning. What was found under another profile too is said once.
fn by_meaning(subject: &Subject<'_>, findings: &mut Vec<Finding>, survey: &mut Survey) {
    let Some(sides) = subject.meaning else { return };
    // Made first, so that what is left open in making them is not laid to the check that happens to come first.
    sides.can();
    sides.take_open();
    for check in meaning::CHECKS {
        let found = run(check, subject);
        survey.add(check.id, found.open() + sides.take_open());
        for finding in found.into_list() {
            let known = |other: &Finding| {
                let (one, other) = (&finding.problem, &other.problem);
                (one.code, one.span(), &one.message) == (other.code, other.span(), &other.message)
            };
            if !findings.iter().any(known) {
                findings.push(finding);
            }
        }
    }
}

fn run(check: &Check, subject: &Subject<'_>) -> Findings {
    let mut found = Findings::of(check);
    (check.find)(subject, &mut found);
    found
}

/// What reading met in the file itself, and errors of the files that it uses, for they keep it from being used; those
/// that are looked at themselves say it there.
fn reading_problems(file: &Opened, outside: &Outside) -> Vec<Finding> {
    let own = file.loaded.trees.last().map(|tree| tree.source);
    let elsewhere = |p: &Problem| p.severity == Severity::Error && !outside.looked_at.contains(&p.span().source);
    let shown = file.problems.iter().filter(|p| Some(p.span().source) == own || elsewhere(p));
    shown.map(|problem| Finding { problem: problem.clone(), fix: None, witness: None }).collect()
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

/// Every check: by name and shape, then by meaning.
pub fn all_checks() -> impl Iterator<Item = &'static Check> {
    checks::CHECKS.iter().chain(meaning::CHECKS).copied()
}

/// The check of that id.
pub fn find(id: &str) -> Option<&'static Check> {
    all_checks().find(|check| check.id == id)
}

/// The id nearest to what was typed, if one is near enough to be meant.
pub fn nearest_id(typed: &str) -> Option<&'static str> {
    nearest(typed, all_checks().map(|check| check.id))
}
