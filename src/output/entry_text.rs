//! What is said of a reading the moment it is entered: how it stands against its own tolerance, and what is missing where
//! that can't be said.

use crate::job::{EntryId, EntryValue};
use crate::reasoning::Facts;
use crate::reasoning::describe::{self, Atom, Step, Undecided};
use crate::reasoning::truth::Truth;

use super::page::Page;
use super::words::Wording;

impl Wording<'_> {
    /// How an entry stands against the tolerance of its reading; nothing where the book gives none for it.
    pub fn against_tolerance(&self, id: EntryId) -> Page {
        let mut page = Page::new();
        let Some(entry) = self.job.entry(id) else { return page };
        let Some(condition) = self.book.tolerance_test(entry.indication) else { return page };
        if entry.value == EntryValue::NotMeasured {
            return page;
        }
        let other =
            |old: EntryId| old == id || self.job.entry(old).is_none_or(|old| old.indication != entry.indication);
        let facts = Facts::of(self.book, self.job, self.job.epoch(), other);
        let steps = describe::survey(&facts, condition);
        let Some(Step::Atom(atom)) = steps.first() else { return page };
        match (atom.truth, &atom.undecided) {
            (Truth::True, _) => drop(page.line(0, format!("out of tolerance{}", self.compared(atom)))),
            (Truth::False, _) => drop(page.line(0, format!("in tolerance{}", self.compared(atom)))),
            (Truth::Unknown, Some(undecided)) => self.not_judged(&mut page, id, atom, undecided),
            (Truth::Unknown, None) => {}
        }
        page
    }

    /// Why the tolerance says nothing yet, and what to do about it.
    fn not_judged(&self, page: &mut Page, id: EntryId, atom: &Atom, undecided: &Undecided) {
        match undecided {
            Undecided::NoTolerance => {}
            // The entry itself doesn't fit: that is told already.
            Undecided::OtherSetup(_, entry, _) if *entry == id => {}
            Undecided::NoEntry(missing) => {
                let name = self.indication(*missing);
                page.line(0, format!("its tolerance is reckoned from {name}, which is not entered yet"));
            }
            _ => {
                page.line(0, "its tolerance can't be told yet:");
                for line in self.undecided(undecided, atom.unit) {
                    page.line(1, line);
                }
            }
        }
    }
}
