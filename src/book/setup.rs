//! Setups: which states and changes hold, what a sentence demands of them, and what follows from one another.
//!
//! Every setting has a small list of values; a set of them is a mask of bits. A setting is *inactive* at its
//! first value (off, not in place, the first of `one of`); only an active one brings what it needs.

use std::sync::Arc;

use super::following::Following;
use super::ids::{IndicationId, SettingId};
use super::model::{Affects, Book, Setting, SettingKind};

/// A set of a setting's values, bit n for value n.
pub type Mask = u64;

/// The value that each setting has at a moment, by [`SettingId`].
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Setup {
    /// Shared by all entries that were taken under it.
    values: Arc<[u8]>,
}

/// A setting and the values of it that will do.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Term {
    /// Which state or change.
    pub setting: SettingId,
    /// Which of its values.
    pub allowed: Mask,
}

/// What is demanded of a setup, all that follows included; sorted by setting, each once.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Demand {
    /// The settings that are not free.
    pub terms: Vec<Term>,
}

impl Demand {
    /// The values allowed of a setting; all bits where it is free.
    pub fn allowed(&self, setting: SettingId) -> Mask {
        match self.terms.binary_search_by_key(&setting, |term| term.setting) {
            Ok(at) => self.terms.get(at).map_or(Mask::MAX, |term| term.allowed),
            Err(_) => Mask::MAX,
        }
    }

    /// Whether no setup can meet it.
    pub fn is_impossible(&self) -> bool {
        self.terms.iter().any(|term| term.allowed == 0)
    }

    /// Whether a setup meets it.
    pub fn holds(&self, setup: &Setup) -> bool {
        self.terms.iter().all(|term| setup.mask(term.setting) & term.allowed != 0)
    }

    /// Allows of a setting only what is allowed already and in the term.
    pub(crate) fn narrow(&mut self, term: Term) {
        match self.terms.binary_search_by_key(&term.setting, |t| t.setting) {
            Ok(at) => {
                if let Some(found) = self.terms.get_mut(at) {
                    found.allowed &= term.allowed;
                }
            }
            Err(at) => self.terms.insert(at, term),
        }
    }
}

/// What setting up did besides what was asked.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Consequences {
    /// Set because something needs it, with its value.
    pub brought: Vec<(SettingId, u8)>,
    /// Taken away because it is excluded or lost what it needs, with the value that it has now.
    pub removed: Vec<(SettingId, u8)>,
}

impl Setup {
    /// Every setting at its normal value.
    pub fn normal(settings: &[Setting]) -> Self {
        Self { values: settings.iter().map(|setting| setting.normal).collect() }
    }

    /// A setting's value.
    pub fn value(&self, setting: SettingId) -> u8 {
        self.values.get(setting.place()).copied().unwrap_or(0)
    }

    /// The value as a set of one.
    pub fn mask(&self, setting: SettingId) -> Mask {
        1 << self.value(setting).min(63)
    }

    fn put(&mut self, setting: SettingId, value: u8) {
        if let Some(place) = Arc::make_mut(&mut self.values).get_mut(setting.place()) {
            *place = value;
        }
    }

    /// The changes in place.
    pub fn changes<'a>(&'a self, book: &'a Book) -> impl Iterator<Item = SettingId> + 'a {
        book.changes().filter(|id| self.value(*id) != 0)
    }

    /// Sets a setting to a value, brings what it needs, takes away what it excludes and what has lost its need.
    pub fn set(&mut self, book: &Book, setting: SettingId, value: u8) -> Consequences {
        let mut done = Consequences::default();
        let mut pinned = vec![setting];
        self.put(setting, value);
        self.bring_needs(book, setting, &mut pinned, &mut done);
        self.drop_excluded(book, &pinned, &mut done);
        self.drop_needy(book, &mut done);
        done
    }

    fn bring_needs(&mut self, book: &Book, setting: SettingId, pinned: &mut Vec<SettingId>, done: &mut Consequences) {
        if self.value(setting) == book.setting(setting).inactive {
            return;
        }
        for need in &book.setting(setting).needs {
            if self.mask(need.setting) & need.allowed == 0 && !pinned.contains(&need.setting) {
                let value = book.setting(need.setting).lowest(need.allowed);
                self.put(need.setting, value);
                done.brought.push((need.setting, value));
            }
            if !pinned.contains(&need.setting) {
                pinned.push(need.setting);
                self.bring_needs(book, need.setting, pinned, done);
            }
        }
    }

    fn drop_excluded(&mut self, book: &Book, pinned: &[SettingId], done: &mut Consequences) {
        for setting in pinned {
            if self.value(*setting) == book.setting(*setting).inactive {
                continue;
            }
            for other in &book.setting(*setting).excludes {
                if self.mask(other.setting) & other.allowed != 0 && !pinned.contains(&other.setting) {
                    self.remove(other.setting, book.setting(other.setting).lowest(!other.allowed), done);
                }
            }
        }
        self.drop_excluders(book, pinned, done);
    }

    /// What excludes a pinned value gives way to it.
    fn drop_excluders(&mut self, book: &Book, pinned: &[SettingId], done: &mut Consequences) {
        for id in book.setting_ids().filter(|id| !pinned.contains(id)) {
            let setting = book.setting(id);
            let hit = |term: &Term| pinned.contains(&term.setting) && self.mask(term.setting) & term.allowed != 0;
            if self.value(id) != setting.inactive && setting.excludes.iter().any(hit) {
                self.remove(id, setting.inactive, done);
            }
        }
    }

    fn remove(&mut self, setting: SettingId, value: u8, done: &mut Consequences) {
        self.put(setting, value);
        done.removed.push((setting, value));
    }

    fn drop_needy(&mut self, book: &Book, done: &mut Consequences) {
        let mut settled = false;
        while !settled {
            settled = true;
            for id in book.setting_ids() {
                let setting = book.setting(id);
                let lost = setting.needs.iter().any(|need| self.mask(need.setting) & need.allowed == 0);
                if lost && self.value(id) != setting.inactive {
                    self.remove(id, setting.inactive, done);
                    settled = false;
                }
            }
        }
    }
}

/// What is demanded once all that follows is added: needs brought, exclusions denied both ways, and what needs a
/// denied setting denied too.
pub fn closure(settings: &[Setting], words: &[Term]) -> Demand {
    Following::of(settings).closure(settings, words)
}

/// Whether a change can alter what an indication shows.
pub fn can_affect(book: &Book, change: SettingId, indication: IndicationId) -> bool {
    let listed = match &book.setting(change).affects {
        Affects::Everything => true,
        Affects::Only(list) => list.binary_search(&indication).is_ok(),
    };
    let shown = book.indication(indication);
    listed && !shown.unaffected_by_any && shown.unaffected_by.binary_search(&change).is_err()
}

/// Whether a setup meets a demand, and no change in place that the demand does not name can alter the indication;
/// `loose` changes are allowed besides.
pub fn matches(book: &Book, demand: &Demand, indication: IndicationId, setup: &Setup, loose: &[SettingId]) -> bool {
    demand.holds(setup) && unnamed_change(book, demand, indication, setup, loose).is_none()
}

/// The first change in place that a demand does not name and that can alter the indication.
pub fn unnamed_change(
    book: &Book,
    demand: &Demand,
    indication: IndicationId,
    setup: &Setup,
    loose: &[SettingId],
) -> Option<SettingId> {
    setup.changes(book).find(|change| {
        let named = demand.allowed(*change) & 1 == 0;
        !named && !loose.contains(change) && can_affect(book, *change, indication)
    })
}

/// Whether a setting is a change.
pub fn is_change(book: &Book, setting: SettingId) -> bool {
    book.setting(setting).kind == SettingKind::Change
}

#[cfg(test)]
mod tests {
    use super::*;

    struct One(&'static str);

    impl crate::book::Library for One {
        fn read(&self, _: &std::path::Path) -> Result<String, String> {
            Ok(self.0.into())
        }

        fn allows(&self, _: &std::path::Path) -> bool {
            true
        }
    }

    #[test]
    fn a_change_that_affects_a_computed_reading_affects_its_parts() {
        let text = "change relay swapped\n  affects drop\nreading drop = feed - load\nreading feed\n  unit V\nreading load\n  unit V\nreading other\n  unit V\n";
        let (book, _) = crate::book::load(&One(text), std::path::Path::new("b")).unwrap().resolve(None);
        let change = book.changes().next().unwrap();
        let affected = |name: &str| can_affect(&book, change, book.find_indication(name).unwrap());
        assert_eq!(["feed", "load", "other"].map(affected), [true, true, false]);
    }
}
