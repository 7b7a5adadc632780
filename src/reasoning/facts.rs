//! The entries that count at a moment, by reading or observation, and how well they fit together.

use crate::book::setup::{can_affect, is_change, matches};
use crate::book::{Book, Condition, IndicationId, SettingId, Slot};
use crate::job::{Entry, EntryId, EntryValue, Job};

/// The entries of one epoch that count, or a part of them.
pub struct Facts<'a> {
    /// The book.
    pub book: &'a Book,
    /// The job.
    pub job: &'a Job,
    by_indication: Vec<Vec<EntryId>>,
    states: Vec<SettingId>,
    changes: Vec<SettingId>,
    /// Entries that nobody took; numbered after the job's own.
    supposed: &'a [Entry],
    /// What stood before each supposed entry.
    before: Vec<(IndicationId, Vec<EntryId>)>,
}

impl<'a> Facts<'a> {
    /// The entries of an epoch for which `keep` holds.
    pub fn of(book: &'a Book, job: &'a Job, epoch: usize, keep: impl Fn(EntryId) -> bool) -> Self {
        let mut by_indication = vec![Vec::new(); book.indications.len()];
        for id in job.live(epoch).iter().copied() {
            let Some(entry) = job.entry(id).filter(|_| keep(id)) else { continue };
            if let Some(list) = by_indication.get_mut(entry.indication.place()) {
                list.push(id);
            }
        }
        let (changes, states) = book.setting_ids().partition(|id| is_change(book, *id));
        Self { book, job, by_indication, states, changes, supposed: &[], before: Vec::new() }
    }

    /// The same, with entries at hand that nobody took: to ask what they would say.
    #[must_use]
    pub fn with_supposed(self, supposed: &'a [Entry]) -> Self {
        Self { supposed, ..self }
    }

    /// Holds the nth supposed entry to be true, in place of those that it would replace.
    pub fn suppose(&mut self, nth: usize) {
        let Some(entry) = self.supposed.get(nth) else { return };
        let stays = |id: &EntryId| self.entry(*id).is_some_and(|old| !entry.replaces(self.book, old));
        let mut list: Vec<EntryId> = self.entries(entry.indication).iter().copied().filter(stays).collect();
        list.push(EntryId::at(self.job.entries.len() + nth));
        if let Some(place) = self.by_indication.get_mut(entry.indication.place()) {
            self.before.push((entry.indication, std::mem::replace(place, list)));
        }
    }

    /// The nth supposed entry.
    pub fn supposed(&self, nth: usize) -> Option<&'a Entry> {
        self.supposed.get(nth)
    }

    /// Forgets the entry supposed last.
    pub fn forget(&mut self) {
        let Some((indication, list)) = self.before.pop() else { return };
        if let Some(place) = self.by_indication.get_mut(indication.place()) {
            *place = list;
        }
    }

    /// The entries of an indication, earliest first.
    pub fn entries(&self, indication: IndicationId) -> &[EntryId] {
        self.by_indication.get(indication.place()).map_or(&[], Vec::as_slice)
    }

    /// All entries, by indication.
    pub fn all(&self) -> impl Iterator<Item = EntryId> + '_ {
        self.by_indication.iter().flatten().copied()
    }

    /// Indications with at least one entry.
    pub fn seen(&self) -> impl Iterator<Item = IndicationId> + '_ {
        self.by_indication
            .iter()
            .enumerate()
            .filter(|(_, list)| !list.is_empty())
            .map(|(place, _)| IndicationId::at(place))
    }

    /// The entry of an id.
    pub fn entry(&self, id: EntryId) -> Option<&'a Entry> {
        self.job.entry(id).or_else(|| self.supposed.get(id.place().checked_sub(self.job.entries.len())?))
    }

    /// Whether an entry may stand in a slot.
    pub(crate) fn fits(&self, slot: &Slot, entry: &Entry, loose: &[SettingId]) -> bool {
        entry.value != EntryValue::NotMeasured
            && slot.indication == entry.indication
            && matches(self.book, &slot.demand, slot.indication, &entry.setup, loose)
    }

    /// Whether two entries of one comparison share one setup, changes that can't affect both aside.
    pub(crate) fn same_setup(&self, a: &Entry, b: &Entry) -> bool {
        self.states.iter().all(|state| a.setup.value(*state) == b.setup.value(*state))
            && self.changes.iter().all(|change| {
                let both = can_affect(self.book, *change, a.indication) && can_affect(self.book, *change, b.indication);
                !both || a.setup.value(*change) == b.setup.value(*change)
            })
    }

    /// The first setting that keeps two entries of one comparison apart.
    pub(crate) fn setup_difference(&self, a: &Entry, b: &Entry) -> Option<SettingId> {
        let state = self.states.iter().find(|state| a.setup.value(**state) != b.setup.value(**state));
        state.copied().or_else(|| {
            let differs = |change: &&SettingId| {
                let both =
                    can_affect(self.book, **change, a.indication) && can_affect(self.book, **change, b.indication);
                both && a.setup.value(**change) != b.setup.value(**change)
            };
            self.changes.iter().find(differs).copied()
        })
    }

    /// The first state that matters to both slots, on which their atoms are not apart, and on which the entries
    /// disagree.
    pub(crate) fn disagreement(&self, a: (&Slot, &Entry), b: (&Slot, &Entry)) -> Option<SettingId> {
        let clash = |state: &&SettingId| {
            let state = **state;
            a.1.setup.value(state) != b.1.setup.value(state)
                && self.book.state_matters(state, a.0.indication)
                && self.book.state_matters(state, b.0.indication)
                && a.0.demand.allowed(state) & b.0.demand.allowed(state) & self.book.setting(state).every_value() != 0
        };
        self.states.iter().find(clash).copied()
    }

    /// Whether some slot of a condition has an entry at all.
    pub(crate) fn touches(&self, condition: &Condition) -> bool {
        condition.slots.iter().any(|slot| !self.entries(slot.indication).is_empty())
    }
}
