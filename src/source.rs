//! Files and places in them. A [`Span`] is a half-open range of bytes in one source; all that is ever said about
//! a text carries one. Knows nothing of what the texts mean.

use std::sync::Arc;

use arcstr::ArcStr;

/// Which text a span lies in: an index into [`Sources`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct SourceId(pub u32);

/// A half-open range of bytes `start..end` in one source.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Span {
    /// The text that the range lies in.
    pub source: SourceId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end` of `source`.
    pub fn new(source: SourceId, start: usize, end: usize) -> Self {
        let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self { source, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// The smallest span that holds both; the first one's source counts.
    pub fn to(self, other: Self) -> Self {
        Self { source: self.source, start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// Byte range as `usize`.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// One text with the name that it is shown under.
#[derive(Clone, Debug)]
pub struct Source {
    /// As shown in messages: a path as given, `standard input`, or the like.
    pub name: Arc<str>,
    /// The whole text.
    pub text: ArcStr,
}

/// All texts of one run.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    all: Vec<Source>,
}

impl Sources {
    /// No text yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a text and returns its number.
    pub fn add(&mut self, name: impl Into<Arc<str>>, text: impl Into<ArcStr>) -> SourceId {
        let id = SourceId(u32::try_from(self.all.len()).unwrap_or(u32::MAX));
        self.all.push(Source { name: name.into(), text: text.into() });
        id
    }

    /// The text of that number, if there is one.
    pub fn get(&self, id: SourceId) -> Option<&Source> {
        self.all.get(id.0 as usize)
    }

    /// The words that a span covers; empty where it lies outside.
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.source).and_then(|s| s.text.get(span.range())).unwrap_or("")
    }

    /// Line and column (both from 1, columns in characters) of the span's start.
    pub fn line_column(&self, span: Span) -> (usize, usize) {
        let Some(source) = self.get(span.source) else { return (1, 1) };
        let before = source.text.get(..span.start as usize).unwrap_or("");
        let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        (line, column)
    }

    /// `file:line` of the span's start.
    pub fn place(&self, span: Span) -> String {
        let name = self.get(span.source).map_or("", |s| &s.name);
        format!("{name}:{}", self.line_column(span).0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_counts_lines_and_characters_from_one() {
        let mut sources = Sources::new();
        let id = sources.add("a.rulebook", "é\nfan runs\n");
        let span = Span::new(id, 7, 11);
        assert_eq!(sources.slice(span), "runs");
        assert_eq!(sources.line_column(span), (2, 5));
        assert_eq!(sources.place(span), "a.rulebook:2");
    }
}
