//! Safe fixes: words put in the place of others. A fix never changes what a book says to its reader; what would is
//! only proposed in words.

use std::collections::BTreeMap;

use crate::source::{SourceId, Span};

/// Words put in the place of a span.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    /// What goes; empty where something is put in.
    pub span: Span,
    /// What comes.
    pub text: String,
}

/// What mends a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fix {
    /// What it does, in words.
    pub says: String,
    /// All of it is done, or nothing.
    pub edits: Vec<Edit>,
}

impl Fix {
    /// One edit.
    pub(crate) fn one(says: impl Into<String>, span: Span, text: impl Into<String>) -> Self {
        Self { says: says.into(), edits: vec![Edit { span, text: text.into() }] }
    }
}

/// A text with the fixes done that lie in it, and how many were done. Of two that meet, the first is done; the other
/// waits for the next run.
pub fn apply<'f>(text: &str, source: SourceId, fixes: impl IntoIterator<Item = &'f Fix>) -> (String, usize) {
    let mut taken: BTreeMap<(u32, u32), &str> = BTreeMap::new();
    let mut done = 0;
    for fix in fixes {
        let fits = fix.edits.iter().all(|edit| {
            let right = edit.span.source == source && text.get(edit.span.range()).is_some();
            right && is_free(&taken, edit)
        });
        if fits && !fix.edits.is_empty() {
            done += 1;
            taken.extend(fix.edits.iter().map(|edit| ((edit.span.start, edit.span.end), edit.text.as_str())));
        }
    }
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for ((start, end), words) in taken {
        let (start, end) = (start as usize, end as usize);
        out.push_str(text.get(at..start).unwrap_or(""));
        out.push_str(words);
        at = end.max(at);
    }
    out.push_str(text.get(at..).unwrap_or(""));
    (out, done)
}

/// Whether an edit touches none that is taken already.
fn is_free(taken: &BTreeMap<(u32, u32), &str>, edit: &Edit) -> bool {
    let (start, end) = (edit.span.start, edit.span.end);
    let before = taken.range(..=(start, u32::MAX)).next_back();
    let after = taken.range((start, 0)..).next();
    before.is_none_or(|((from, to), _)| *to <= start && (*from, *to) != (start, end))
        && after.is_none_or(|((from, _), _)| *from >= end && *from != start)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit(start: usize, end: usize, text: &str) -> Fix {
        Fix::one("", Span::new(SourceId(0), start, end), text)
    }

    #[test]
    fn edits_are_done_in_the_order_of_the_text() {
        let fixes = [edit(4, 7, "x"), edit(0, 3, "y"), edit(7, 7, "!")];
        assert_eq!(apply("one two", SourceId(0), &fixes), ("y x!".into(), 3));
    }

    #[test]
    fn of_two_that_meet_the_first_is_done() {
        let fixes = [edit(0, 5, "x"), edit(3, 7, "y"), edit(2, 2, "z")];
        assert_eq!(apply("one two", SourceId(0), &fixes), ("xwo".into(), 1));
        assert_eq!(apply("one", SourceId(0), &[edit(1, 1, "a"), edit(1, 1, "b")]).1, 1);
    }

    #[test]
    fn an_edit_outside_the_text_is_left_out() {
        assert_eq!(apply("é", SourceId(0), &[edit(1, 2, "x"), edit(5, 9, "y")]), ("é".into(), 0));
    }
}
