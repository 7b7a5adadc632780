//! Letters of another script that look like Latin ones.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::{Edit, Fix};
use crate::lint::subject::Subject;

check! {
    /// Finds: a declared name in which Cyrillic or Greek letters stand for the Latin ones that they look like. Silent
    /// where a word is wholly of the other script, and on signs of the trade such as Ω, µ or Δ.
    ///
    /// Harm: two names that no eye can tell apart are two, and what is typed at the bench never matches.
    ///
    /// Fix: puts the Latin letters wherever the file uses the name.
    ///
    /// Bad:
    /// ```rulebook
    /// fault bl\u{43E}wn link
    ///   "The fusible link is open"
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown link
    ///   "The fusible link is open"
    /// ```
    "look-alike-letters", Error, Tree, find
}

/// A file with more such names is typed in another script on purpose, or spoilt on purpose; it is not mended.
const MOST: usize = 100;

/// Letters of other scripts and the Latin ones that they look like (from the confusables of Unicode Technical Standard
/// 39, those that are alike in common fonts; from memory).
const ALIKE: &[(&str, &str)] =
    &[("АВЕЅІЈКМНОРСТХУасеѕіјорхуһԁԛԝ", "ABESIJKMHOPCTXYacesijopxyhdqw"), ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧονρι", "ABEZHIKMNOPTYXovpi")];

fn latin(c: char) -> Option<char> {
    if c.is_ascii() {
        return None;
    }
    ALIKE.iter().find_map(|(other, plain)| other.chars().zip(plain.chars()).find(|(o, _)| *o == c).map(|(_, p)| p))
}

/// The name with Latin letters, if it has look-alikes that pass for them.
fn disguised(name: &str) -> Option<String> {
    if name.is_ascii() {
        return None;
    }
    let latin_elsewhere = name.chars().any(|c| c.is_ascii_alphabetic());
    let mut changed = false;
    let words: Vec<String> = name
        .split(' ')
        .map(|word| {
            let letters = || word.chars().filter(|c| c.is_alphabetic());
            let mixed = letters().any(|c| c.is_ascii());
            let all_alike = letters().count() > 1 && letters().all(|c| latin(c).is_some()) && latin_elsewhere;
            if !(mixed || all_alike) || !word.chars().any(|c| latin(c).is_some()) {
                return word.to_string();
            }
            changed = true;
            word.chars().map(|c| latin(c).unwrap_or(c)).collect()
        })
        .collect();
    changed.then(|| words.join(" "))
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if subject.text.is_ascii() {
        return;
    }
    let disguises = subject.declarations().filter_map(|d| Some((&d.name, disguised(&d.name.text)?)));
    for (count, (name, plain)) in disguises.enumerate() {
        let letters =
            name.text.chars().filter(|c| latin(*c).is_some()).map(|c| format!("`{c}` (U+{:04X})", u32::from(c)));
        let mut letters: Vec<String> = letters.collect();
        letters.dedup();
        let mends = count < MOST && subject.book.symbol(&plain).is_none();
        let fix =
            mends.then(|| Fix { says: "put the Latin letters".into(), edits: edits(subject, &name.text, &plain) });
        found.add(
            Finding::at(
                name.span,
                format!("`{}` has letters of another script that look Latin: {}", name.text, letters.join(", ")),
            )
            .help(format!("type it anew: `{plain}`"))
            .fix(fix),
        );
    }
}

/// Puts the plain words wherever the file has the disguised ones.
fn edits(subject: &Subject<'_>, name: &str, plain: &str) -> Vec<Edit> {
    let mut all = Vec::new();
    for (word, plain) in name.split(' ').zip(plain.split(' ')).filter(|(word, plain)| word != plain) {
        for (at, _) in subject.text.match_indices(word) {
            let letter = |c: char| c.is_alphanumeric();
            let before = subject.text.get(..at).and_then(|text| text.chars().next_back()).is_some_and(letter);
            let after = subject.text.get(at + word.len()..).and_then(|text| text.chars().next()).is_some_and(letter);
            if !before && !after {
                all.push(Edit { span: subject.span(at, at + word.len()), text: plain.to_string() });
            }
        }
    }
    all
}
