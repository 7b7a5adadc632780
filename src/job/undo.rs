//! How a line is undone without playing all the others again: what it changed, as it was before.

use crate::book::{Book, Setup};
use crate::units::Exact;

use super::Job;
use super::entry::Entry;

/// What a line did, other than making an entry, which needs no note.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Undo {
    /// It set up something: the setup before.
    Setup(Setup),
    /// It restamped the latest entry, which was this before.
    Restamp(Box<Entry>),
    /// It noted the customer's words.
    CustomerWords,
    /// It entered a complaint.
    Complaint,
    /// It noted a repair.
    Repair,
    /// It put a meter in use.
    Meter,
    /// It named a test that can't be done.
    Unreachable,
    /// It said how the air is: temperature and pressure before.
    Air(Box<(Option<Exact>, Exact)>),
    /// It chose a profile: the one before.
    Profile(Option<String>),
    /// It changed nothing.
    Nothing,
}

impl Job {
    /// Undoes the latest line that counts, if it can be undone by itself.
    pub(super) fn undo(&mut self, book: &Book, line: usize) -> bool {
        let Some((_, undo)) = self.undo.pop_if(|(at, _)| *at == line) else {
            let made_an_entry = self.entries.last().is_some_and(|entry| entry.line == line);
            if made_an_entry {
                self.entries.forget();
            }
            return made_an_entry;
        };
        match undo {
            Undo::Setup(before) => self.setup = before,
            Undo::Restamp(before) => self.put_latest(book, *before),
            Undo::CustomerWords => drop(self.customer_words.pop()),
            Undo::Complaint => drop(self.complaints.pop()),
            Undo::Repair => drop(self.repairs.pop()),
            Undo::Meter => drop(self.meters.pop()),
            Undo::Unreachable => drop(self.unreachable.pop()),
            Undo::Air(before) => (self.ambient, self.surroundings.ambient_pressure) = *before,
            Undo::Profile(before) => self.profile = before,
            Undo::Nothing => {}
        }
        true
    }

    /// Puts another entry in place of the latest.
    pub(super) fn put_latest(&mut self, book: &Book, entry: Entry) {
        self.entries.forget();
        self.entries.add(book, entry);
    }
}
