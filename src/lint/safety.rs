//! What a step carries of cautions and hazards: its own, and those of the states and changes that it needs.

use crate::book::model::{Hazard, Steps};
use crate::book::{Book, SettingId, Term};

/// The settings that must be active for these terms, all that follows included.
pub(crate) fn needed(book: &Book, terms: &[Term]) -> Vec<SettingId> {
    let mut found: Vec<SettingId> = Vec::new();
    let mut waiting: Vec<Term> = terms.to_vec();
    while let Some(term) = waiting.pop() {
        let Some(setting) = book.settings.get(term.setting.place()) else { continue };
        let active = term.allowed & (1 << setting.inactive) == 0;
        if active && !found.contains(&term.setting) {
            found.push(term.setting);
            waiting.extend(setting.needs.iter().copied());
        }
    }
    found
}

/// Whether steps, or what they need, carry a caution of the book.
pub(crate) fn carries_caution(book: &Book, steps: &Steps, needs: &[Term]) -> bool {
    !steps.cautions.is_empty() || needed(book, needs).into_iter().any(|id| !book.setting(id).steps.cautions.is_empty())
}

/// Whether steps, or what they need, carry one of these hazards.
pub(crate) fn carries_hazard(book: &Book, steps: &Steps, needs: &[Term], wanted: &[Hazard]) -> bool {
    let of = |steps: &Steps| steps.hazards.iter().any(|hazard| wanted.contains(hazard));
    of(steps) || needed(book, needs).into_iter().any(|id| of(&book.setting(id).steps))
}
