//! How far a word, a figure, a text or a comment goes, and its one spelling.

use std::borrow::Cow;

/// A comment as it is kept: no blanks at its end, and no line end that only some tools know.
pub(super) fn comment(said: &str) -> Cow<'_, str> {
    let said = said.trim_end();
    if said.contains('\r') { said.replace('\r', " ").into() } else { said.into() }
}

/// Length of a text in quotes at the start, the quotes included.
pub(super) fn quoted_length(rest: &str) -> usize {
    let mut escaped = false;
    for (at, byte) in rest.bytes().enumerate().skip(1) {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return at + 1,
            _ => {}
        }
    }
    rest.len()
}

/// Length of a figure at the start.
pub(super) fn figure_length(rest: &str) -> usize {
    let digits = |from: usize| rest.get(from..).map_or(0, |rest| rest.bytes().take_while(u8::is_ascii_digit).count());
    let whole = digits(0);
    let part = if rest.as_bytes().get(whole) == Some(&b'.') { digits(whole + 1) } else { 0 };
    if part > 0 { whole + 1 + part } else { whole }
}

/// Length of a word at the start.
pub(super) fn word_length(rest: &str) -> usize {
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '\'' | '/' | '+');
    rest.find(|c: char| !inside(c)).unwrap_or(rest.len())
}

/// A word of the language in its one spelling.
pub(super) fn word(typed: &str) -> String {
    if typed.eq_ignore_ascii_case("EMF") { "EMF".to_string() } else { typed.to_ascii_lowercase() }
}
