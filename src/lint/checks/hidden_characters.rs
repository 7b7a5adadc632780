//! Characters that can't be seen.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::Fix;
use crate::lint::subject::Subject;

check! {
    /// Finds: control characters, zero-width characters and marks that turn the reading direction, anywhere in the
    /// file: names, texts, comments. Silent on tabs, line ends and a byte order mark at the beginning.
    ///
    /// Harm: what is read is not what is there. Two names that look alike are two, a text can show its words in another
    /// order, an escape can move the cursor of a terminal.
    ///
    /// Fix: takes them out.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3\u{200B} is open"
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// ```
    "hidden-characters", Error, Text, find
}

/// Whether a character can't be seen or steers how others are shown.
fn hides(c: char) -> bool {
    match c {
        '\t' | '\n' | '\r' => false,
        '\u{AD}' | '\u{61C}' | '\u{180E}' | '\u{FEFF}' => true,
        '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' => true,
        '\u{FE00}'..='\u{FE0F}' | '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E01EF}' => true,
        other => other.is_control(),
    }
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let text = subject.text;
    let plain = |b: u8| matches!(b, 0x20..=0x7E | b'\t' | b'\n' | b'\r');
    if text.bytes().all(plain) {
        return;
    }
    let begin = if text.starts_with('\u{FEFF}') { 3 } else { 0 };
    let mut run: Option<(usize, usize, char)> = None;
    for (at, c) in text.char_indices().filter(|(at, _)| *at >= begin) {
        match run {
            Some((start, end, first)) if hides(c) && end == at => run = Some((start, at + c.len_utf8(), first)),
            _ if hides(c) => {
                report(subject, run, found);
                run = Some((at, at + c.len_utf8(), c));
            }
            _ => {}
        }
    }
    report(subject, run, found);
}

fn report(subject: &Subject<'_>, run: Option<(usize, usize, char)>, found: &mut Findings) {
    let Some((start, end, first)) = run else { return };
    let count = subject.text.get(start..end).map_or(1, |run| run.chars().count());
    let more = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
    let span = subject.span(start, end);
    found.add(
        Finding::at(span, format!("a character that can't be seen stands here: {}{more}", name(first)))
            .help("take it out; type the words anew if they were pasted")
            .fix(Some(Fix::one("take it out", span, ""))),
    );
}

fn name(c: char) -> String {
    let kind = match c {
        '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' | '\u{61C}' => {
            "turns the reading direction"
        }
        '\u{1B}' => "escape",
        c if c.is_control() => "control character",
        _ => "has no width",
    };
    format!("U+{:04X}, {kind}", u32::from(c))
}
