//! Backticks: which names need them where they stand. Leaves the last word to the parser: [`super::block`] reads
//! every declaration again and falls back to the author's own backticks.

use std::borrow::Cow;

use super::token::{Kind, Spellings, Token, in_backticks};
use super::walk::Role;
use crate::source::SourceId;
use crate::syntax::parse::parse_name;

/// How names are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Backticks {
    /// Only where a name needs them.
    Fewest,
    /// As the author wrote them.
    AsTyped,
}

/// Writes every name of a line.
pub(super) fn spell<'t>(tokens: &mut [Token<'t>], backticks: Backticks) {
    for at in 0..tokens.len() {
        let Some((before, [token, after @ ..])) = tokens.split_at_mut_checked(at) else { continue };
        let Some(name) = &token.name else { continue };
        let broken = token.after.is_some() || after.first().is_some_and(|next| !next.before.is_empty());
        let next = if broken { &[] } else { &*after };
        token.text = match backticks {
            Backticks::AsTyped => name.typed.clone(),
            Backticks::Fewest => fewest(name, before.last(), next),
        };
    }
}

fn fewest<'t>(name: &Spellings<'t>, before: Option<&Token<'_>>, after: &[Token<'_>]) -> Cow<'t, str> {
    let bare = match name.role {
        Role::Name => {
            let asked = before.is_some_and(|word| word.is_word("below") || word.is_word("above"));
            let tolerance = asked && name.bare.eq_ignore_ascii_case("tolerance");
            let needed = runs_on(after) || lends_figure(&name.bare, after);
            !needed && (!name.typed_quoted() || lone(&name.bare) && !tolerance)
        }
        Role::Element => in_circuit(name, after, ENDS_ELEMENT),
        Role::Point => in_circuit(name, after, ENDS_POINT),
        Role::Band => !name.typed_quoted() || lone(&name.bare) && !name.bare.contains(|c: char| c.is_ascii_digit()),
        _ => lone(&name.bare),
    };
    match (bare, name.role) {
        (true, _) => name.bare.clone(),
        (false, Role::Free) => name.typed.clone(),
        (false, _) => in_backticks(&name.bare).into(),
    }
}

/// Whether the words are a whole name without backticks.
fn lone(words: &str) -> bool {
    parse_name(SourceId::default(), 0, words).is_ok_and(|name| &*name.text == words)
}

/// Words that end an element's name without more.
const ENDS_ELEMENT: &[&str] =
    &["from", "to", "across", "through", "opens", "shorts", "adds", "sticks", "weakens", "fits", "changes", "may"];

/// Words that end a point's name.
const ENDS_POINT: &[&str] = &["to", "and", "across", "from", "behind"];

/// Whether a name of a circuit's line does without backticks: one typed without them does, unless it now runs into
/// the next one; of the others those that one of `ends` or a comma follows.
fn in_circuit(name: &Spellings<'_>, after: &[Token<'_>], ends: &[&str]) -> bool {
    let next = after.first();
    if !name.typed_quoted() {
        return !next.is_some_and(|next| matches!(next.kind, Kind::Name | Kind::Figure));
    }
    let ended = match next {
        None => true,
        Some(next) if next.kind == Kind::Word => ends.contains(&&*next.text),
        Some(next) => next.kind == Kind::Comma,
    };
    ended && lone(&name.bare)
}

/// Words that end a name wherever they stand.
const ENDS: &[&str] = &[
    "below", "above", "between", "outside", "to", "is", "and", "or", "not", "with", "without", "implies", "suggests",
    "shows", "means",
];

/// Words that end a name in pairs.
const ENDS_IN_PAIRS: &[(&str, &str)] =
    &[("at", "least"), ("at", "most"), ("in", "tolerance"), ("out", "of"), ("rules", "out"), ("speaks", "against")];

/// Words after which a comparison begins.
const COMPARISONS: &[&str] = &["below", "above", "at", "between", "outside", "in", "out", "is"];

/// Whether the last word of a bare name is a figure that what follows would take: `zone 3` before `to 5 V`.
fn lends_figure(bare: &str, after: &[Token<'_>]) -> bool {
    let digits = bare.rsplit(' ').next().is_some_and(|word| word.bytes().all(|byte| byte.is_ascii_digit()));
    let taken = match after {
        [to, figure, ..] if to.is_word("to") => figure.kind == Kind::Figure,
        [times, ..] => times.is_word("times"),
        [] => false,
    };
    digits && taken
}

/// Whether what follows a bare name on its line would be read as more of the name (the grammar's `ends`).
fn runs_on(after: &[Token<'_>]) -> bool {
    let word = |at: usize| after.get(at).filter(|token| token.kind == Kind::Word).map_or("", |token| &*token.text);
    let kind = |at: usize| after.get(at).map(|token| token.kind);
    let figure = |at: usize| kind(at) == Some(Kind::Figure);
    match kind(0) {
        Some(Kind::Name) => true,
        Some(Kind::Figure) => {
            let parted = after.first().is_some_and(|token| token.text.contains('.'));
            !(parted || word(1) == "times" || word(1) == "to" && figure(2))
        }
        Some(Kind::Word) => {
            let ends = ENDS.contains(&word(0)) || ENDS_IN_PAIRS.contains(&(word(0), word(1)));
            let stops = match word(0) {
                "ever" | "always" => COMPARISONS.contains(&word(1)),
                "from" => kind(1) == Some(Kind::Text),
                "for" => word(1) == "at",
                "within" => figure(1),
                "in" => figure(1) && word(2) == "of",
                _ => false,
            };
            !(ends || stops)
        }
        _ => false,
    }
}
