//! Tests that are tried again and again: what a fault shows only sometimes, under a state that provokes it. There a
//! further entry is a further try; it doesn't replace the one before.

use super::condition::Condition;
use super::ids::IndicationId;
use super::model::Book;
use super::setup::{Demand, Setup};

impl Book {
    /// Whether an entry of an indication under a setup is a try: some fault `shows` something of it `in m of n` there, and
    /// a state of that setup `provokes`.
    pub fn is_try(&self, indication: IndicationId, setup: &Setup) -> bool {
        self.tries.get(indication.place()).is_some_and(|all| all.iter().any(|demand| demand.holds(setup)))
    }

    /// Whether a condition asks for something under a provoking state.
    pub fn is_provoked(&self, condition: &Condition) -> bool {
        condition.slots.iter().any(|slot| provokes(self, &slot.demand))
    }
}

/// Whether a demand names a provoking state that is on.
fn provokes(book: &Book, demand: &Demand) -> bool {
    demand.terms.iter().any(|term| {
        let setting = book.setting(term.setting);
        setting.provokes && term.allowed & (1 << setting.inactive) == 0
    })
}

/// Gathers the provoked setups of all indications.
pub(super) fn gather(book: &Book) -> Vec<Vec<Demand>> {
    let mut all = vec![Vec::new(); book.indications.len()];
    let sometimes = book.faults.iter().flat_map(|fault| &fault.shows);
    for shows in sometimes.filter(|shows| shows.chance.is_some_and(|(m, n)| m < n)) {
        for slot in shows.condition.slots.iter().filter(|slot| provokes(book, &slot.demand)) {
            if let Some(list) = all.get_mut(slot.indication.place())
                && !list.contains(&slot.demand)
            {
                list.push(slot.demand.clone());
            }
        }
    }
    all
}
