//! One declaration: cut to stretches, laid out, read again. What is read again must be what was read at first.

use std::borrow::Cow;
use std::ops::Range;

use super::breaks;
use super::comments;
use super::gaps::{self, Comment, Gap};
use super::lex::{self, Pieces, Source};
use super::lines::{self, Indents};
use super::marks::{self, Mark};
use super::names::{self, Backticks};
use super::token::{Kind, Token};
use super::walk::{self, Role};
use crate::source::{SourceId, Span};
use crate::syntax::layout::{Block, Line};
use crate::syntax::parse::parse_book;
use crate::syntax::tree::{Declaration, Field};
use crate::syntax::words::{DeclarationRow, FieldWord, Head, Lines, declaration_row};

/// A stretch that is laid out by itself: the first line of a declaration, or a field.
#[derive(Debug)]
struct Stretch<'t> {
    tokens: Vec<Token<'t>>,
    indents: Indents,
    /// Whether it may go on on further lines.
    goes_on: bool,
    /// Comments that move ahead of it.
    ahead: Vec<Cow<'t, str>>,
}

/// A line of a body.
#[derive(Debug)]
enum Item<'t> {
    Comment(Cow<'t, str>),
    Field(Stretch<'t>),
}

/// A declaration, ready to be written.
#[derive(Debug)]
pub(super) struct Laid<'t> {
    row: &'static DeclarationRow,
    head: Stretch<'t>,
    /// With whether a blank line stands above.
    body: Vec<(bool, Item<'t>)>,
}

impl<'t> Laid<'t> {
    /// Cuts a declaration that stands in `block` and ends before byte `end`. Comments at the margin after it belong
    /// to what follows and come back.
    pub(super) fn cut(
        source: Source<'t>,
        block: &Block<'_>,
        declaration: &mut Declaration,
        end: usize,
    ) -> (Self, Gap<'t>) {
        let row = declaration_row(declaration.word);
        let marks = marks::of(source.text, declaration);
        let starts: Vec<(usize, FieldWord)> = declaration
            .fields
            .iter()
            .enumerate()
            .filter(|(at, field)| *at > 0 || !in_head(row, block.head, field))
            .map(|(_, field)| (field.span.start as usize, field.word))
            .collect();
        let mut cutter = Cutter { source, row, marks: &marks, lines: block.body, last: block.head, end };
        let first = starts.first().map(|(start, _)| *start);
        let (pieces, gap) = cutter.stretch(block.head.range.start, first);
        let head = prepared(Indents::HEAD, head_goes_on(row), pieces.tokens);
        let mut laid = Self { row, head, body: Vec::new() };
        let mut after = laid.take_gap(pieces.left, gap, first.is_some());
        for (at, (start, word)) in starts.iter().enumerate() {
            let next = starts.get(at + 1).map(|(start, _)| *start);
            let (pieces, gap) = cutter.stretch(*start, next);
            let indents = if *word == FieldWord::Sentence { Indents::SENTENCE } else { Indents::FIELD };
            let field = prepared(indents, !matches!(row.lines, Lines::Own(_)), pieces.tokens);
            laid.push(after.blank_above, Item::Field(field));
            after = laid.take_gap(pieces.left, gap, next.is_some());
        }
        (laid, after)
    }

    fn push(&mut self, blank_above: bool, item: Item<'t>) {
        self.body.push((blank_above && !self.body.is_empty(), item));
    }

    /// Keeps the comments that belong to the body; the rest comes back.
    fn take_gap(&mut self, left: Vec<Cow<'t, str>>, gap: Gap<'t>, inside: bool) -> Gap<'t> {
        left.into_iter().for_each(|text| self.push(false, Item::Comment(text)));
        let mut rest = Vec::new();
        for comment in gap.comments {
            if rest.is_empty() && (inside || !comment.margin) {
                self.push(comment.blank_above, Item::Comment(comment.text));
            } else {
                rest.push(comment);
            }
        }
        Gap { comments: rest, ..gap }
    }

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
        self.head.write(&mut out, self.row, backticks);
        for (blank_above, item) in &mut self.body {
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

/// Goes through the lines of a block, stretch by stretch.
struct Cutter<'t, 'c> {
    source: Source<'t>,
    row: &'static DeclarationRow,
    marks: &'c [Mark],
    /// The lines still to come.
    lines: &'c [Line],
    /// The line that the stretch before ends on.
    last: &'c Line,
    /// Where the next declaration starts.
    end: usize,
}

impl<'t> Cutter<'t, '_> {
    /// The stretch that begins at `start` and ends before `next`, with what stands between the two.
    fn stretch(&mut self, start: usize, next: Option<usize>) -> (Pieces<'t>, Gap<'t>) {
        let next = next.unwrap_or(self.end);
        let mine = self.lines.iter().take_while(|line| line.range.start < next).count();
        let (before, after) = self.lines.split_at(mine);
        self.last = before.last().unwrap_or(self.last);
        self.lines = after;
        let said = self.last.range.end;
        let comment = self.source.text.get(said..).and_then(|rest| rest.find('\n'));
        let end = comment.map_or(self.source.text.len(), |length| said + length).min(next);
        let mut pieces = lex::pieces(self.source, start..end, self.marks_in(start..end));
        if self.row.fields.contains(&FieldWord::Bands) {
            part_bands(&mut pieces.tokens);
        }
        (pieces, gaps::between(self.source.text, end..next))
    }

    fn marks_in(&self, range: Range<usize>) -> &[Mark] {
        let from = self.marks.partition_point(|mark| mark.start < range.start);
        let to = self.marks.partition_point(|mark| mark.start < range.end);
        self.marks.get(from..to).unwrap_or(&[])
    }
}

/// Whether a declaration's first field stands on its first line, as `= 22.5 V` does, and has no line of its own.
fn in_head(row: &DeclarationRow, head: &Line, first: &Field) -> bool {
    match row.head {
        Head::Limit | Head::Reading | Head::Finding => matches!(first.word, FieldWord::Value | FieldWord::Means),
        Head::NamedText => (first.span.start as usize) < head.range.end,
        _ => false,
    }
}

/// Whether a declaration's first line may go on on the next one.
fn head_goes_on(row: &DeclarationRow) -> bool {
    row.lines == Lines::Continue && !matches!(row.head, Head::NamedText | Head::Free)
}

fn prepared(indents: Indents, goes_on: bool, mut tokens: Vec<Token<'_>>) -> Stretch<'_> {
    let ahead = if goes_on {
        comments::settle(&mut tokens);
        tokens.first_mut().map(|first| std::mem::take(&mut first.before)).unwrap_or_default()
    } else {
        comments::take_inner(&mut tokens)
    };
    Stretch { tokens, indents, goes_on, ahead }
}

/// A comma between bands that have none.
fn part_bands(tokens: &mut Vec<Token<'_>>) {
    let band = |token: &Token<'_>| token.name.as_ref().is_some_and(|name| name.role == Role::Band);
    let mut parted: Vec<Token<'_>> = Vec::with_capacity(tokens.len());
    for token in tokens.drain(..) {
        let bound = parted.last().is_some_and(|left| matches!(left.kind, Kind::Figure | Kind::Unit));
        if bound && band(&token) {
            parted.push(Token::new(Kind::Comma, ","));
        }
        parted.push(token);
    }
    *tokens = parted;
}

fn forget_places(declaration: &mut Declaration) {
    walk::declaration(declaration, &mut |seen| *seen.span = Span::default());
}
