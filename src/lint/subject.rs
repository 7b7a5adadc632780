//! What checks look at: one file of a book with all that it uses, resolved, and what other files of the run ask of it.
//! A check is for the file's own declarations; those with an error inside are passed over, so that nothing is called
//! missing that is only mistyped.

use std::collections::BTreeSet;

use crate::book::model::{Caution, Complaint, Fault, Finding, Indication, Limit, Part, Rule, Setting};
use crate::book::{Book, Loaded};
use crate::problem::{Problem, Severity};
use crate::source::{SourceId, Span};
use crate::syntax::tree::{Declaration, Field, FieldBody, Name, Tree};
use crate::syntax::words::{DeclarationWord, FieldWord};

use super::allow::{self, Allowance};
use super::meaning::sides::Sides;
use super::names::{NameUses, Space};

/// What the other files of a run ask of a file that they use.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Outside {
    /// Whether any file of the run uses it.
    pub used: bool,
    /// The names of it that they ask for, folded.
    pub names: BTreeSet<(Space, String)>,
    /// The files that it uses itself and that the run looks at too, by their number in its book.
    pub looked_at: Vec<SourceId>,
}

/// One file and what belongs to it.
pub(crate) struct Subject<'a> {
    /// The resolved book.
    pub(crate) book: &'a Book,
    /// All trees, used files first.
    pub(crate) trees: &'a [Tree],
    /// The file's own tree.
    pub(crate) tree: &'a Tree,
    /// The file's own text.
    pub(crate) text: &'a str,
    /// Whether the book has no errors.
    pub(crate) sound: bool,
    /// Which names are asked for.
    pub(crate) names: NameUses,
    /// The book ready to be asked by meaning, where that is wanted.
    pub(crate) meaning: Option<&'a Sides<'a>>,
    /// What the file allows.
    pub(crate) allowances: Vec<Allowance>,
    /// Blocks of the file that hold an error, in order.
    broken: Vec<(u32, u32)>,
    /// Whether other files of the run use it.
    used_outside: bool,
}

impl<'a> Subject<'a> {
    /// The file that a book was loaded from; `None` where nothing was loaded.
    pub(crate) fn new(loaded: &'a Loaded, book: &'a Book, problems: &[Problem], outside: &Outside) -> Option<Self> {
        let tree = loaded.trees.last()?;
        let text = &loaded.sources.get(tree.source)?.text;
        let mut names = NameUses::gather(book, &loaded.trees);
        names.join(book, tree.source, outside);
        let errors = problems.iter().filter(|p| p.severity == Severity::Error);
        Some(Self {
            book,
            trees: &loaded.trees,
            tree,
            text,
            sound: errors.clone().next().is_none(),
            names,
            meaning: None,
            allowances: allow::read(tree.source, text),
            broken: broken(tree, errors.map(Problem::span)),
            used_outside: outside.used,
        })
    }

    /// Which text the file is.
    pub(crate) fn source(&self) -> SourceId {
        self.tree.source
    }

    /// A place in the file.
    pub(crate) fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.source(), start, end)
    }

    /// Whether a place lies in the file, in a declaration without errors.
    pub(crate) fn is_own(&self, span: Span) -> bool {
        let after = self.broken.partition_point(|(start, _)| *start <= span.start);
        let inside = after.checked_sub(1).and_then(|at| self.broken.get(at)).is_some_and(|(_, end)| span.start < *end);
        span.source == self.source() && !inside
    }

    /// The file's things of one kind, with their places in the book's list.
    pub(crate) fn own<'b, T: Placed>(&'b self, list: &'b [T]) -> impl Iterator<Item = (usize, &'b T)> + 'b {
        list.iter().enumerate().filter(|(_, item)| self.is_own(item.place()))
    }

    /// The file's declarations of one kind.
    pub(crate) fn of<'b>(&'b self, word: DeclarationWord) -> impl Iterator<Item = &'a Declaration> + 'b {
        self.declarations().filter(move |d| d.word == word)
    }

    /// The file's declarations.
    pub(crate) fn declarations<'b>(&'b self) -> impl Iterator<Item = &'a Declaration> + 'b {
        self.tree.declarations.iter().filter(|d| self.is_own(d.name.span))
    }

    /// Whether it can be told that a name is never asked for. A file that only declares (no rule, no fault, no case)
    /// is there for others; unless one of them is looked at too, its names may well be asked for.
    pub(crate) fn tells_unused(&self) -> bool {
        let rests = [DeclarationWord::Rule, DeclarationWord::Fault, DeclarationWord::Case];
        self.used_outside || self.tree.declarations.iter().any(|d| rests.contains(&d.word))
    }

    /// The whole lines of a span, line end included; `None` where something else stands on them.
    pub(crate) fn whole_lines(&self, span: Span) -> Option<Span> {
        let (start, end) = (span.start as usize, span.end as usize);
        let before = self.text.get(..start)?;
        let after = self.text.get(end..)?;
        let first = before.rfind('\n').map_or(0, |at| at + 1);
        let tail = after.find('\n').map_or(after.len(), |at| at + 1);
        let blank = before.get(first..)?.trim().is_empty() && after.get(..tail)?.trim().is_empty();
        blank.then(|| self.span(first, end + tail))
    }
}

/// The blocks (from one declaration to the next) in which an error stands.
fn broken(tree: &Tree, errors: impl Iterator<Item = Span>) -> Vec<(u32, u32)> {
    let starts: Vec<u32> = tree.declarations.iter().map(|d| d.span.start).collect();
    let mut blocks: Vec<(u32, u32)> = errors
        .filter(|span| span.source == tree.source)
        .map(|span| {
            let after = starts.partition_point(|start| *start <= span.start);
            let start = after.checked_sub(1).and_then(|at| starts.get(at)).copied().unwrap_or(0);
            (start, starts.get(after).copied().unwrap_or(u32::MAX))
        })
        .collect();
    blocks.sort_unstable();
    blocks.dedup();
    blocks
}

/// A thing that a book declares.
pub(crate) trait Placed {
    /// Its name in the declaration.
    fn place(&self) -> Span;
}

macro_rules! placed {
    ($($kind:ty),* $(,)?) => {$(
        impl Placed for $kind {
            fn place(&self) -> Span {
                self.span
            }
        }
    )*};
}
placed!(Caution, Complaint, Fault, Finding, Indication, Limit, Part, Rule, Setting);

/// The first field of that word.
pub(crate) fn field(declaration: &Declaration, word: FieldWord) -> Option<&Field> {
    declaration.fields.iter().find(|field| field.word == word)
}

/// Whether a field of that word stands there.
pub(crate) fn has(declaration: &Declaration, word: FieldWord) -> bool {
    field(declaration, word).is_some()
}

/// The names that a field lists.
pub(crate) fn listed(field: &Field) -> &[Name] {
    if let FieldBody::Names(names) = &field.body { names } else { &[] }
}

/// The words of a text field.
pub(crate) fn said(declaration: &Declaration, word: FieldWord) -> Option<(&str, Span)> {
    match &field(declaration, word)?.body {
        FieldBody::Text(text) => Some((&text.text, text.span)),
        _ => None,
    }
}
