//! One layout for every rulebook: [`format()`] writes a text again so that it says the same, with every comment in
//! its place. It works on the words as typed and takes from the tree only what they are; it must not know what a
//! name stands for. A text with a problem is left alone.

mod block;
mod breaks;
mod comments;
mod cut;
mod gaps;
mod lex;
mod lines;
mod marks;
mod names;
mod scan;
mod token;
mod walk;

use self::gaps::Gap;
use self::lex::Source;
use super::layout;
use super::parse::parse_book;
use super::words::{DeclarationWord, declaration_row};
use crate::problem::Problem;
use crate::source::SourceId;

/// The text of a rulebook in the one layout: declarations at the margin with a blank line between them, bodies
/// indented by two blanks, lists filled up to column 100, a sentence of several lines with one clause on each.
///
/// What it says stays the same, comments are kept in order, and laying out a second time changes nothing.
///
/// # Errors
/// The problems of a text that can't be read, or a declaration that can't be laid out without changing what it
/// says. Places are in `text`.
pub fn format(text: &str) -> Result<String, Vec<Problem>> {
    let (mut tree, problems) = parse_book(SourceId::default(), text);
    if !problems.is_empty() {
        return Err(problems);
    }
    let clean = layout::without_comments(text);
    let source = Source { text, clean: &clean };
    let lines = layout::lines(&clean);
    let blocks = layout::blocks(&lines);
    let mut page = Page { out: String::with_capacity(text.len()), last: None };
    let start_of = |at: usize| blocks.get(at).map_or(text.len(), |block| block.head.range.start);
    let mut gap = gaps::opening(text, start_of(0));
    for (at, (block, declaration)) in blocks.iter().zip(&mut tree.declarations).enumerate() {
        let place = declaration.name.span;
        let (mut laid, after) = cut::declaration(source, block, declaration, start_of(at + 1));
        gap.comments.extend(laid.ahead());
        let Some(written) = laid.write(declaration) else {
            let word = declaration_row(declaration.word).text;
            let message = format!("this `{word}` can't be laid out without changing what it says");
            return Err(vec![
                Problem::error("format/meaning", place, message)
                    .help("write each field on a line of its own and check that every word on it is meant"),
            ]);
        };
        page.declaration(declaration.word, &written, &gap);
        gap = after;
    }
    page.comments(&gap, None);
    Ok(page.out)
}

/// A declaration that may stand right beside one of its kind: its word, if it takes one line.
type Single = Option<DeclarationWord>;

struct Page {
    out: String,
    /// The declaration before.
    last: Option<Single>,
}

impl Page {
    fn declaration(&mut self, word: DeclarationWord, written: &str, gap: &Gap<'_>) {
        let one_line = written.find('\n').is_none_or(|end| end + 1 == written.len());
        let single = one_line.then_some(word);
        if self.comments(gap, single) {
            self.out.push('\n');
        }
        self.out.push_str(written);
        self.last = Some(single);
    }

    /// Writes the comments between the declaration before and what follows; whether a blank line comes next.
    fn comments(&mut self, gap: &Gap<'_>, next: Single) -> bool {
        let first = gap.comments.first().map_or(gap.blank_above, |comment| comment.blank_above);
        let mut blank = match self.last {
            None => false,
            Some(last) => first || last.is_none() || last != next,
        };
        let below = gap.comments.iter().skip(1).map(|comment| comment.blank_above).chain([gap.blank_above]);
        for (comment, blank_below) in gap.comments.iter().zip(below) {
            if blank {
                self.out.push('\n');
            }
            lines::comments(&mut self.out, 0, [&*comment.text]);
            blank = blank_below;
        }
        blank
    }
}
