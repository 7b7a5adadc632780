//! Random books and jobs for laws: a few readings with tolerances, an observation, a state, a change, four faults.
#![allow(dead_code, unused_imports, reason = "each test file uses a part of it")]

use std::path::Path;

use proptest::prelude::*;
use ruleout::book::{Book, Library, load};

/// A text that is the only file.
pub(crate) struct Text(pub(crate) String);

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        false
    }
}

pub(crate) const HEAD: &str = "rulebook \"Random\"\n  language 1\nstate hot\nchange swapped\n  needs hot\nreading r0\n  unit V\n  tolerance 3 V to 7 V\n  tolerance 2 V to 8 V with hot\nreading r1\n  unit V\n  needs hot\nreading r2\n  unit V\n  unaffected by any change\nobservation o0\n  answers yes, no, dim\n  sound yes\n";

/// A random atom over the readings above.
pub(crate) fn atom() -> BoxedStrategy<String> {
    let word = prop_oneof![Just("below"), Just("above"), Just("at least"), Just("at most")];
    let setup = prop_oneof![Just(""), Just(" with hot"), Just(" with swapped"), Just(" without hot")];
    prop_oneof![
        (0..3u8, word.clone(), 0..10u8, setup.clone())
            .prop_map(|(r, word, x, setup)| format!("r{r} {word} {x} V{setup}")),
        (0..3u8, 0..3u8, word, setup.clone()).prop_map(|(a, b, word, setup)| format!("r{a} {word} r{b}{setup}")),
        (prop_oneof![Just("in tolerance"), Just("out of tolerance"), Just("below tolerance")], setup.clone())
            .prop_map(|(test, setup)| format!("r0 {test}{setup}")),
        (prop_oneof![Just("yes"), Just("no"), Just("dim")], setup)
            .prop_map(|(answer, setup)| format!("o0 is {answer}{setup}")),
    ]
    .boxed()
}

pub(crate) fn condition() -> BoxedStrategy<String> {
    let joiner = prop_oneof![Just(" and "), Just(" or ")];
    prop_oneof![
        atom(),
        (atom(), joiner.clone(), atom()).prop_map(|(a, j, b)| format!("{a}{j}{b}")),
        (atom(), joiner, atom()).prop_map(|(a, j, b)| format!("not ({a}{j}{b})")),
    ]
    .boxed()
}

pub(crate) fn conclusion() -> BoxedStrategy<String> {
    prop_oneof![
        (0..4u8).prop_map(|f| format!("implies f{f}")),
        (0..4u8).prop_map(|f| format!("rules out f{f}")),
        (0..3u8).prop_map(|f| format!("implies f{f} or f{}", f + 1)),
        (0..4u8, 2..9u8).prop_map(|(f, n)| format!("suggests f{f} {n} to 1")),
    ]
    .boxed()
}

pub(crate) fn book_text() -> impl Strategy<Value = String> {
    let rules = prop::collection::vec((condition(), conclusion()), 1..8);
    let shows = prop::collection::vec(atom(), 4);
    (rules, shows, 1..3u8).prop_map(|(rules, shows, at_once)| {
        let mut text = HEAD.replace("language 1\n", &format!("language 1\n  at most {at_once} faults at once\n"));
        for (n, shows) in shows.iter().enumerate() {
            text.push_str(&format!("fault f{n}\n  share {}\n  shows {shows}\n  verify r0 in tolerance\n", n + 1));
        }
        text.push_str("complaint c0\n  may be f0, f2\n  gone when o0 is yes\n");
        for (n, (condition, conclusion)) in rules.iter().enumerate() {
            text.push_str(&format!("rule n{n}:\n  {condition}\n  {conclusion}\n"));
        }
        text
    })
}

pub(crate) fn setups() -> impl Strategy<Value = &'static str> {
    prop_oneof![Just(""), Just(" with hot"), Just(" with swapped")]
}

/// `swapped` brings `hot` and can't alter r2: for r2 the two setups are one.
pub(crate) fn key(reading: u8, setup: &str) -> String {
    if reading == 2 && !setup.is_empty() { "r2 with hot".into() } else { format!("r{reading}{setup}") }
}

/// Entries, each with its own setup, no two of the same reading under the same setup.
pub(crate) fn entries() -> impl Strategy<Value = Vec<String>> {
    let number = (0..3u8, 0..100u16, 1..9u8, setups())
        .prop_map(|(r, x, w, setup)| (key(r, setup), format!("r{r} = {}.{} V ± 0.{w} V{setup}", x / 10, x % 10)));
    let answer = (prop_oneof![Just("yes"), Just("no"), Just("dim")], setups())
        .prop_map(|(answer, setup)| (format!("o0{setup}"), format!("o0 is {answer}{setup}")));
    prop::collection::vec(prop_oneof![3 => number, 1 => answer], 1..7).prop_map(|all| {
        let mut seen = Vec::new();
        let mut kept = Vec::new();
        for (key, line) in all {
            if !seen.contains(&key) {
                seen.push(key);
                kept.push(line);
            }
        }
        kept
    })
}

pub(crate) fn resolve(text: &str) -> Book {
    let loaded = load(&Text(text.to_string()), Path::new("random.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(!ruleout::book::load::has_errors(&problems), "{problems:?}\n{text}");
    book
}
