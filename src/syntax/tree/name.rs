//! Names, and how they are compared.

use crate::source::Span;

/// Words of a text, which share it rather than copy it. `as_str().to_string()` copies them at once; `to_string()` alone goes
/// by way of a formatter.
pub type Piece = arcstr::Substr;

/// A name as typed, runs of spaces folded to one, backticks taken off.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Name {
    /// The words.
    pub text: Piece,
    /// Where they stand.
    pub span: Span,
}

impl Name {
    /// The name as names are compared: without regard to case.
    pub fn key(&self) -> String {
        fold(&self.text)
    }
}

/// Folds a name for comparison: lower case, runs of spaces to one.
pub fn fold(text: &str) -> String {
    // To the end whatever comes, many bytes at a time.
    let bytes = text.as_bytes();
    let plain = bytes.iter().fold(true, |all, byte| all & byte.is_ascii() & (*byte != b'\t'));
    let after = bytes.get(1..).unwrap_or(&[]);
    let single = bytes.iter().zip(after).fold(true, |all, (one, next)| all & !((*one == b' ') & (*next == b' ')));
    if plain && single {
        return text.to_ascii_lowercase();
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Whether two names are one, blanks folded in both.
pub fn is_alike(one: &str, other: &str) -> bool {
    // Folding makes of a letter of ASCII no other one.
    if let ([a, ..], [b, ..]) = (one.as_bytes(), other.as_bytes())
        && a.is_ascii_alphabetic()
        && b.is_ascii_alphabetic()
        && !a.eq_ignore_ascii_case(b)
    {
        return false;
    }
    if one.is_ascii() && other.is_ascii() { one.eq_ignore_ascii_case(other) } else { fold(one) == fold(other) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_alike_whatever_their_case() {
        assert!(is_alike("Fan Relay", "fan relay") && is_alike("m\u{c9}", "M\u{e9}"));
        assert!(is_alike("\u{212a} sensor", "k sensor"), "the sign of the kelvin is a K");
        assert!(!is_alike("fan relay", "pan relay") && !is_alike("fan", "fans"));
    }
}
