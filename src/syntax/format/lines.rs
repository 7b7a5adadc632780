//! Pieces to lines: a line is filled up to its width, a sentence that takes several lines has one clause on each.

use super::breaks::begins_field;
use super::token::{Break, Token, blank_between, in_backticks};
use crate::syntax::words::DeclarationRow;

/// Columns that a list fills.
const WIDTH: usize = 100;
/// Columns that a sentence may take to stay on one line.
const SENTENCE_WIDTH: usize = 88;
/// Blanks before a line that goes on.
const GOES_ON: usize = 4;

/// Blanks before the lines of a stretch.
#[derive(Clone, Copy, Debug)]
pub(super) struct Indents {
    /// Before the first line.
    pub(super) first: usize,
    /// Before the clauses that follow.
    pub(super) clause: usize,
}

impl Indents {
    /// A declaration's first line.
    pub(super) const HEAD: Self = Self { first: 0, clause: GOES_ON };
    /// A field.
    pub(super) const FIELD: Self = Self { first: 2, clause: GOES_ON };
    /// A rule's sentence.
    pub(super) const SENTENCE: Self = Self { first: 2, clause: 2 };
}

/// Writes a stretch with its line end.
pub(super) fn write(out: &mut String, row: &DeclarationRow, indents: Indents, tokens: &[Token<'_>]) {
    let mut page = Page { out, row, column: 0 };
    let parted = parted(indents, tokens);
    for (at, token) in tokens.iter().enumerate() {
        let Some(left) = at.checked_sub(1).and_then(|at| tokens.get(at)) else {
            page.indent(indents.first);
            page.put(token);
            continue;
        };
        let clause = parted && token.breaks == Break::Clause;
        let forced = clause || token.breaks == Break::Must || left.after.is_some() || !token.before.is_empty();
        let blank = usize::from(blank_between(left, token));
        if forced || token.breaks != Break::Never && page.column + blank + reach(tokens, at) > WIDTH {
            page.next_line(if clause { indents.clause } else { GOES_ON }, token);
        } else {
            page.blank(blank);
            page.put(token);
        }
    }
    page.out.push('\n');
}

/// Whether every clause takes a line of its own.
fn parted(indents: Indents, tokens: &[Token<'_>]) -> bool {
    if !tokens.iter().any(|token| token.breaks == Break::Clause) {
        return false;
    }
    let written = tokens.iter().skip(1).any(|token| token.began_line);
    let inner = tokens.split_last().is_some_and(|(_, rest)| rest.iter().any(|token| token.after.is_some()));
    written || inner || indents.first + width(tokens) > SENTENCE_WIDTH
}

/// Columns of pieces side by side.
fn width(tokens: &[Token<'_>]) -> usize {
    let blanks = tokens.iter().zip(tokens.iter().skip(1)).filter(|(left, right)| blank_between(left, right)).count();
    tokens.iter().map(Token::width).sum::<usize>() + blanks
}

/// Columns from a piece to the next place where a line may end.
fn reach(tokens: &[Token<'_>], at: usize) -> usize {
    let rest = tokens.get(at..).unwrap_or(&[]);
    let further =
        rest.iter().skip(1).position(|token| token.breaks != Break::Never).map_or(rest.len(), |more| more + 1);
    width(rest.get(..further).unwrap_or(rest))
}

struct Page<'o> {
    out: &'o mut String,
    row: &'o DeclarationRow,
    column: usize,
}

impl Page<'_> {
    fn blank(&mut self, count: usize) {
        self.out.extend(std::iter::repeat_n(' ', count));
        self.column += count;
    }

    fn indent(&mut self, count: usize) {
        self.column = 0;
        self.blank(count);
    }

    fn put(&mut self, token: &Token<'_>) {
        self.out.push_str(&token.text);
        self.column += token.width();
        if let Some(comment) = &token.after {
            self.out.push_str("  ");
            self.out.push_str(comment);
        }
    }

    /// Ends the line, writes the comments before a piece and the piece.
    fn next_line(&mut self, indent: usize, token: &Token<'_>) {
        self.out.push('\n');
        for comment in &token.before {
            self.indent(indent);
            self.out.push_str(comment);
            self.out.push('\n');
        }
        self.indent(indent);
        match &token.name {
            Some(name) if begins_field(self.row, token) => {
                self.put(&Token { text: in_backticks(&name.bare).into(), ..token.clone() });
            }
            _ => self.put(token),
        }
    }
}

/// Whether a label and the sentence that was written beside it stay on one line.
pub(super) fn share_a_line(label: &[Token<'_>], sentence: &[Token<'_>]) -> bool {
    let apart = label.iter().any(|token| token.after.is_some())
        || sentence.iter().any(|token| token.began_line || !token.before.is_empty())
        || sentence.split_last().is_some_and(|(_, rest)| rest.iter().any(|token| token.after.is_some()));
    !apart && width(label) + 1 + width(sentence) <= SENTENCE_WIDTH
}

/// Writes comments, each on a line of its own.
pub(super) fn comments<'c>(out: &mut String, indent: usize, comments: impl IntoIterator<Item = &'c str>) {
    for comment in comments {
        out.extend(std::iter::repeat_n(' ', indent));
        out.push_str(comment);
        out.push('\n');
    }
}
