//! Trees to a book, in passes: header, names, limits, settings, readings and observations, then all that has
//! conditions. Every problem is gathered; what can't be resolved is left out and the rest goes on.

mod allowance;
mod circles;
mod circuits;
pub(crate) mod conditions;
pub(crate) mod entries;
mod expressions;
mod faults;
mod fields;
mod header;
mod in_tolerance;
mod indications;
mod limits;
mod names;
pub mod numbers;
mod root_sum_square;
mod rules;
mod settings;
mod signals;
mod tolerance;

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::{Problem, Severity};
use crate::source::Span;
use crate::syntax::tree::{Declaration, Name};
use crate::syntax::words::DeclarationWord;
use crate::units::Exact;

use super::following::Following;
use super::ids::{CautionId, IndicationId, LimitId, PartId, SettingId};
use super::load::Loaded;
use super::model::Book;
use super::setup::{Demand, Term};
use allowance::Allowance;

/// What has no value or unit.
#[derive(Debug, Default)]
struct Unsound {
    limits: BTreeSet<LimitId>,
    indications: BTreeSet<IndicationId>,
}

/// Names that have spaces of their own.
#[derive(Debug, Default)]
struct Shelves {
    parts: BTreeMap<String, PartId>,
    cautions: BTreeMap<String, CautionId>,
}

/// One pass over the trees of a book.
pub(crate) struct Resolver<'t> {
    book: Book,
    problems: Vec<Problem>,
    /// Declarations of all files, used ones first; `true` for those of the book's own file.
    declarations: Vec<(&'t Declaration, bool)>,
    /// The declaration of each finding, by id.
    findings: Vec<&'t Declaration>,
    /// Findings that mean each other in a circle: they mean nothing.
    circular: Vec<usize>,
    /// What words demand, worked out once: books say the same few over and over.
    demands: BTreeMap<Vec<Term>, Demand>,
    /// Which settings hang on which; filled once their needs are known.
    following: Following,
    /// Limits and readings that have no value or unit, told where they are declared: what is built on them is not told
    /// again.
    unsound: Unsound,
    /// Places of parts and cautions by folded name.
    shelves: Shelves,
    /// How much more may be written out.
    allowance: Allowance,
    /// Pairs of state and indication that the book names together.
    together: Vec<(SettingId, IndicationId)>,
}

/// Resolves a loaded book.
pub(crate) fn resolve(loaded: &Loaded, profile: Option<&str>) -> (Book, Vec<Problem>) {
    let last = loaded.trees.len().saturating_sub(1);
    let declarations = loaded
        .trees
        .iter()
        .enumerate()
        .flat_map(|(place, tree)| tree.declarations.iter().map(move |d| (d, place == last)))
        .collect();
    let book = Book {
        file: loaded.file.clone(),
        digest: loaded.digest.clone(),
        sources: loaded.sources.clone(),
        profiles: loaded.profiles(),
        at_once: 1,
        uncovered_share: Exact::from_int(5),
        ..Book::default()
    };
    let mut resolver = Resolver {
        book,
        problems: Vec::new(),
        declarations,
        findings: Vec::new(),
        circular: Vec::new(),
        demands: BTreeMap::new(),
        following: Following::default(),
        unsound: Unsound::default(),
        shelves: Shelves::default(),
        allowance: Allowance::of(loaded.bytes()),
        together: Vec::new(),
    };
    resolver.header(profile);
    resolver.check_fields();
    resolver.declare_names();
    resolver.limits();
    resolver.settings();
    resolver.indications();
    resolver.parts_and_cautions();
    resolver.computed();
    resolver.settings_second();
    resolver.tolerances();
    resolver.tolerance_tests();
    resolver.findings();
    resolver.faults();
    resolver.rules();
    resolver.complaints();
    resolver.cases();
    resolver.circuits();
    resolver.matters();
    resolver.problems.extend(resolver.allowance.problem());
    resolver.book.uses = super::uses::gather(&resolver.book);
    resolver.book.tries = super::tries::gather(&resolver.book);
    (resolver.book, resolver.problems)
}

impl<'t> Resolver<'t> {
    fn report(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    fn error(&mut self, code: &'static str, span: Span, message: impl Into<String>) {
        self.report(Problem::error(code, span, message));
    }

    /// The declarations of one kind, in book order.
    fn of(&self, word: DeclarationWord) -> Vec<&'t Declaration> {
        self.declarations.iter().filter(|(d, _)| d.word == word).map(|(d, _)| *d).collect()
    }

    /// An unknown name, with the nearest known one.
    fn unknown<'a>(&self, name: &Name, wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Problem {
        let few = if self.problems.len() > names::ENOUGH_PROBLEMS { 0 } else { usize::MAX };
        unknown_name(name, wanted, known.into_iter().take(few))
    }

    /// What words demand, all that follows included.
    fn demand_of(&mut self, words: Vec<Term>) -> Demand {
        if let Some(known) = self.demands.get(&words) {
            return known.clone();
        }
        let demand = self.following.closure(&self.book.settings, &words);
        self.demands.insert(words, demand.clone());
        demand
    }

    fn has_error_since(&self, before: usize) -> bool {
        self.problems.get(before..).is_some_and(|new| new.iter().any(|p| p.severity == Severity::Error))
    }

    /// Which states matter to which indications.
    fn matters(&mut self) {
        self.together.sort_unstable();
        self.together.dedup();
        self.book.matters = std::mem::take(&mut self.together);
    }
}

/// A word of a name that is nearly a reserved one.
pub(crate) fn misspelt(name: &Name) -> Option<(Span, &str, String)> {
    let place = |at: usize, word: &str| {
        let start = name.span.start as usize + at;
        Span::new(name.span.source, start, start + word.len())
    };
    if let Some((at, word, meant)) = crate::syntax::parse::near_phrase(&name.text) {
        return Some((place(at, word), word, meant));
    }
    if let Some((at, word, meant)) = crate::syntax::parse::said_otherwise(&name.text) {
        return Some((place(at, word), word, meant.to_string()));
    }
    let mut at = 0;
    for word in name.text.split(' ') {
        if let Some(reserved) = crate::syntax::parse::near_reserved(word) {
            return Some((place(at, word), word, reserved.to_string()));
        }
        at += word.len() + 1;
    }
    None
}

/// An unknown name, with the nearest of `known`; a near-miss of a reserved word inside it is named first.
pub fn unknown_name<'a>(name: &Name, wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Problem {
    let near = crate::problem::did_you_mean(&name.text, known);
    if let (None, Some((span, word, reserved))) = (&near, misspelt(name)) {
        return Problem::error("syntax/misspelt-word", span, format!("`{word}` is not a word of the language"))
            .help(format!("did you mean `{reserved}`? (if `{word}` belongs to a name, declare `{}`)", name.text));
    }
    Problem::error("book/unknown-name", name.span, format!("`{}` is not declared as {wanted}", name.text))
        .help(near.unwrap_or_else(|| format!("declare it, or use a declared name; {wanted} is needed here")))
}
