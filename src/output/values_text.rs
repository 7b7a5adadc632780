//! Sentences of a book with the values of its limits: who has no screen can't look a name up.

use crate::book::{LimitId, Symbol};

use super::words::Wording;

/// The most words of a name that is looked for.
const LONGEST: usize = 12;

impl Wording<'_> {
    /// The words with each limit's value in the place of its name: `20 V to 30 V`.
    pub fn valued(&self, words: &str) -> String {
        self.limits_written(words, |_, value| value.to_string())
    }

    /// The words with each limit's value behind its name: `below least feed (22.5 V)`.
    pub fn explained(&self, words: &str) -> String {
        self.limits_written(words, |name, value| format!("{name} ({value})"))
    }

    fn limits_written(&self, words: &str, write: impl Fn(&str, &str) -> String) -> String {
        let all: Vec<&str> = words.split_whitespace().collect();
        let (mut out, mut at): (Vec<String>, usize) = (Vec::new(), 0);
        while at < all.len() {
            let (taken, text) = self.name_at(all.get(at..).unwrap_or(&[]), &write);
            at += taken;
            out.push(text);
        }
        out.join(" ")
    }

    /// The longest name of the book that some words begin with, written; else the first word as it is.
    fn name_at(&self, words: &[&str], write: &impl Fn(&str, &str) -> String) -> (usize, String) {
        for count in (1..=words.len().min(LONGEST)).rev() {
            let said = words.get(..count).unwrap_or(&[]).join(" ");
            let bare = said.trim_matches(['(', ')', ',', ';', '`']);
            let Some(symbol) = self.book.symbol(bare) else { continue };
            let (before, after) = said.split_once(bare).unwrap_or(("", ""));
            let text = match symbol {
                Symbol::Limit(id) => write(bare, &self.limit_value(id)),
                _ => bare.to_string(),
            };
            return (count, format!("{before}{text}{after}"));
        }
        (1, words.first().copied().unwrap_or("").to_string())
    }

    fn limit_value(&self, id: LimitId) -> String {
        let limit = self.book.limit(id);
        limit.unit.map_or_else(|| limit.value.to_string(), |unit| unit.show(&limit.value))
    }
}
