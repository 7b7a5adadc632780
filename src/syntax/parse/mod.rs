//! The grammar at work: logical lines to nodes. pest's `Rule` is named only in this folder.

mod book;
mod circuits;
mod conditions;
mod explain;
pub(crate) use explain::{near_phrase, near_reserved, said_otherwise};
mod expressions;
mod fields;
mod logs;
mod quick;
mod statements;

use arcstr::ArcStr;
use pest::Parser;
use pest::iterators::{Pair, Pairs};

use crate::problem::Problem;
use crate::source::{SourceId, Span};

use super::tree::{Condition, Name, Number, Piece, Text};

pub use book::{Extent, parse_book, parse_part};
pub use statements::parse_statement;

mod grammar {
    #[derive(pest_derive::Parser)]
    #[grammar = "../grammar/rulebook.pest"]
    pub(crate) struct Grammar;
}
use grammar::{Grammar, Rule};

/// Parentheses deeper than this are refused: no one reads them, and trees are walked by recursion.
pub const DEEPEST: usize = 64;

/// A node or the reason why there is none.
type Built<T> = Result<T, Problem>;

/// A slice of a source: where it starts in the whole text.
#[derive(Clone, Copy, Debug)]
struct Slice<'t> {
    source: SourceId,
    base: usize,
    text: &'t str,
    /// What the nodes' words are pieces of.
    shared: Shared<'t>,
}

/// A part of a source that is kept, and where in the source it begins.
#[derive(Clone, Copy, Debug)]
struct Shared<'t> {
    text: &'t ArcStr,
    start: usize,
}

impl<'t> Slice<'t> {
    /// All of a text that begins at byte `base` of its source.
    fn whole(source: SourceId, base: usize, text: &'t ArcStr) -> Self {
        Self { source, base, text, shared: Shared { text, start: base } }
    }

    /// Words of it as a piece; words from elsewhere are copied.
    fn piece(self, words: &str) -> Piece {
        let place = (words.as_ptr() as usize).wrapping_sub(self.text.as_ptr() as usize);
        let start = self.base.wrapping_sub(self.shared.start).wrapping_add(place);
        let end = start.wrapping_add(words.len());
        // What is kept still has its comments, so a piece of it is taken only where it says the same.
        let same = self.shared.text.get(start..end) == Some(words);
        if same { self.shared.text.substr(start..end) } else { words.into() }
    }

    /// As a piece, runs of blanks to one, ends trimmed.
    fn folded(self, words: &str) -> Piece {
        if words.contains("  ") || words.contains(['\t', '\n']) {
            words.split_whitespace().collect::<Vec<_>>().join(" ").into()
        } else {
            self.piece(words.trim())
        }
    }

    fn span(self, start: usize, end: usize) -> Span {
        Span::new(self.source, self.base + start, self.base + end)
    }

    fn of(self, pair: &Pair<'t, Rule>) -> Span {
        let span = pair.as_span();
        // An implicit blank at the end of a compound belongs to nobody.
        self.span(span.start(), span.start() + span.as_str().trim_end().len())
    }

    /// Parses the whole slice by `rule`; the pairs inside it.
    fn parse(self, rule: Rule) -> Built<Parts<'t>> {
        self.check_depth()?;
        match Grammar::parse(rule, self.text) {
            Ok(mut pairs) => Ok(Parts {
                slice: self,
                pairs: pairs.next().map(Pair::into_inner),
                whole: self.span(0, self.text.len()),
            }),
            Err(error) => Err(explain::explain(self, rule, &error)),
        }
    }

    fn check_depth(self) -> Built<()> {
        // `within … after` nests without parentheses.
        if self.text.len() > 1024 && self.text.matches("after").count() > DEEPEST {
            let at = self.text.match_indices("after").nth(DEEPEST).map_or(0, |(at, _)| at);
            return Err(explain::too_deep(self.span(at, at + 5)));
        }
        let mut depth = 0usize;
        let mut quoted = false;
        for (at, byte) in self.text.bytes().enumerate() {
            match byte {
                b'"' => quoted = !quoted,
                b'\n' => quoted = false,
                b'(' if !quoted => depth += 1,
                b')' if !quoted => depth = depth.saturating_sub(1),
                _ => {}
            }
            if depth > DEEPEST {
                return Err(explain::too_deep(self.span(at, at + 1)));
            }
        }
        Ok(())
    }
}

/// A line without its comment.
pub(crate) fn without_comment(line: &str) -> &str {
    let mut quoted = false;
    for (at, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted => return line.get(..at).unwrap_or(line),
            _ => {}
        }
    }
    line
}

/// The pairs inside a node, taken one by one.
struct Parts<'t> {
    slice: Slice<'t>,
    pairs: Option<Pairs<'t, Rule>>,
    whole: Span,
}

impl<'t> Parts<'t> {
    fn inside(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Self {
        let whole = slice.of(&pair);
        Self { slice, pairs: Some(pair.into_inner()), whole }
    }

    fn peek(&self) -> Option<Rule> {
        self.pairs.as_ref()?.peek().map(|pair| pair.as_rule())
    }

    /// The next pair, whatever it is; the end of input is none.
    fn next(&mut self) -> Option<Pair<'t, Rule>> {
        self.pairs.as_mut()?.find(|pair| pair.as_rule() != Rule::EOI)
    }

    /// The next pair, which the grammar promises.
    fn need(&mut self) -> Built<Pair<'t, Rule>> {
        let whole = self.whole;
        self.next().ok_or_else(|| explain::incomplete(whole))
    }

    /// The next pair if it is of that rule.
    fn take(&mut self, rule: Rule) -> Option<Pair<'t, Rule>> {
        if self.peek() == Some(rule) { self.next() } else { None }
    }

    /// All pairs that are left.
    fn rest(&mut self) -> Vec<Pair<'t, Rule>> {
        std::iter::from_fn(|| self.next()).collect()
    }

    fn name(&mut self) -> Built<Name> {
        let pair = self.need()?;
        Ok(name(self.slice, pair))
    }

    fn names(&mut self) -> Vec<Name> {
        let slice = self.slice;
        self.rest().into_iter().filter(|p| matches!(p.as_rule(), Rule::name)).map(|p| name(slice, p)).collect()
    }

    fn number(&mut self) -> Built<Number> {
        let slice = self.slice;
        Ok(number(slice, self.need()?))
    }
}

/// A name, backticks off, blanks folded.
fn name<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Name {
    let span = slice.of(&pair);
    Name { text: slice.folded(pair.as_str().trim().trim_matches('`')), span }
}

/// A node's own words as a name (units, bare words).
fn word<'t>(slice: Slice<'t>, pair: &Pair<'t, Rule>) -> Name {
    Name { text: slice.folded(pair.as_str()), span: slice.of(pair) }
}

/// One or more texts side by side, joined by a blank, escapes undone.
fn text<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Text {
    let span = slice.of(&pair);
    let mut joined = String::new();
    let strings: Vec<Pair<'t, Rule>> =
        if pair.as_rule() == Rule::string { vec![pair] } else { pair.into_inner().collect() };
    for string in strings {
        let quoted = string.as_str().trim();
        let inner = quoted.get(1..quoted.len().saturating_sub(1)).unwrap_or("");
        if !joined.is_empty() {
            joined.push(' ');
        }
        if inner.contains('\\') {
            joined.push_str(&unescaped(inner));
        } else {
            joined.push_str(inner);
        }
    }
    Text { text: joined.into(), span }
}

/// `\"` and `\\` to what they stand for.
fn unescaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match (c, chars.peek()) {
            ('\\', Some(next @ ('"' | '\\'))) => {
                out.push(*next);
                chars.next();
            }
            _ => out.push(c),
        }
    }
    out
}

/// `number`, `signed`, or a bare figure or count.
fn number<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Number {
    let span = slice.of(&pair);
    if matches!(pair.as_rule(), Rule::figure | Rule::count) {
        return Number { digits: slice.piece(pair.as_str().trim()), unit: None, span };
    }
    let mut digits = String::new();
    let mut unit = None;
    for part in
        pair.into_inner().flat_map(|p| if p.as_rule() == Rule::number { p.into_inner().collect() } else { vec![p] })
    {
        match part.as_rule() {
            Rule::minus => digits.push('-'),
            Rule::figure => digits.push_str(part.as_str().trim()),
            Rule::unit => unit = Some(word(slice, &part)),
            _ => {}
        }
    }
    Number { digits: digits.into(), unit, span }
}

/// Parses a condition standing alone (the REPL's questions, tests).
///
/// # Errors
/// The problem with its place in `text`.
pub fn parse_condition(source: SourceId, text: &str) -> Built<Condition> {
    let text = ArcStr::from(text);
    let slice = Slice::whole(source, 0, &text);
    let mut parts = slice.parse(Rule::f_condition)?;
    let pair = parts.need()?;
    conditions::condition(slice, pair)
}

/// Parses a name standing alone, starting at byte `base` of its source.
///
/// # Errors
/// The problem with its place in `text`.
pub fn parse_name(source: SourceId, base: usize, text: &str) -> Built<Name> {
    let text = ArcStr::from(text);
    let mut parts = Slice::whole(source, base, &text).parse(Rule::s_name)?;
    parts.name()
}
