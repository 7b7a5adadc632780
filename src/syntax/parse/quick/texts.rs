//! Texts without escapes: half of a book's lines are such. Any blank may stand around them, for texts are pasted.

use crate::syntax::tree::Text;

use super::Slice;

/// One text and nothing else.
pub(super) fn text(slice: Slice<'_>) -> Option<Text> {
    let words = slice.text.trim_end();
    let start = words.len() - words.trim_start().len();
    let (inner, rest) = quoted(words.get(start..)?)?;
    rest.is_empty().then(|| Text { text: slice.piece(inner), span: slice.span(start, words.len()) })
}

/// Texts side by side, joined by a blank.
pub(super) fn texts(slice: Slice<'_>) -> Option<Text> {
    if let Some(text) = text(slice) {
        return Some(text);
    }
    let words = slice.text.trim_end();
    let start = words.len() - words.trim_start().len();
    let (first, mut rest) = quoted(words.get(start..)?)?;
    let mut joined = first.to_string();
    while !rest.is_empty() {
        let (next, after) = quoted(rest.trim_start())?;
        if !joined.is_empty() {
            joined.push(' ');
        }
        joined.push_str(next);
        rest = after;
    }
    Some(Text { text: joined.into(), span: slice.span(start, words.len()) })
}

/// What stands in the quotes that a line begins with, and what follows them.
fn quoted(words: &str) -> Option<(&str, &str)> {
    let (inner, rest) = words.strip_prefix('"')?.split_once('"')?;
    let plain = |byte| !matches!(byte, b'\\' | b'\n' | b'\r');
    // To the end whatever comes, many bytes at a time.
    inner.bytes().fold(true, |all, byte| all & plain(byte)).then_some((inner, rest))
}
