//! Margins and logical lines, before any grammar. A text is taken in stretches that no declaration crosses. A declaration starts at the margin; its body is indented. Each
//! logical line is handed to the grammar by itself. Knows the field words of [`super::words`], nothing of what
//! they mean.

use std::borrow::Cow;
use std::ops::Range;

#[cfg(target_arch = "x86_64")]
use memchr::arch::x86_64::sse2::memchr::{One, Two};

use super::words::{self, DeclarationRow, FieldRow, Head, Lines};

/// Where a byte first stands. The widest search that a processor may have is not asked for: to find out whether it has it
/// takes longer, under a hypervisor, than it saves on a book.
fn find(byte: u8, bytes: &[u8]) -> Option<usize> {
    #[cfg(target_arch = "x86_64")]
    if let Some(one) = One::new(byte) {
        return one.find(bytes);
    }
    memchr::memchr(byte, bytes)
}

/// Where the first of two bytes stands; as [`find`].
fn find_either(one: u8, other: u8, bytes: &[u8]) -> Option<usize> {
    #[cfg(target_arch = "x86_64")]
    if let Some(two) = Two::new(one, other) {
        return two.find(bytes);
    }
    memchr::memchr2(one, other, bytes)
}

/// The text with its comments and its blanks that don't break blanked, byte for byte, so that every place stays what
/// it is.
pub(crate) fn without_comments(text: &str) -> Cow<'_, str> {
    // `\u{A0}` begins with this byte, and so do a few other letters.
    let Some(mut at) = find_either(b'#', 0xC2, text.as_bytes()) else { return Cow::Borrowed(text) };
    let mut bytes = text.as_bytes().to_vec();
    loop {
        let before = bytes.get(..at).unwrap_or(&[]).iter().rposition(|byte| *byte == b'\n');
        let start = before.map_or(0, |before| before + 1);
        let end = find(b'\n', bytes.get(at..).unwrap_or(&[])).map_or(bytes.len(), |length| at + length);
        blank_line(bytes.get_mut(start..end).unwrap_or(&mut []));
        match find_either(b'#', 0xC2, bytes.get(end..).unwrap_or(&[])) {
            Some(next) => at = end + next,
            None => break,
        }
    }
    // Comments are cut at character borders, so this can't fail.
    String::from_utf8(bytes).map_or(Cow::Borrowed(text), Cow::Owned)
}

/// Blanks the comment of one line, and outside its texts each blank that does not break (two bytes, two blanks).
fn blank_line(line: &mut [u8]) {
    let indent = line.iter().take_while(|byte| matches!(byte, b' ' | b'\t')).count();
    if line.get(indent) == Some(&b'#') {
        let comment = line.get_mut(indent..).unwrap_or(&mut []);
        comment.iter_mut().filter(|byte| !matches!(byte, b'\r' | b'\n')).for_each(|byte| *byte = b' ');
        return;
    }
    let (mut quoted, mut escaped, mut comment) = (false, false, false);
    for at in 0..line.len() {
        let byte = line.get(at).copied().unwrap_or(b' ');
        let next = line.get(at + 1).copied();
        match byte {
            b'\r' | b'\n' => {}
            b'"' if !comment && !escaped => quoted = !quoted,
            b'#' if !quoted => comment = true,
            _ => {}
        }
        escaped = quoted && byte == b'\\' && !escaped;
        let hard_blank = !quoted && byte == 0xC2 && next == Some(0xA0);
        if (comment && !matches!(byte, b'\r' | b'\n')) || hard_blank {
            if let Some(place) = line.get_mut(at) {
                *place = b' ';
            }
            if let (true, Some(place)) = (hard_blank, line.get_mut(at + 1)) {
                *place = b' ';
            }
        }
    }
}

/// A stretch is at least so long, the last one excepted: small enough to stay near at hand while it is read, large enough
/// that cutting costs nothing.
const STRETCH: usize = 8 * 1024;

/// The text cut before lines that stand at the margin and begin with a letter, so that no declaration is cut.
pub(crate) fn stretches(text: &str) -> impl Iterator<Item = Range<usize>> {
    let bytes = text.as_bytes();
    let mut start = 0;
    std::iter::from_fn(move || {
        let begin = start;
        let mut end = begin + STRETCH;
        while let Some(at) = find(b'\n', bytes.get(end..).unwrap_or(&[])) {
            end += at + 1;
            if bytes.get(end).is_some_and(u8::is_ascii_alphabetic) {
                start = end;
                return Some(begin..end);
            }
        }
        start = bytes.len();
        (begin < start).then_some(begin..start)
    })
}

/// A physical line: where its text starts and ends (blanks, comment-only lines and line ends left out).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// Whether it starts at the margin.
    pub(crate) margin: bool,
    /// First to last byte that is not blank.
    pub(crate) range: Range<usize>,
}

/// The lines of a text that say something.
pub(crate) fn lines(text: &str) -> Vec<Line> {
    lines_of(text, |_| true)
}

/// Those of the wanted declarations; asked of each line at the margin.
pub(crate) fn lines_of(text: &str, wanted: impl Fn(&str) -> bool) -> Vec<Line> {
    let mut is_wanted = true;
    let bytes = text.as_bytes();
    let mut lines = Vec::with_capacity(bytes.len() / 32);
    let mut start = if text.starts_with('\u{FEFF}') { 3 } else { 0 };
    while start < bytes.len() {
        let end = find(b'\n', &bytes[start..]).map_or(bytes.len(), |length| start + length);
        let at = start;
        let body = &bytes[at..end];
        let blank = |b: &u8| matches!(b, b' ' | b'\t' | b'\r');
        start = end + 1;
        let indent = body.iter().take_while(|b| blank(b)).count();
        if indent == 0 && !body.is_empty() {
            is_wanted = wanted(text.get(at..end).unwrap_or(""));
        }
        if !is_wanted {
            continue;
        }
        let tail = body.iter().rev().take_while(|b| blank(b)).count();
        if indent < body.len() {
            lines.push(Line { margin: indent == 0, range: at + indent..end - tail });
        }
    }
    lines
}

/// A declaration's lines.
#[derive(Clone, Debug)]
pub(crate) struct Block<'t> {
    /// The line at the margin.
    pub(crate) head: &'t Line,
    /// The indented lines after it.
    pub(crate) body: &'t [Line],
}

/// Groups lines to declarations; indented lines before the first one come as a block of their own.
pub(crate) fn blocks(lines: &[Line]) -> Vec<Block<'_>> {
    let mut blocks = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let body = lines[at + 1..].iter().take_while(|line| !line.margin).count();
        blocks.push(Block { head: &lines[at], body: &lines[at + 1..at + 1 + body] });
        at += 1 + body;
    }
    blocks
}

/// What the grammar parses in one go.
#[derive(Clone, Debug)]
pub(crate) struct Logical {
    /// The field; `None` for the declaration's own head.
    pub(crate) field: Option<&'static FieldRow>,
    /// Whether its word is misspelt and was taken for the nearest.
    pub(crate) slip: bool,
    /// From the field word on.
    pub(crate) whole: Range<usize>,
    /// After the field word.
    pub(crate) body: Range<usize>,
}

/// Cuts a declaration to logical lines; `head` is what stands on the first line after word and label.
pub(crate) fn logical(text: &str, row: &'static DeclarationRow, head: Range<usize>, body: &[Line]) -> Vec<Logical> {
    let mut all = Vec::with_capacity(body.len() + 2);
    all.push(Logical { field: None, slip: false, whole: head.clone(), body: head });
    if row.head == Head::Label {
        take_label_rest(row, &mut all);
    }
    for line in body {
        let words = text.get(line.range.clone()).unwrap_or("");
        if let Some((field, length)) = words::field_at(row, words) {
            all.push(Logical {
                field: Some(field),
                slip: false,
                whole: line.range.clone(),
                body: line.range.start + length..line.range.end,
            });
        } else if let Some((field, length)) = misspelt(row, words, text, &all) {
            let body = line.range.start + length..line.range.end;
            all.push(Logical { field: Some(field), slip: true, whole: line.range.clone(), body });
        } else if let Some(field) = unnamed(row, words, &all) {
            all.push(Logical { field: Some(field), slip: false, whole: line.range.clone(), body: line.range.clone() });
        } else if let Some(last) = all.last_mut() {
            last.whole.end = line.range.end;
            last.body.end = line.range.end;
        }
    }
    all
}

/// What follows a label's colon on the same line is the first line of the body.
fn take_label_rest(row: &'static DeclarationRow, all: &mut Vec<Logical>) {
    let Some(head) = all.first_mut() else { return };
    let rest = head.body.clone();
    head.whole.end = rest.start;
    head.body.end = rest.start;
    if !rest.is_empty() {
        let word = match row.lines {
            Lines::Own(word) => word,
            _ => words::FieldWord::Sentence,
        };
        all.push(Logical { field: Some(words::field_row(word)), slip: false, whole: rest.clone(), body: rest });
    }
}

/// A line whose first word is one slip away from a field word, where the line before can't go on.
fn misspelt(
    row: &'static DeclarationRow,
    words: &str,
    text: &str,
    before: &[Logical],
) -> Option<(&'static FieldRow, usize)> {
    if row.lines != Lines::Continue {
        return None;
    }
    let first = words.split(|c: char| !c.is_alphanumeric()).next().filter(|word| word.len() >= 4)?;
    let last = before.last().and_then(|line| text.get(line.whole.clone())).unwrap_or("").trim_end();
    let goes_on = last.ends_with([',', '+', '-', '*', '/'])
        || last.ends_with(" and")
        || last.ends_with(" or")
        || last.ends_with(" to");
    if goes_on {
        return None;
    }
    let rows = row
        .fields
        .iter()
        .map(|word| words::field_row(*word))
        .filter(|row| row.text.len() >= 4 && !row.text.contains(' '));
    let near = |row: &&FieldRow| strsim::damerau_levenshtein(&first.to_lowercase(), row.text) == 1;
    rows.into_iter().find(near).map(|row| (row, first.len()))
}

/// The field without a word that a line begins, if it begins one rather than going on.
fn unnamed(row: &'static DeclarationRow, words: &str, before: &[Logical]) -> Option<&'static FieldRow> {
    let last = before.last()?;
    match row.lines {
        Lines::Own(word) => Some(words::field_row(word)),
        Lines::Sentence => {
            let sentence = words::FieldWord::Sentence;
            let begun = before.iter().any(|l| l.field.is_some_and(|f| f.word == sentence));
            (!begun).then(|| words::field_row(words::FieldWord::Sentence))
        }
        Lines::Continue => {
            let described = row.fields.contains(&words::FieldWord::Description);
            (described && last.field.is_none() && words.starts_with('"'))
                .then(|| words::field_row(words::FieldWord::Description))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<String> {
        let text = &without_comments(text);
        let lines = lines(text);
        let block = &blocks(&lines)[0];
        let words = &text[block.head.range.clone()];
        let row = words::DECLARATIONS.iter().find(|r| words::leading_words(words, r.text).is_some()).unwrap();
        let head = block.head.range.start + row.text.len()..block.head.range.end;
        logical(text, row, head, block.body).into_iter().map(|l| text[l.body].trim().to_string()).collect()
    }

    #[test]
    fn a_line_without_a_field_word_continues_the_one_before() {
        let text = "fault open wire\n  \"Open\"\n  # said so\n  shows a is no\n    or b is no\n  share 3\n";
        assert_eq!(cut(text), ["open wire", "\"Open\"", "a is no\n    or b is no", "3"]);
    }

    #[test]
    fn a_comment_is_blanked_and_a_hash_in_a_text_is_not() {
        let text = "a \"x # y\" # é\nb # c\n";
        let clean = without_comments(text);
        assert_eq!((clean.len(), clean.trim_end()), (text.len(), "a \"x # y\"     \nb"));
    }

    #[test]
    fn stretches_leave_nothing_out_and_cut_no_declaration() {
        let body = "reading a\n  unit V\n# note\n\u{c9}clat\n\n".repeat(3_000);
        let bodies = "  no letter at the margin\n".repeat(3_000);
        for text in ["", "\n", "state a", &format!("\u{feff}{body}"), &body.replace('\n', "\r\n"), &bodies] {
            let cut: Vec<Range<usize>> = stretches(text).collect();
            assert_eq!(cut.iter().map(|range| &text[range.clone()]).collect::<String>(), text);
            assert!(cut.iter().skip(1).all(|range| text[range.clone()].starts_with("reading a")));
            let last = cut.len().saturating_sub(1);
            assert!(cut.iter().take(last).all(|range| range.len() >= STRETCH));
        }
        assert!(stretches(&body).count() > 10);
    }

    #[test]
    fn each_line_of_a_circuit_is_its_own() {
        assert_eq!(cut("circuit c\n  wire a from b to c, 1 ohm\n  takes from d to e\n").len(), 3);
    }
}
