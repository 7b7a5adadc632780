//! A declaration cut to stretches at its fields, and what stands between two of them to its place.

use std::borrow::Cow;
use std::ops::Range;

use super::block::{Item, Laid, Stretch};
use super::comments;
use super::gaps::{self, Gap};
use super::lex::{self, Pieces, Source};
use super::lines::Indents;
use super::marks::{self, Mark};
use super::token::{Kind, Token};
use super::walk::Role;
use crate::syntax::layout::{Block, Line};
use crate::syntax::tree::{Declaration, Field};
use crate::syntax::words::{DeclarationRow, FieldWord, Head, Lines, declaration_row};

/// Cuts a declaration that stands in `block` and ends before byte `end`. Comments at the margin after it belong
/// to what follows and come back.
pub(super) fn declaration<'t>(
    source: Source<'t>,
    block: &Block<'_>,
    declaration: &mut Declaration,
    end: usize,
) -> (Laid<'t>, Gap<'t>) {
    let row = declaration_row(declaration.word);
    let marks = marks::of(source.text, declaration);
    let starts: Vec<(usize, FieldWord)> = declaration
        .fields
        .iter()
        .enumerate()
        .filter(|(at, field)| *at > 0 || !in_head(row, block.body, field))
        .map(|(_, field)| (field.span.start as usize, field.word))
        .collect();
    let mut cutter = Cutter { source, row, marks: &marks, lines: block.body, last: block.head, end };
    let first = starts.first().map(|(start, _)| *start);
    let (pieces, gap) = cutter.stretch(block.head.range.start, first);
    let head = prepared(Indents::HEAD, head_goes_on(row), pieces.tokens);
    let mut laid =
        Laid { row, head, beside: first.is_some_and(|first| first < block.head.range.end), body: Vec::new() };
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

impl<'t> Laid<'t> {
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
}

/// Goes through the lines of a block, stretch by stretch.
struct Cutter<'t, 'c> {
    source: Source<'t>,
    row: &'static DeclarationRow,
    marks: &'c [Mark<'t>],
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

    fn marks_in(&self, range: Range<usize>) -> &[Mark<'t>] {
        let from = self.marks.partition_point(|mark| mark.start < range.start);
        let to = self.marks.partition_point(|mark| mark.start < range.end);
        self.marks.get(from..to).unwrap_or(&[])
    }
}

/// Whether a declaration's first field stands on its first line, as `= 22.5 V` does, and has no line of its own.
fn in_head(row: &DeclarationRow, body: &[Line], first: &Field) -> bool {
    match row.head {
        Head::Limit | Head::Reading | Head::Finding => matches!(first.word, FieldWord::Value | FieldWord::Means),
        Head::NamedText => !body.iter().any(|line| line.range.start == first.span.start as usize),
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
