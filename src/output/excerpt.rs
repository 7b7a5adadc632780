//! The few lines of a text around its places, made safe to show. Only they are looked at, so that a hundred problems of
//! a large file are drawn as fast as those of a small one; of a line without end only the part around the place.

use std::ops::Range;

use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};

use crate::source::Source;

use super::clean::{clean, clean_in_place};

/// The most bytes of one line, of one place and of one sentence that are shown.
const MOST: usize = 1000;

/// Places no further apart lie in one part.
const MOST_BETWEEN: usize = 64 * MOST;

/// Lines kept above and below a place: more than are drawn, so that places whose drawings meet lie in one part.
const LINES: usize = 3;

/// A text that places are drawn into.
pub(super) struct Excerpts {
    name: String,
    parts: Vec<Part>,
}

/// Some whole lines of a text, or the middle of a very long one.
struct Part {
    /// Its first byte in the text.
    start: usize,
    /// With unsafe characters replaced, byte for byte.
    text: String,
    /// How many lines stand above.
    lines: usize,
    /// How many bytes of its first line are cut off.
    column: usize,
}

impl Excerpts {
    /// What is needed of a source to draw these places.
    pub(super) fn of(source: &Source, places: impl Iterator<Item = Range<usize>>) -> Self {
        let text = &*source.text;
        let mut wanted: Vec<Range<usize>> = places
            .filter(|place| text.get(place.clone()).is_some())
            .map(|place| first_byte(text, place.start)..last_byte(text, place.end))
            .collect();
        wanted.sort_by_key(|range| range.start);
        let mut joined: Vec<Range<usize>> = Vec::new();
        for range in wanted {
            // Places that are drawn in one picture need the lines between as well.
            match joined.last_mut().filter(|last| range.start <= last.end + MOST_BETWEEN) {
                Some(last) => last.end = last.end.max(range.end),
                None => joined.push(range),
            }
        }
        let part = |range: Range<usize>| {
            let above = text.get(..range.start).unwrap_or("");
            Part {
                start: range.start,
                text: clean_in_place(text.get(range).unwrap_or("")).into_owned(),
                lines: memchr::memchr_iter(b'\n', above.as_bytes()).count(),
                column: above.len() - above.rfind('\n').map_or(0, |end| end + 1),
            }
        };
        Self { name: clean(&source.name).into_owned(), parts: joined.into_iter().map(part).collect() }
    }
}

/// The first byte of what is shown before a place.
fn first_byte(text: &str, place: usize) -> usize {
    let mut ends = memchr::memrchr_iter(b'\n', text.as_bytes().get(..place).unwrap_or(&[]));
    let line = ends.next().map_or(0, |end| end + 1);
    if place - line > MOST {
        return text.floor_char_boundary(place - MOST / 2);
    }
    let start = ends.nth(LINES - 1).map_or(0, |end| end + 1);
    // Lines without end are left out.
    if line - start > LINES * MOST { line } else { start }
}

/// One past the last byte of what is shown after a place.
fn last_byte(text: &str, place: usize) -> usize {
    let rest = text.as_bytes().get(place..).unwrap_or(&[]);
    let mut ends = memchr::memchr_iter(b'\n', rest);
    let line = ends.next().map_or(rest.len(), |end| end + 1);
    if line > MOST {
        return text.floor_char_boundary(place + MOST / 2);
    }
    let end = ends.nth(LINES - 1).map_or(rest.len(), |end| end + 1);
    place + if end - line > LINES * MOST { line } else { end }
}

impl SourceCode for Excerpts {
    fn read_span<'t>(
        &'t self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'t> + 't>, MietteError> {
        let (first, last) = (span.offset(), span.offset() + span.len());
        let holds = |part: &&Part| part.start <= first && last <= part.start + part.text.len();
        let part = self.parts.iter().find(holds).ok_or(MietteError::OutOfBounds)?;
        let inner = part.text.read_span(&(first - part.start, span.len()).into(), before, after)?;
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            inner.data(),
            (inner.span().offset() + part.start, inner.span().len()).into(),
            inner.line() + part.lines,
            inner.column() + if inner.line() == 0 { part.column } else { 0 },
            inner.line_count(),
        )))
    }
}

/// A place, cut where no one looks any further.
pub(super) fn held(source: &Source, place: Range<usize>) -> Range<usize> {
    let end = if place.len() > MOST { source.text.floor_char_boundary(place.start + MOST) } else { place.end };
    place.start..end
}

/// A sentence made safe to show, cut where no one reads on.
pub(super) fn shortened(text: &str) -> String {
    let shown = clean(text);
    match shown.get(..shown.floor_char_boundary(MOST)) {
        Some(start) if start.len() < shown.len() => format!("{start}…"),
        _ => shown.into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source { name: "t".into(), text: text.into() }
    }

    /// Whatever is asked of an excerpt is what the whole text would have given.
    #[test]
    fn an_excerpt_answers_like_the_whole_text() {
        let text: String = (0..40).map(|n| format!("line {n} é {}\n", "x".repeat(n % 7))).collect();
        let source = source(&text);
        for start in (0..text.len()).filter(|at| text.is_char_boundary(*at)).step_by(3) {
            for end in [start, text.floor_char_boundary((start + 9).min(text.len()))] {
                let excerpts = Excerpts::of(&source, std::iter::once(start..end));
                for lines in [0, 1] {
                    let span: SourceSpan = (start, end - start).into();
                    let (a, b) = (
                        excerpts.read_span(&span, lines, lines).unwrap(),
                        text.read_span(&span, lines, lines).unwrap(),
                    );
                    assert_eq!(a.data(), b.data());
                    assert_eq!((a.span(), a.line(), a.column()), (b.span(), b.line(), b.column()));
                }
            }
        }
    }

    #[test]
    fn a_line_without_end_is_cut_around_the_place() {
        let text = format!("short\n{}here{}\n", "a".repeat(1 << 20), "b".repeat(1 << 20));
        let at = text.find("here").unwrap();
        let source = source(&text);
        let excerpts = Excerpts::of(&source, std::iter::once(at..at + 4));
        let found = excerpts.read_span(&(at, 4).into(), 1, 1).unwrap();
        assert!(found.data().len() < 2 * MOST && std::str::from_utf8(found.data()).unwrap().contains("here"));
        assert_eq!(found.line(), 1);
        assert_eq!(held(&source, 6..text.len() - 1), 6..6 + MOST);
        assert_eq!(shortened(&text).chars().count(), MOST + 1);
    }
}
