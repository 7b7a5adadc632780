//! From what was typed to a unit, or to the nearest ones.

use std::{collections::BTreeMap, sync::LazyLock};

use super::{Unit, UnitProblem, table::UNITS};
use crate::units::Dimension;

/// The most near spellings that a problem offers.
const MOST_OFFERED: usize = 3;
/// No unit is longer than this, and a longer text is not compared letter by letter.
const MOST_LETTERS: usize = 40;

/// Every spelling that is read.
static SPELLINGS: LazyLock<BTreeMap<String, &'static Unit>> = LazyLock::new(|| {
    UNITS.iter().flat_map(|unit| unit.spellings().map(move |spelling| (plain(spelling), unit))).collect()
});

impl Unit {
    /// The unit with this spelling. Large and small letters differ (`mohm`, `Mohm`); runs of spaces, the
    /// two characters for Ω, the two for µ and the single-character ℃ and ℉ do not.
    ///
    /// # Errors
    /// No such unit; the problem holds the nearest spellings.
    pub fn find(text: &str) -> Result<&'static Unit, UnitProblem> {
        // Most are typed as they are written here; for them the table of all spellings need not be made.
        if let Some(unit) = UNITS.iter().find(|unit| unit.symbol == text) {
            return Ok(unit);
        }
        let typed = plain(text);
        match SPELLINGS.get(&typed) {
            Some(unit) => Ok(unit),
            None => Err(UnitProblem { typed: shortened(text.trim()), nearest: nearest(&typed) }),
        }
    }

    /// All units in the order of the table.
    pub fn all() -> impl Iterator<Item = &'static Unit> {
        UNITS.iter()
    }

    /// The unit in which results of this dimension are usually written; `None` for a plain number and for
    /// quantities without a name.
    pub fn usual(dimension: Dimension) -> Option<&'static Unit> {
        if dimension == Dimension::NONE {
            return None;
        }
        UNITS.iter().find(|unit| unit.dimension == dimension)
    }

    /// Every spelling that is read, the symbol first.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> + use<> {
        std::iter::once(self.symbol).chain(self.others.iter().copied())
    }
}

/// One character for each sign that has several, single spaces, none at the ends.
fn plain(text: &str) -> String {
    let mut spelled = String::with_capacity(text.len());
    for character in text.split_whitespace().collect::<Vec<_>>().join(" ").chars() {
        match character {
            '\u{2126}' => spelled.push('\u{3a9}'),
            '\u{b5}' => spelled.push('\u{3bc}'),
            '\u{2103}' => spelled.push_str("°C"),
            '\u{2109}' => spelled.push_str("°F"),
            other => spelled.push(other),
        }
    }
    spelled
}

/// Symbols of the units that were probably meant, best first.
fn nearest(typed: &str) -> Vec<&'static str> {
    if typed.is_empty() {
        return Vec::new();
    }
    let wanted = folded(typed);
    let meant = |unit: &&Unit| unit.spellings().chain(unit.words.iter().copied()).any(|name| folded(name) == wanted);
    let alike: Vec<&'static str> = UNITS.iter().filter(meant).map(|unit| unit.symbol).collect();
    if alike.is_empty() { misspelt(&wanted) } else { alike }
}

/// Symbols of units of which a spelling or word is the fewest slips away, at most two.
fn misspelt(wanted: &str) -> Vec<&'static str> {
    let letters = wanted.chars().count();
    if !(2..=MOST_LETTERS).contains(&letters) {
        return Vec::new();
    }
    let allowed = if letters < 5 { 1 } else { 2 };
    let mut near: Vec<(usize, &'static str)> = UNITS
        .iter()
        .filter_map(|unit| {
            let names = unit.spellings().chain(unit.words.iter().copied());
            let slips = names.map(|name| strsim::osa_distance(&folded(name), wanted)).min()?;
            (slips <= allowed).then_some((slips, unit.symbol))
        })
        .collect();
    let fewest = near.iter().map(|(slips, _)| *slips).min();
    near.retain(|(slips, _)| Some(*slips) == fewest);
    near.into_iter().map(|(_, symbol)| symbol).take(MOST_OFFERED).collect()
}

/// The text, cut where no unit would still go on.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(MOST_LETTERS) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or("")),
        None => text.to_owned(),
    }
}

/// Small letters without spaces, for "the same but for the case".
fn folded(text: &str) -> String {
    plain(text).chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}
