//! The entries of a job, and which of them count: of each reading the latest under each setup, by epoch. That is kept from
//! entry to entry, so that a long job costs no more a sentence than a short one. One that no longer counts is packed away
//! and read again where somebody asks for it.

use std::borrow::Cow;

use indexmap::IndexSet;
use rustc_hash::FxBuildHasher;

use crate::book::{Book, Setup};

use super::entry::{Entry, EntryId, EntryValue};
use super::ledger::Ledger;
use super::packed::{Packed, pack, unpack};

/// In `places`: the entry is packed.
const AWAY: u32 = u32::MAX;

/// Entries in order, added only by [`Entries::add`].
#[derive(Clone, Debug, Default)]
pub struct Entries {
    /// Those at hand, in no order: all that count in some epoch, the latest, and what can't be packed.
    hand: Vec<(EntryId, Packed)>,
    /// By entry: where it is in hand, or [`AWAY`].
    places: Vec<u32>,
    /// By entry: its row; empty for one at hand.
    away: Ledger,
    /// The setups that entries were taken under.
    setups: IndexSet<Setup, FxBuildHasher>,
    /// By epoch, in order of entries.
    live: Vec<Vec<EntryId>>,
}

impl Entries {
    /// How many entries are in force.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// The entries of an epoch that count, in order.
    pub fn live(&self, epoch: usize) -> &[EntryId] {
        self.live.get(epoch).map_or(&[], Vec::as_slice)
    }

    /// An entry that counts in its epoch, or the latest. Others are packed away: [`Entries::kept`].
    pub fn get(&self, id: EntryId) -> Option<&Entry> {
        let place = self.places.get(id.place())?;
        self.hand.get(*place as usize).map(|(_, packed)| &packed.entry)
    }

    /// The same, to be changed.
    pub fn get_mut(&mut self, id: EntryId) -> Option<&mut Entry> {
        let place = self.places.get(id.place())?;
        self.hand.get_mut(*place as usize).map(|(_, packed)| &mut packed.entry)
    }

    /// Any entry, whether it counts or not.
    pub fn kept(&self, id: EntryId) -> Option<Cow<'_, Entry>> {
        let packed = || self.unpacked(id).map(|packed| Cow::Owned(packed.entry));
        self.get(id).map(Cow::Borrowed).or_else(packed)
    }

    /// All entries in order, whether they count or not.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = Cow<'_, Entry>> {
        (0..self.len()).filter_map(|place| self.kept(EntryId::at(place)))
    }

    /// The latest entry.
    pub fn last(&self) -> Option<&Entry> {
        self.get(self.latest()?)
    }

    /// A setup, shared with all that are equal to it.
    pub(super) fn shared(&mut self, setup: Setup) -> Setup {
        let (place, _) = self.setups.insert_full(setup);
        self.setups.get_index(place).cloned().unwrap_or_default()
    }

    /// Adds an entry; it takes the place of one under the same setup.
    pub fn add(&mut self, book: &Book, entry: Entry) {
        let (id, before) = (EntryId::at(self.len()), self.latest());
        let mut replaced = None;
        if entry.value != EntryValue::NotMeasured {
            let epoch = entry.epoch;
            if self.live.len() <= epoch {
                self.live.resize(epoch + 1, Vec::new());
            }
            let old = |old: &EntryId| self.get(*old).is_some_and(|old| entry.replaces(book, old));
            let at = self.live(epoch).iter().position(old);
            if let Some(live) = self.live.get_mut(epoch) {
                replaced = at.map(|at| live.remove(at));
                live.push(id);
            }
        }
        self.places.push(AWAY);
        self.away.add(&[]);
        self.take_in_hand(id, Packed { entry, replaced });
        self.put_away(replaced.into_iter());
        self.put_away(before.into_iter());
    }

    /// Takes the latest entry away; what it replaced counts again.
    pub(super) fn forget(&mut self) {
        let Some(gone) = self.latest().and_then(|latest| self.leave_hand(latest)) else { return };
        self.places.pop();
        self.away.drop_last();
        if gone.entry.value != EntryValue::NotMeasured
            && let Some(live) = self.live.get_mut(gone.entry.epoch)
        {
            live.pop();
            if let Some(id) = gone.replaced {
                live.insert(live.partition_point(|other| *other < id), id);
            }
            while self.live.pop_if(|epoch| epoch.is_empty()).is_some() {}
        }
        for id in gone.replaced.into_iter().chain(self.latest()) {
            if let Some(packed) = self.unpacked(id) {
                self.away.put(id.place(), &[]);
                self.take_in_hand(id, packed);
            }
        }
    }

    fn latest(&self) -> Option<EntryId> {
        self.len().checked_sub(1).map(EntryId::at)
    }

    fn unpacked(&self, id: EntryId) -> Option<Packed> {
        let row = self.away.row(id.place()).filter(|row| !row.is_empty())?;
        unpack(id, row, |place| self.setups.get_index(place).cloned())
    }

    /// Packs entries that no longer count.
    fn put_away(&mut self, ids: impl Iterator<Item = EntryId>) {
        for id in ids {
            let at_hand = self.places.get(id.place()).and_then(|place| self.hand.get(*place as usize));
            let counts = |packed: &Packed| self.live(packed.entry.epoch).binary_search(&id).is_ok();
            let Some((_, packed)) = at_hand.filter(|(_, packed)| !counts(packed)) else { continue };
            let (setup, _) = self.setups.insert_full(packed.entry.setup.clone());
            if let Some(row) = pack(id, packed, setup) {
                self.away.put(id.place(), &row);
                self.leave_hand(id);
            }
        }
    }

    fn take_in_hand(&mut self, id: EntryId, packed: Packed) {
        if let Some(place) = self.places.get_mut(id.place()) {
            *place = u32::try_from(self.hand.len()).unwrap_or(AWAY);
            self.hand.push((id, packed));
        }
    }

    fn leave_hand(&mut self, id: EntryId) -> Option<Packed> {
        let place = std::mem::replace(self.places.get_mut(id.place())?, AWAY) as usize;
        if place >= self.hand.len() {
            return None;
        }
        let (_, packed) = self.hand.swap_remove(place);
        if let Some((moved, _)) = self.hand.get(place)
            && let Some(its) = self.places.get_mut(moved.place())
        {
            *its = u32::try_from(place).unwrap_or(AWAY);
        }
        Some(packed)
    }
}

/// By what they say, however they are kept.
impl PartialEq for Entries {
    fn eq(&self, other: &Self) -> bool {
        self.live == other.live && self.len() == other.len() && self.iter().eq(other.iter())
    }
}
