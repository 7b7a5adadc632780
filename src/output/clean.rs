//! Text from files made safe to show: control characters, bidirectional controls and zero-width characters are
//! written out, so that nothing from a file can move the cursor, turn the reading direction or hide.

use std::borrow::Cow;

/// Characters that must not reach a terminal or page as they are.
pub fn is_unsafe(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t')
        || matches!(c, '\u{061C}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}')
        || matches!(c, '\u{E0000}'..='\u{E007F}' | '\u{00AD}' | '\u{180E}')
}

/// The text with unsafe characters written out as `\u{…}`.
pub fn clean(text: &str) -> Cow<'_, str> {
    if !text.contains(is_unsafe) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_unsafe(c) {
            out.push_str(&format!("\\u{{{:x}}}", c as u32));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// The text with each unsafe character replaced by as many question marks as it has bytes, so that spans still fit.
pub fn clean_in_place(text: &str) -> Cow<'_, str> {
    if !text.contains(is_unsafe) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        // A carriage return is part of a line's end; anywhere else it moves the cursor.
        let ends_line = c == '\r' && characters.peek() == Some(&'\n');
        if is_unsafe(c) && !ends_line {
            out.extend(std::iter::repeat_n('?', c.len_utf8()));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_and_bidi_controls_are_written_out() {
        assert_eq!(clean("a\u{1b}[2Jb\u{202e}c"), "a\\u{1b}[2Jb\\u{202e}c");
        assert_eq!(clean("° Ω\tplain\n"), "° Ω\tplain\n");
        assert_eq!(clean_in_place("a\u{202e}b").len(), "a\u{202e}b".len());
        assert_eq!(clean_in_place("over\rwritten\r\n"), "over?written\r\n", "found by random texts");
    }
}
