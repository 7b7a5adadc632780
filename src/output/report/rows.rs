//! Entries as rows: how well each was read, and the tolerance that it was held against under its setup.

use crate::book::setup::matches;
use crate::book::{IndicationKind, Observation};
use crate::job::{EntryId, EntryValue, setup_words};
use crate::output::words::Wording;
use crate::reasoning::describe::{Atom, Step, Undecided, survey};
use crate::reasoning::{Facts, Truth};

use super::EntryRow;

impl Wording<'_> {
    /// Rows of some entries.
    pub(super) fn rows(&self, entries: &[EntryId]) -> Vec<EntryRow> {
        entries.iter().filter_map(|id| self.row(*id)).collect()
    }

    /// The row of an entry.
    pub(super) fn row(&self, id: EntryId) -> Option<EntryRow> {
        let entry = self.job.kept(id)?;
        let (tolerance, lies) = self.held(id);
        Some(EntryRow {
            entry: id.place() + 1,
            stamp: self.job.stamp_of(entry.line),
            text: self.entry(&entry),
            setup: setup_words(self.book, &entry.setup),
            accuracy: self.accuracy(id),
            tolerance,
            lies: lies.map(str::to_string),
            note: self.note_on(id).map(str::to_string),
        })
    }

    fn accuracy(&self, id: EntryId) -> Option<String> {
        let entry = self.job.kept(id)?;
        // The values of a log spread for themselves; that is no inaccuracy.
        let EntryValue::Interval(interval) = entry.recording.is_none().then_some(&entry.value)? else { return None };
        let unit = self.book.indication(entry.indication).reading()?.unit?;
        Some(format!("± {}", unit.show_width(&interval.width()?.half())))
    }

    fn note_on(&self, id: EntryId) -> Option<&'static str> {
        let entry = self.job.kept(id)?;
        if entry.value == EntryValue::NotMeasured {
            return None;
        }
        self.job.live(entry.epoch).binary_search(&id).is_err().then_some("replaced by a later one")
    }

    /// What a sound vehicle shows there, and how the entry lies to it.
    fn held(&self, id: EntryId) -> (Option<String>, Option<&'static str>) {
        let Some(entry) = self.job.kept(id) else { return (None, None) };
        match &self.book.indication(entry.indication).kind {
            IndicationKind::Observation(observation) => self.sound(id, observation),
            IndicationKind::Reading(_) => match self.tolerance_atom(id) {
                Some(atom) => tolerance_of(&atom),
                None => (None, None),
            },
        }
    }

    fn sound(&self, id: EntryId, observation: &Observation) -> (Option<String>, Option<&'static str>) {
        let Some(entry) = self.job.kept(id).filter(|_| observation.sound != 0) else { return (None, None) };
        let demand = &self.book.indication(entry.indication).demand;
        let EntryValue::Answer(given) = entry.value else { return (None, None) };
        if !matches(self.book, demand, entry.indication, &entry.setup, &[]) {
            return (None, None);
        }
        let sound =
            observation.answers.iter().enumerate().filter(|(n, _)| observation.sound & (1 << (*n).min(63)) != 0);
        let sound: Vec<&str> = sound.map(|(_, answer)| answer.as_str()).collect();
        let lies = if given & observation.sound != 0 { "as sound" } else { "not as sound" };
        (Some(sound.join(" or ")), Some(lies))
    }

    /// The entry against its reading's own tolerance; other entries only where they make its limits.
    fn tolerance_atom(&self, id: EntryId) -> Option<Atom> {
        let entry = self.job.entry(id)?;
        let condition = self.book.tolerance_test(entry.indication)?;
        let others = |other: EntryId| {
            other == id || self.job.entry(other).is_some_and(|other| other.indication != entry.indication)
        };
        let facts = Facts::of(self.book, self.job, entry.epoch, others);
        match survey(&facts, condition).into_iter().next()? {
            Step::Atom(atom) if atom.entries.contains(&id) => Some(atom),
            _ => None,
        }
    }
}

/// The limits of a test for being out of tolerance, and how it came out.
fn tolerance_of(atom: &Atom) -> (Option<String>, Option<&'static str>) {
    let [low, high, ..] = atom.limits.as_slice() else { return (None, None) };
    let shown = atom.unit.map(|unit| match (low.as_point(), high.as_point()) {
        (Some(low), Some(high)) => unit.show_range(&crate::units::Interval::between(low.clone(), high.clone())),
        _ => format!("{} to {}", unit.show_interval(low), unit.show_interval(high)),
    });
    let lies = match (atom.truth, &atom.undecided) {
        (Truth::True, _) => Some("out of tolerance"),
        (Truth::False, _) => Some("in tolerance"),
        (Truth::Unknown, Some(Undecided::TooClose { .. } | Undecided::TooWide)) => Some("too close to call"),
        (Truth::Unknown, _) => None,
    };
    (shown, lies)
}
