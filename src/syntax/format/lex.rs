//! A stretch of a declaration to pieces. Between the marks of the tree stand only words of the language, figures,
//! signs, texts in quotes and comments, so no grammar is needed here.

use std::borrow::Cow;
use std::ops::Range;

use super::marks::Mark;
use super::scan::{comment, figure_length, quoted_length, word, word_length};
use super::token::{Kind, Spellings, Token};
use super::walk::Role;

/// A text with its comments, and the same with them blanked.
#[derive(Clone, Copy, Debug)]
pub(super) struct Source<'t> {
    /// As written.
    pub(super) text: &'t str,
    /// Byte for byte the same, a blank for each byte of a comment.
    pub(super) clean: &'t str,
}

impl Source<'_> {
    /// Whether a comment begins at a byte.
    fn comment_at(&self, at: usize) -> bool {
        self.text.as_bytes().get(at) == Some(&b'#') && self.clean.as_bytes().get(at) == Some(&b' ')
    }
}

/// The pieces of a stretch.
#[derive(Debug)]
pub(super) struct Pieces<'t> {
    /// In order.
    pub(super) tokens: Vec<Token<'t>>,
    /// Comments that no piece follows.
    pub(super) left: Vec<Cow<'t, str>>,
}

/// Cuts `range` to pieces; `marks` are those in the range, in order.
pub(super) fn pieces<'t>(source: Source<'t>, range: Range<usize>, marks: &[Mark<'t>]) -> Pieces<'t> {
    let mut reader =
        Reader { source, end: range.end, at: range.start, broken: false, waiting: Vec::new(), found: Vec::new() };
    let mut marks = marks.iter().peekable();
    while reader.at < range.end {
        while marks.next_if(|mark| mark.start < reader.at).is_some() {}
        match marks.next_if(|mark| mark.start == reader.at) {
            Some(mark) => reader.marked(mark),
            None => reader.plain(marks.peek().map_or(range.end, |mark| mark.start)),
        }
    }
    Pieces { tokens: reader.found, left: reader.waiting }
}

struct Reader<'t> {
    source: Source<'t>,
    end: usize,
    at: usize,
    /// Whether a line ended since the last piece.
    broken: bool,
    /// Comments that the next piece follows.
    waiting: Vec<Cow<'t, str>>,
    found: Vec<Token<'t>>,
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        self.source.text.get(self.at..self.end).unwrap_or("")
    }

    /// Takes `length` bytes, at least one character.
    fn take(&mut self, length: usize) -> &'t str {
        let rest = self.rest();
        let least = rest.chars().next().map_or(1, char::len_utf8);
        let length = length.max(least);
        self.at += length;
        rest.get(..length).unwrap_or(rest)
    }

    fn push(&mut self, kind: Kind, text: impl Into<Cow<'t, str>>) {
        let mut token = Token::new(kind, text);
        token.began_line = self.broken;
        token.before = std::mem::take(&mut self.waiting);
        self.broken = false;
        self.found.push(token);
    }

    /// A mark may go on over a line end; the comments inside it come after it.
    fn marked(&mut self, mark: &Mark<'t>) {
        let start = self.at;
        let typed = self.take(mark.end.saturating_sub(mark.start));
        self.push_marked(mark, typed);
        if !typed.contains('\n') {
            return;
        }
        if let Some(last) = self.found.last_mut() {
            last.began_line = true;
        }
        let mut line_start = start;
        for line in typed.split_inclusive('\n') {
            if let Some(at) = (line_start..line_start + line.len()).find(|at| self.source.comment_at(*at)) {
                self.keep(comment(line.get(at - line_start..).unwrap_or("")));
            }
            line_start += line.len();
        }
    }

    /// A comment goes beside the piece before it if that has none yet.
    fn keep(&mut self, said: Cow<'t, str>) {
        match self.found.last_mut() {
            Some(last) if !self.broken && last.after.is_none() => last.after = Some(said),
            _ => self.waiting.push(said),
        }
    }

    fn push_marked(&mut self, mark: &Mark<'t>, typed: &'t str) {
        match mark.role {
            Role::Kind | Role::OverRange => self.push(Kind::Word, mark.words.clone()),
            Role::Unit => self.push(Kind::Unit, mark.words.clone()),
            Role::Word => self.push(Kind::Text, typed),
            Role::Sticking => self.push(Kind::Text, mark.typed.clone()),
            Role::Number => self.push(Kind::Sign, if typed == "+" { "+" } else { "-" }),
            Role::PlusMinus | Role::Accuracy => self.push(Kind::Mark, "±"),
            Role::Place => {}
            role @ (Role::Name | Role::Element | Role::Point | Role::Band | Role::Free) => {
                let spellings = Spellings { bare: mark.words.clone(), typed: mark.typed.clone(), role };
                self.push(Kind::Name, mark.typed.clone());
                if let Some(last) = self.found.last_mut() {
                    last.name = Some(Box::new(spellings));
                }
            }
        }
    }

    /// What no mark tells, as far as the next one.
    fn plain(&mut self, next: usize) {
        let rest = self.rest();
        let Some(first) = rest.chars().next() else {
            self.at = self.end;
            return;
        };
        match first {
            '\n' => {
                self.broken = true;
                self.take(1);
            }
            '#' if self.source.comment_at(self.at) => self.comment(),
            '"' => {
                let said = self.take(quoted_length(rest));
                self.push(Kind::Text, said);
            }
            '0'..='9' => {
                let said = self.take(figure_length(rest));
                self.push(Kind::Figure, said);
            }
            c if c.is_whitespace() => {
                self.take(1);
            }
            c if c.is_alphanumeric() || matches!(c, '_' | '\'') => {
                let most = next.saturating_sub(self.at);
                let said = self.take(word_length(rest).min(most));
                self.push(Kind::Word, word(said));
            }
            _ => self.sign(),
        }
    }

    fn comment(&mut self) {
        let rest = self.rest();
        let said = comment(self.take(rest.find('\n').unwrap_or(rest.len())));
        self.keep(said);
    }

    fn sign(&mut self) {
        let unary = !self.found.last().is_some_and(Token::ends_value);
        let joins = if unary { Kind::Sign } else { Kind::Operator };
        match self.take(1) {
            "-" | "−" => self.push(joins, "-"),
            "+" => self.push(joins, "+"),
            "*" | "×" => self.push(Kind::Operator, "*"),
            "/" | "÷" => self.push(Kind::Operator, "/"),
            "%" => self.push(Kind::Unit, "%"),
            "(" => self.push(Kind::Open, "("),
            ")" => self.push(Kind::Close, ")"),
            "," => self.push(Kind::Comma, ","),
            ":" => self.push(Kind::Colon, ":"),
            other => self.push(Kind::Mark, other),
        }
    }
}
