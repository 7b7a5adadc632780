//! How a person types: a phone's capital letter at the start, a capital in `Is` or `With`, another word for an order.
//! What is mended is what is kept, so a record reads like any other.

use super::commands::COMMANDS;

/// Words of the language that a capital may have crept into.
const WORDS: &[&str] = &["is", "with", "without", "not", "measured", "to", "below", "above", "from", "channel"];

/// Words that begin a sentence and are no command.
const FIRST: &[&str] =
    &["with", "without", "complaint", "take", "that", "can't", "cannot", "repaired", "meter", "ambient", "profile"];

/// Orders by another word, and how they are said here.
pub(super) const OTHERWISE: &[(&str, &str)] = &[
    ("undo", "take back"),
    ("delete", "take back"),
    ("back", "take back"),
    ("exit", "quit"),
    ("q", "quit"),
    ("bye", "quit"),
    ("end", "quit"),
    ("status", "faults"),
    ("verdicts", "faults"),
    ("list", "entries"),
    ("readings", "entries"),
    ("?", "help"),
    ("fixed", "repaired FAULT"),
    ("set", "with STATE"),
];

/// The line with the language's own words in small letters; names, units and what stands in quotes are left alone.
pub(super) fn mended(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let mut quoted = None;
    let mut first = true;
    for token in line.split_inclusive(char::is_whitespace) {
        let word = token.trim_end();
        let small = word.to_lowercase();
        let ours = match (quoted, first) {
            (Some(_), _) => false,
            (None, true) => begins(&small) || WORDS.contains(&small.as_str()),
            (None, false) => WORDS.contains(&small.as_str()),
        };
        if ours && small != word {
            out.push_str(&small);
            out.push_str(token.get(word.len()..).unwrap_or(""));
        } else {
            out.push_str(token);
        }
        for mark in word.chars().filter(|c| matches!(c, '"' | '`')) {
            quoted = match quoted {
                None => Some(mark),
                Some(open) if open == mark => None,
                open => open,
            };
        }
        first &= word.is_empty();
    }
    out
}

fn begins(word: &str) -> bool {
    FIRST.contains(&word) || COMMANDS.iter().any(|command| command.words.split(' ').next() == Some(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_in_the_languages_words_are_mended_and_nothing_else_is() {
        assert_eq!(mended("Fan runs Is no"), "Fan runs is no");
        assert_eq!(mended("Next 3"), "next 3");
        assert_eq!(mended("Supply = 3 V With relay swapped"), "Supply = 3 V with relay swapped");
        assert_eq!(mended("Complaint \"It Is dead With a noise\""), "complaint \"It Is dead With a noise\"");
        assert_eq!(mended("`What Is` is no"), "`What Is` is no");
        assert_eq!(mended("R = 3 Mohm"), "R = 3 Mohm");
    }
}
