//! What each condition of a book came to for a job, kept from one statement to the next: an entry asks anew only of those
//! conditions that ask for its reading. Nothing else changes; a judgement is the same as one from scratch.

use std::collections::BTreeMap;

use crate::book::{Book, ConditionRef, Digest, IndicationId};
use crate::job::{Entry, EntryId, Job};
use crate::units::Exact;
use crate::units::functions::Surroundings;

use super::evidence::{Found, Selection, assemble, conditions_of, decide_all};
use super::facts::Facts;
use super::heard::{Tables, hear};
use super::judge::{Judgement, judged};

/// Judges one job again and again.
#[derive(Clone, Debug, Default)]
pub struct Recall {
    /// The book that all this is about: its digest and profile.
    book: Option<(Digest, Option<String>)>,
    around: Option<(Surroundings, Option<Exact>)>,
    /// By indication: the entries that counted last time.
    entries: Vec<Vec<(EntryId, Entry)>>,
    /// The conditions that say something.
    found: BTreeMap<ConditionRef, Found>,
    tables: Tables,
}

impl Recall {
    /// Judges a job as it stands now.
    pub fn judge(&mut self, book: &Book, job: &Job) -> Judgement {
        self.turn_to(book, job);
        let facts = Facts::of(book, job, job.epoch(), |_| true);
        let changed = self.follow(&facts);
        let conditions = conditions_of(book, changed.into_iter());
        for (which, found) in conditions.iter().zip(decide_all(&facts, &conditions)) {
            match found {
                Some(found) => self.found.insert(*which, found),
                None => self.found.remove(which),
            };
        }
        let evidence = assemble(&facts, self.found.values(), &Selection::default());
        let hearing = hear(&facts, &evidence, &mut self.tables);
        judged(book, job, evidence, &hearing)
    }

    /// Forgets everything where it was about another book, or about other air.
    fn turn_to(&mut self, book: &Book, job: &Job) {
        let same_book =
            self.book.as_ref().is_some_and(|(digest, profile)| *digest == book.digest && *profile == book.profile);
        let same_air = self
            .around
            .as_ref()
            .is_some_and(|(around, ambient)| *around == job.surroundings && *ambient == job.ambient);
        if !same_book || !same_air {
            *self = Self {
                book: Some((book.digest.clone(), book.profile.clone())),
                around: Some((job.surroundings.clone(), job.ambient.clone())),
                entries: vec![Vec::new(); book.indications.len()],
                ..Self::default()
            };
        }
    }

    /// Takes note of the entries that count now; the readings and observations whose entries are others than before.
    fn follow(&mut self, facts: &Facts<'_>) -> Vec<IndicationId> {
        let mut changed = Vec::new();
        for (place, known) in self.entries.iter_mut().enumerate() {
            let indication = IndicationId::at(place);
            let now = facts.entries(indication);
            let same = known.len() == now.len()
                && known.iter().zip(now).all(|((id, entry), now)| id == now && facts.entry(*now) == Some(entry));
            if !same {
                *known = now.iter().filter_map(|id| Some((*id, facts.entry(*id)?.clone()))).collect();
                changed.push(indication);
            }
        }
        changed
    }
}
