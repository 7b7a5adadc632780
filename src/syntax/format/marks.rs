//! What the tree knows about a stretch of text and its letters alone don't tell: which words are a name, a unit, a
//! word of the language. In the order of the text, for [`super::lex`].

use super::walk::{self, Role, Seen};
use crate::syntax::tree::{Declaration, fold};

/// A stretch of text with the part it plays.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    /// First byte.
    pub(super) start: usize,
    /// One past the last byte.
    pub(super) end: usize,
    /// The part it plays.
    pub(super) role: Role,
    /// The words as the tree keeps them.
    pub(super) words: String,
    /// The words as typed, blanks folded.
    pub(super) typed: String,
}

/// The marks of a declaration in `text`, in order.
pub(super) fn of(text: &str, declaration: &mut Declaration) -> Vec<Mark> {
    let mut marks = Vec::new();
    walk::declaration(declaration, &mut |seen| marks.extend(mark(text, &seen)));
    marks.sort_by_key(|mark: &Mark| mark.start);
    marks
}

fn mark(text: &str, seen: &Seen<'_>) -> Option<Mark> {
    let (start, end) = (seen.span.start as usize, seen.span.end as usize);
    let rest = text.get(start..)?;
    let stands = |from: usize, to: usize, typed: &str, words: &str| {
        Some(Mark { start: from, end: to, role: seen.role, words: words.to_string(), typed: typed.to_string() })
    };
    match seen.role {
        Role::Place => None,
        Role::Number => sign(rest).and_then(|length| stands(start, start + length, "", "")),
        Role::Accuracy => plus_minus(rest).and_then(|length| stands(start, start + length, "", "")),
        Role::PlusMinus => {
            let at = start + text.get(start..end)?.find(['±', '+'])?;
            plus_minus(text.get(at..)?).and_then(|length| stands(at, at + length, "", ""))
        }
        Role::OverRange => stands(start, end, "", "OL"),
        Role::Word if rest.starts_with('"') => None,
        Role::Name | Role::Element | Role::Point | Role::Band if rest.starts_with('`') => {
            stands(start, end, "`", seen.words)
        }
        Role::Free => stands(start, end, &folded(text.get(start..end)?), seen.words),
        Role::Sticking => stands(start, end, &sticking(text.get(start..end)?), seen.words),
        Role::Name | Role::Element | Role::Point | Role::Band | Role::Kind | Role::Word | Role::Unit => {
            stands(start, end, "", seen.words)
        }
    }
}

/// Length of a sign at the start.
fn sign(rest: &str) -> Option<usize> {
    rest.chars().next().filter(|c| matches!(c, '-' | '−' | '+')).map(char::len_utf8)
}

/// Length of a `±` at the start, however it is spelt.
fn plus_minus(rest: &str) -> Option<usize> {
    ["±", "+-", "+/-"].into_iter().find(|spelt| rest.starts_with(spelt)).map(str::len)
}

/// Blanks folded as the parser folds them: a lone blank of another kind stays.
fn folded(words: &str) -> String {
    if words.contains("  ") || words.contains(['\t', '\n']) {
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    } else {
        words.trim().to_string()
    }
}

/// `K2  OPEN` to `K2 open`; in backticks the word belongs to the name.
fn sticking(words: &str) -> String {
    let words = folded(words);
    match words.rsplit_once(' ') {
        Some((name, how)) if matches!(&*fold(how), "open" | "closed") => format!("{name} {}", fold(how)),
        _ => words,
    }
}
