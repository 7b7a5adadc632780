//! Names apart only by their spelling.

use std::collections::HashMap;

use crate::lint::check::{Finding, Findings, check};
use crate::lint::names::Space;
use crate::lint::subject::Subject;
use crate::source::Span;
use crate::syntax::tree::fold;

check! {
    /// Finds: two declared names that differ only by a hyphen, a blank, a doubled letter, an ending `s`, or by one letter
    /// or two turned letters inside a word. Silent where a number or a whole word makes the difference (`fuse F3`,
    /// `left fan`), and where a first letter does (`rear` and `near`).
    ///
    /// Harm: they are two things to the program and one to the reader. What is entered for the one never reaches the
    /// rule that asks for the other.
    ///
    /// Bad:
    /// ```rulebook
    /// reading condenser outlet pressure
    ///   unit kPa gauge
    /// reading condensor outlet pressure
    ///   unit kPa gauge
    /// ```
    /// Good:
    /// ```rulebook
    /// reading condenser outlet pressure
    ///   unit kPa gauge
    /// reading evaporator outlet pressure
    ///   unit kPa gauge
    /// ```
    "names-nearly-alike", Warning, Sound, find
}

/// Names that are alike but for one word are compared up to this many: more are a scheme of names, not a slip.
const MOST: usize = 12;

struct Declared<'a> {
    space: Space,
    name: &'a str,
    span: Span,
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let names = declared(subject);
    let keys: Vec<String> = names.iter().map(|n| fold(n.name)).collect();
    let mut skeletons: HashMap<(Space, String), usize> = HashMap::new();
    let mut gaps: HashMap<(Space, usize, u64), Vec<usize>> = HashMap::new();
    for (place, (one, key)) in names.iter().zip(&keys).enumerate() {
        let same = *skeletons.entry((one.space, skeleton(key))).or_insert(place);
        let mut near = (same != place).then_some(same);
        let words: Vec<&str> = key.split(' ').collect();
        for (at, word) in words.iter().enumerate().filter(|(_, word)| is_comparable(word)) {
            let bucket = gaps.entry((one.space, at, hash_without(&words, at))).or_default();
            if bucket.len() < MOST {
                let alike = |other: &&usize| {
                    keys.get(**other).and_then(|key| key.split(' ').nth(at)).is_some_and(|other| slip(word, other))
                };
                near = near.or(bucket.iter().find(alike).copied());
                bucket.push(place);
            }
        }
        if let Some(other) = near.and_then(|other| names.get(other)) {
            report(subject, other, one, found);
        }
    }
}

fn report(subject: &Subject<'_>, first: &Declared<'_>, second: &Declared<'_>, found: &mut Findings) {
    let (place, other) = if subject.is_own(second.span) { (second, first) } else { (first, second) };
    if !subject.is_own(place.span) {
        return;
    }
    found.add(
        Finding::at(place.span, format!("`{}` and `{}` differ only in their spelling", place.name, other.name))
            .also(other.span, "the other one")
            .help("if they are one, keep one; if they are two, name what tells them apart"),
    );
}

fn declared<'a>(subject: &Subject<'a>) -> Vec<Declared<'a>> {
    let book = subject.book;
    let shared = |name: &'a str, span: Span| Declared { space: Space::Shared, name, span };
    let mut all: Vec<Declared<'a>> = Vec::with_capacity(book.names.len());
    all.extend(book.limits.iter().map(|l| shared(&l.name, l.span)));
    all.extend(book.settings.iter().map(|s| shared(&s.name, s.span)));
    all.extend(book.indications.iter().map(|i| shared(&i.name, i.span)));
    all.extend(book.faults.iter().map(|f| shared(&f.name, f.span)));
    all.extend(book.findings.iter().map(|f| shared(&f.name, f.span)));
    all.extend(book.parts.iter().map(|p| Declared { space: Space::Part, name: &p.name, span: p.span }));
    all.extend(book.cautions.iter().map(|c| Declared { space: Space::Caution, name: &c.name, span: c.span }));
    all.sort_by_key(|declared| declared.span);
    all
}

/// The letters and digits of a name, doubled letters taken once, an ending `s` of a word left out.
fn skeleton(key: &str) -> String {
    let mut out = String::with_capacity(key.len());
    for word in key.split([' ', '-']) {
        let stem = if word.len() > 3 && !word.ends_with("ss") { word.strip_suffix('s').unwrap_or(word) } else { word };
        for c in stem.chars().filter(|c| c.is_alphanumeric()) {
            if c.is_numeric() || !out.ends_with(c) {
                out.push(c);
            }
        }
    }
    out
}

fn is_comparable(word: &str) -> bool {
    word.len() > 4 && word.chars().all(char::is_alphabetic)
}

/// A hash of all words but one (FNV-1a).
fn hash_without(words: &[&str], at: usize) -> u64 {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut eat = |byte: u8| hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    for (place, word) in words.iter().enumerate() {
        if place != at {
            word.bytes().for_each(&mut eat);
        }
        eat(b' ');
    }
    hash
}

/// Whether one word is the other with a letter left out, two turned, or one vowel for another, not at its beginning.
fn slip(one: &str, other: &str) -> bool {
    if one == other || !is_comparable(other) || one.chars().next() != other.chars().next() {
        return false;
    }
    let lengths = (one.chars().count(), other.chars().count());
    if strsim::osa_distance(one, other) != 1 {
        return false;
    }
    if lengths.0 != lengths.1 {
        // An ending makes another word: heat, heats, heater.
        let shorter = if lengths.0 < lengths.1 { one } else { other };
        let longer = if lengths.0 < lengths.1 { other } else { one };
        return !longer.starts_with(shorter) || longer.ends_with('s');
    }
    let apart: Vec<(char, char)> = one.chars().zip(other.chars()).filter(|(a, b)| a != b).collect();
    let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u' | 'y');
    match apart.as_slice() {
        [(a, b)] => vowel(*a) && vowel(*b),
        turned => turned.len() == 2,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_told_from_other_words() {
        for (one, other) in
            [("condenser", "condensor"), ("supply", "suply"), ("pressure", "presure"), ("relay", "realy")]
        {
            assert!(slip(one, other) || skeleton(one) == skeleton(other), "{one} {other}");
        }
        for (one, other) in
            [("motor", "rotor"), ("heated", "heater"), ("heate", "heater"), ("valve", "value"), ("front", "frost")]
        {
            assert!(!slip(one, other), "{one} {other}");
        }
        assert_eq!(skeleton("re-circulation flap"), skeleton("recirculation flaps"));
        assert_ne!(skeleton("fuse f33"), skeleton("fuse f3"));
    }
}
