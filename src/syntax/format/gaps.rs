//! What stands between two lines that say something: comments on lines of their own, and blank lines.

use std::borrow::Cow;
use std::ops::Range;

use super::scan::comment;

/// A comment on a line of its own.
#[derive(Clone, Debug)]
pub(super) struct Comment<'t> {
    /// From the `#` on.
    pub(super) text: Cow<'t, str>,
    /// Whether it starts at the margin.
    pub(super) margin: bool,
    /// Whether a blank line stands above it.
    pub(super) blank_above: bool,
}

/// The comments between two lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Gap<'t> {
    /// In order.
    pub(super) comments: Vec<Comment<'t>>,
    /// Whether a blank line stands above what follows.
    pub(super) blank_above: bool,
}

/// The gap before the first line that says something.
pub(super) fn opening(text: &str, end: usize) -> Gap<'_> {
    let words = text.get(..end).unwrap_or("");
    read(words.trim_start_matches('\u{FEFF}').split('\n'))
}

/// The gap in a range that begins where a line that says something ends.
pub(super) fn between(text: &str, range: Range<usize>) -> Gap<'_> {
    read(text.get(range).unwrap_or("").split('\n').skip(1))
}

/// The last piece is what stands before the first word of the next line, or what ends the text.
fn read<'t>(lines: impl Iterator<Item = &'t str>) -> Gap<'t> {
    let mut gap = Gap::default();
    let mut lines = lines.peekable();
    while let Some(line) = lines.next() {
        let said = line.trim_matches([' ', '\t', '\r']);
        if !said.is_empty() {
            let blank_above = std::mem::take(&mut gap.blank_above);
            gap.comments.push(Comment { text: comment(said), margin: line.starts_with('#'), blank_above });
        } else if lines.peek().is_some() {
            gap.blank_above = true;
        }
    }
    gap
}
