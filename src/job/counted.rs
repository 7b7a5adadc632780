//! Which entries count: of each reading the latest under each setup, by epoch. Kept from entry to entry, so that a long
//! job costs no more a sentence than a short one.

use crate::book::Book;

use super::entry::{Entry, EntryId, EntryValue};

/// The entries that count.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Counted {
    /// By epoch, in order of entries.
    live: Vec<Vec<EntryId>>,
    /// By entry: what it did.
    added: Vec<Added>,
}

/// What an entry did to those that counted before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Added {
    epoch: usize,
    counts: bool,
    /// The entry whose place it took, and where that stood.
    replaced: Option<(usize, EntryId)>,
}

impl Counted {
    /// The entries of an epoch that count.
    pub(super) fn of(&self, epoch: usize) -> &[EntryId] {
        self.live.get(epoch).map_or(&[], Vec::as_slice)
    }

    /// Counts a new entry, which is to stand behind these.
    pub(super) fn add(&mut self, book: &Book, before: &[Entry], entry: &Entry) {
        let epoch = entry.epoch;
        let mut added = Added { epoch, counts: entry.value != EntryValue::NotMeasured, replaced: None };
        if added.counts {
            if self.live.len() <= epoch {
                self.live.resize(epoch + 1, Vec::new());
            }
            if let Some(live) = self.live.get_mut(epoch) {
                let old = |id: &EntryId| before.get(id.place()).is_some_and(|old| entry.replaces(book, old));
                added.replaced = live.iter().position(old).map(|at| (at, live.remove(at)));
                live.push(EntryId::at(before.len()));
            }
        }
        self.added.push(added);
    }

    /// Forgets the latest entry; what it replaced counts again.
    pub(super) fn forget(&mut self) {
        let Some(added) = self.added.pop() else { return };
        let Some(live) = self.live.get_mut(added.epoch).filter(|_| added.counts) else { return };
        live.pop();
        if let Some((at, id)) = added.replaced {
            live.insert(at.min(live.len()), id);
        }
        while self.live.pop_if(|epoch| epoch.is_empty()).is_some() {}
    }
}
