//! Whether the entries are those of a sound vehicle: each reading against its own tolerance.

use crate::book::{Condition, IndicationId};
use crate::job::EntryId;

use super::choice::decide;
use super::facts::Facts;

/// The entry by which a measured reading is out of tolerance.
pub(crate) fn out_of_tolerance(facts: &Facts<'_>, id: IndicationId) -> Option<EntryId> {
    let condition = facts.book.tolerance_test(id)?;
    first(facts, id, condition)
}

/// The entry by which a computed reading is out of tolerance; the first of its parts.
pub(crate) fn computed_out_of_tolerance<'f>(facts: &'f Facts<'_>) -> impl Iterator<Item = EntryId> + 'f {
    let computed = facts
        .book
        .indication_ids()
        .filter(|id| facts.book.indication(*id).reading().is_some_and(|r| r.computed.is_some()));
    computed.filter_map(|id| first(facts, id, facts.book.tolerance_test(id)?))
}

fn first(facts: &Facts<'_>, id: IndicationId, condition: &Condition) -> Option<EntryId> {
    let choice = decide(facts, condition, true)?;
    let own = condition.slots.iter().zip(choice.slots.iter()).find(|(slot, _)| slot.indication == id);
    own.and_then(|(_, entry)| *entry).or_else(|| choice.entries().first().copied())
}
