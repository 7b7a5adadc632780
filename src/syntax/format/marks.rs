//! What the tree knows about a stretch of text and its letters alone don't tell: which words are a name, a unit, a
//! word of the language. In the order of the text, for [`super::lex`].

use std::borrow::Cow;

use super::token::in_backticks;
use super::walk::{self, Role, Seen};
use crate::syntax::tree::{Declaration, fold};

/// A stretch of text with the part it plays.
#[derive(Clone, Debug)]
pub(super) struct Mark<'t> {
    /// First byte.
    pub(super) start: usize,
    /// One past the last byte.
    pub(super) end: usize,
    /// The part it plays.
    pub(super) role: Role,
    /// The words as the tree keeps them.
    pub(super) words: Cow<'t, str>,
    /// The words as typed, blanks folded.
    pub(super) typed: Cow<'t, str>,
}

/// The marks of a declaration in `text`, in order.
pub(super) fn of<'t>(text: &'t str, declaration: &mut Declaration) -> Vec<Mark<'t>> {
    let mut marks = Vec::new();
    walk::declaration(declaration, &mut |seen| marks.extend(mark(text, &seen)));
    marks.sort_by_key(|mark: &Mark<'_>| mark.start);
    marks
}

fn mark<'t>(text: &'t str, seen: &Seen<'_>) -> Option<Mark<'t>> {
    let Seen { role, words, ref span } = *seen;
    let (start, end) = (span.start as usize, span.end as usize);
    let said = text.get(start..end)?;
    let mark = |words: Cow<'t, str>, typed: Cow<'t, str>| Some(Mark { start, end, role, words, typed });
    let short = |at: usize, length: usize| {
        Some(Mark { start: at, end: at + length, role, words: Cow::Borrowed(""), typed: Cow::Borrowed("") })
    };
    match role {
        Role::Place => None,
        Role::Number => sign(said).and_then(|length| short(start, length)),
        Role::Accuracy => plus_minus(said).and_then(|length| short(start, length)),
        Role::PlusMinus => {
            let at = said.find(['±', '+'])?;
            plus_minus(said.get(at..)?).and_then(|length| short(start + at, length))
        }
        Role::OverRange => mark("OL".into(), "OL".into()),
        Role::Word if said.starts_with('"') => None,
        Role::Free => mark(kept(said, words), folded(said)),
        Role::Sticking => mark(kept(said, words), sticking(said).into()),
        Role::Name | Role::Element | Role::Point | Role::Band if said.starts_with('`') => {
            let typed = kept(said, &in_backticks(words));
            mark(words.to_string().into(), typed)
        }
        Role::Name | Role::Element | Role::Point | Role::Band | Role::Kind | Role::Word | Role::Unit => {
            mark(kept(said, words), kept(said, words))
        }
    }
}

/// The text's own letters where they are the same.
fn kept<'t>(said: &'t str, words: &str) -> Cow<'t, str> {
    if said == words { said.into() } else { words.to_string().into() }
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
fn folded(words: &str) -> Cow<'_, str> {
    if words.contains("  ") || words.contains(['\t', '\n']) {
        words.split_whitespace().collect::<Vec<_>>().join(" ").into()
    } else {
        words.trim().into()
    }
}

/// `K2  OPEN` to `K2 open`; in backticks the word belongs to the name.
fn sticking(words: &str) -> String {
    let words = folded(words);
    match words.rsplit_once(' ') {
        Some((name, how)) if matches!(&*fold(how), "open" | "closed") => format!("{name} {}", fold(how)),
        _ => words.into_owned(),
    }
}
