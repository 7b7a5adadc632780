//! Lines and columns of many places in the same texts: each text is cut to lines once.

use std::cell::OnceCell;

use crate::source::{Source, Sources, Span};

/// A place as editors and CI count it: lines and columns from 1, columns in characters, the end one past the last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Region {
    /// Line of the first character.
    pub line: usize,
    /// Its column.
    pub column: usize,
    /// Line of the end.
    pub end_line: usize,
    /// Column of the end.
    pub end_column: usize,
}

/// Finds lines and columns.
#[derive(Debug)]
pub struct Lines<'s> {
    sources: &'s Sources,
    starts: Vec<OnceCell<Vec<usize>>>,
}

impl<'s> Lines<'s> {
    /// For the texts of a run.
    pub fn new(sources: &'s Sources) -> Self {
        let count = (0..).take_while(|n| sources.get(crate::source::SourceId(*n)).is_some()).count();
        Self { sources, starts: vec![OnceCell::new(); count] }
    }

    /// The name of a place's file.
    pub fn file(&self, span: Span) -> &'s str {
        self.sources.get(span.source).map_or("", |source| &source.name)
    }

    /// Where a span lies.
    pub fn region(&self, span: Span) -> Region {
        let (line, column) = self.position(span, span.start as usize);
        let (end_line, end_column) = self.position(span, span.end as usize);
        Region { line, column, end_line, end_column }
    }

    fn position(&self, span: Span, at: usize) -> (usize, usize) {
        let (Some(source), Some(cell)) = (self.sources.get(span.source), self.starts.get(span.source.0 as usize))
        else {
            return (1, 1);
        };
        let starts = cell.get_or_init(|| line_starts(source));
        let line = starts.partition_point(|start| *start <= at).max(1);
        let start = starts.get(line - 1).copied().unwrap_or(0);
        (line, source.text.get(start..at).map_or(0, |before| before.chars().count()) + 1)
    }
}

fn line_starts(source: &Source) -> Vec<usize> {
    std::iter::once(0).chain(source.text.match_indices('\n').map(|(at, _)| at + 1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    #[test]
    fn columns_count_characters() {
        let mut sources = Sources::new();
        let id = sources.add("a", "é\r\nΩ runs\n");
        let region = Lines::new(&sources).region(Span::new(id, 7, 11));
        assert_eq!(region, Region { line: 2, column: 3, end_line: 2, end_column: 7 });
        let outside = Lines::new(&sources).region(Span::new(SourceId(9), 0, 1));
        assert_eq!((outside.line, outside.column), (1, 1));
    }
}
