//! One declaration: cut to stretches, laid out, read again. What is read again must be what was read at first.

use std::borrow::Cow;

use super::breaks;
use super::gaps::Comment;
use super::lines::{self, Indents};
use super::names::{self, Backticks};
use super::token::{Break, Token};
use super::walk;
use crate::source::{SourceId, Span};
use crate::syntax::parse::parse_book;
use crate::syntax::tree::Declaration;
use crate::syntax::words::{DeclarationRow, Lines};

/// A stretch that is laid out by itself: the first line of a declaration, or a field.
#[derive(Debug)]
pub(super) struct Stretch<'t> {
    /// Its pieces.
    pub(super) tokens: Vec<Token<'t>>,
    /// Blanks before its lines.
    pub(super) indents: Indents,
    /// Whether it may go on on further lines.
    pub(super) goes_on: bool,
    /// Comments that move ahead of it.
    pub(super) ahead: Vec<Cow<'t, str>>,
}

/// A line of a body.
#[derive(Debug)]
pub(super) enum Item<'t> {
    /// On a line of its own.
    Comment(Cow<'t, str>),
    /// A field.
    Field(Stretch<'t>),
}

/// A declaration, ready to be written.
#[derive(Debug)]
pub(super) struct Laid<'t> {
    /// Its row of the words.
    pub(super) row: &'static DeclarationRow,
    /// The first line.
    pub(super) head: Stretch<'t>,
    /// Whether its first field was written beside its label.
    pub(super) beside: bool,
    /// With whether a blank line stands above.
    pub(super) body: Vec<(bool, Item<'t>)>,
}

impl<'t> Laid<'t> {
    /// Comments that move ahead of the declaration.
    pub(super) fn ahead(&mut self) -> impl Iterator<Item = Comment<'t>> {
        let ahead = std::mem::take(&mut self.head.ahead);
        ahead.into_iter().map(|text| Comment { text, margin: true, blank_above: false })
    }

    /// The declaration's lines; `None` if every way to write it would say something else.
    pub(super) fn write(&mut self, declaration: &mut Declaration) -> Option<String> {
        forget_places(declaration);
        [Backticks::Fewest, Backticks::AsTyped].into_iter().map(|way| self.written(way)).find(|lines| {
            let (mut again, problems) = parse_book(SourceId::default(), lines);
            again.declarations.iter_mut().for_each(forget_places);
            problems.is_empty() && again.declarations.as_slice() == std::slice::from_ref(declaration)
        })
    }

    fn written(&mut self, backticks: Backticks) -> String {
        let mut out = String::new();
        let shared = self.beside && self.row.lines == Lines::Sentence && self.share_line(&mut out, backticks);
        if !shared {
            self.head.write(&mut out, self.row, backticks);
        }
        for (blank_above, item) in self.body.iter_mut().skip(usize::from(shared)) {
            if *blank_above {
                out.push('\n');
            }
            match item {
                Item::Comment(text) => lines::comments(&mut out, Indents::FIELD.first, [&**text]),
                Item::Field(field) => field.write(&mut out, self.row, backticks),
            }
        }
        out
    }

    /// Writes a rule's label and sentence on one line, if they were written so and fit; whether it did.
    fn share_line(&mut self, out: &mut String, backticks: Backticks) -> bool {
        let Some((_, Item::Field(sentence))) = self.body.first_mut() else { return false };
        names::spell(&mut self.head.tokens, backticks);
        names::spell(&mut sentence.tokens, backticks);
        let shared = sentence.ahead.is_empty() && lines::share_a_line(&self.head.tokens, &sentence.tokens);
        if shared {
            let whole = self.head.tokens.iter().chain(&sentence.tokens);
            let whole: Vec<Token<'t>> = whole.map(|token| Token { breaks: Break::Never, ..token.clone() }).collect();
            lines::write(out, self.row, Indents::HEAD, &whole);
        }
        shared
    }
}

impl Stretch<'_> {
    fn write(&mut self, out: &mut String, row: &DeclarationRow, backticks: Backticks) {
        names::spell(&mut self.tokens, backticks);
        if self.goes_on {
            breaks::mark(row, &mut self.tokens);
        }
        lines::comments(out, self.indents.first, self.ahead.iter().map(|text| &**text));
        lines::write(out, row, self.indents, &self.tokens);
    }
}

fn forget_places(declaration: &mut Declaration) {
    walk::declaration(declaration, &mut |seen| *seen.span = Span::default());
}
