//! The entries of a job, and which of them count: of each reading the latest under each setup, by epoch. That is kept from
//! entry to entry, so that a long job costs no more a sentence than a short one.

use std::ops::{Deref, DerefMut};

use crate::book::Book;

use super::entry::{Entry, EntryId, EntryValue};

/// Entries in order. They are read and changed in place like a slice; added only by [`Entries::add`].
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Entries {
    all: Vec<Entry>,
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

impl Deref for Entries {
    type Target = [Entry];

    fn deref(&self) -> &[Entry] {
        &self.all
    }
}

impl DerefMut for Entries {
    fn deref_mut(&mut self) -> &mut [Entry] {
        &mut self.all
    }
}

impl Entries {
    /// The entries of an epoch that count, in order.
    pub fn live(&self, epoch: usize) -> &[EntryId] {
        self.live.get(epoch).map_or(&[], Vec::as_slice)
    }

    /// Adds an entry; it takes the place of one under the same setup.
    pub fn add(&mut self, book: &Book, entry: Entry) {
        let epoch = entry.epoch;
        let mut added = Added { epoch, counts: entry.value != EntryValue::NotMeasured, replaced: None };
        if added.counts {
            if self.live.len() <= epoch {
                self.live.resize(epoch + 1, Vec::new());
            }
            if let Some(live) = self.live.get_mut(epoch) {
                let old = |id: &EntryId| self.all.get(id.place()).is_some_and(|old| entry.replaces(book, old));
                added.replaced = live.iter().position(old).map(|at| (at, live.remove(at)));
                live.push(EntryId::at(self.all.len()));
            }
        }
        self.added.push(added);
        self.all.push(entry);
    }

    /// Takes the latest entry away; what it replaced counts again.
    pub(super) fn forget(&mut self) {
        self.all.pop();
        let Some(added) = self.added.pop() else { return };
        let Some(live) = self.live.get_mut(added.epoch).filter(|_| added.counts) else { return };
        live.pop();
        if let Some((at, id)) = added.replaced {
            live.insert(at.min(live.len()), id);
        }
        while self.live.pop_if(|epoch| epoch.is_empty()).is_some() {}
    }
}

impl<'e> IntoIterator for &'e Entries {
    type Item = &'e Entry;
    type IntoIter = std::slice::Iter<'e, Entry>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.iter()
    }
}
