//! Tree to book, used files included: always a book, and problems whose places lie in the texts.

use ruleout::output::clean::is_unsafe;
use ruleout::output::diagnostic::{Style, draw_all};

use super::shelf::{Shelf, text, well_placed};

/// Loads and resolves, under no profile and under each that the book declares.
pub(crate) fn run(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let Some(loaded) = Shelf::of(text).load() else { return };
    let (_, problems) = loaded.resolve(None);
    well_placed(&problems, &loaded.sources);
    for profile in loaded.profiles().iter().take(2) {
        let (_, problems) = loaded.resolve(Some(profile));
        well_placed(&problems, &loaded.sources);
    }
    let drawn = draw_all(problems.get(..3).unwrap_or(&problems), &loaded.sources, Style::default());
    assert!(!drawn.chars().any(|c| is_unsafe(c) && c != '\n'), "{drawn:?}");
}
