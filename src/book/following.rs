//! What follows from what among settings: an index from each to those that need or exclude it, so that a demand is
//! worked out in the time that what follows takes, not in that of the whole book. Knows the declarations only.

use std::collections::BTreeSet;

use super::ids::SettingId;
use super::model::Setting;
use super::setup::{Demand, Mask, Term};

/// How a setting hangs on another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Tie {
    /// It needs one of these values.
    Needs(Mask),
    /// It excludes these values.
    Excludes(Mask),
}

impl Tie {
    /// Whether the tied setting can't be active while the other may only have these values.
    fn breaks(self, allowed: Mask, every: Mask) -> bool {
        match self {
            Tie::Needs(mask) => allowed & mask == 0,
            Tie::Excludes(mask) => allowed & every & !mask == 0,
        }
    }
}

/// For each setting those that hang on it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Following {
    /// By setting.
    tied: Vec<Vec<(usize, Tie)>>,
    /// Those that can never be active, whatever is demanded.
    never: BTreeSet<usize>,
}

impl Following {
    /// The index of these settings.
    pub(crate) fn of(settings: &[Setting]) -> Self {
        let mut index = Self { tied: vec![Vec::new(); settings.len()], never: BTreeSet::new() };
        for (place, setting) in settings.iter().enumerate() {
            let needs = setting.needs.iter().map(|need| (need.setting, Tie::Needs(need.allowed)));
            let excludes = setting.excludes.iter().map(|other| (other.setting, Tie::Excludes(other.allowed)));
            for (other, tie) in needs.chain(excludes) {
                if tie.breaks(Mask::MAX, every_value(settings, other.place())) {
                    index.never.insert(place);
                }
                if let Some(list) = index.tied.get_mut(other.place()) {
                    list.push((place, tie));
                }
            }
        }
        index
    }

    /// What is demanded once all that follows is added.
    pub(crate) fn closure(&self, settings: &[Setting], words: &[Term]) -> Demand {
        let mut work = Work { allowed: vec![Mask::MAX; settings.len()], named: BTreeSet::new(), waiting: Vec::new() };
        for word in words {
            work.narrow(*word);
        }
        if !words.is_empty() {
            self.never.iter().for_each(|place| work.deny(settings, *place));
        }
        while let Some(place) = work.waiting.pop() {
            let Some(setting) = settings.get(place) else { continue };
            let allowed = work.of(place);
            if allowed & (1 << setting.inactive) == 0 {
                setting.needs.iter().for_each(|need| work.narrow(*need));
                let denied = setting.excludes.iter().map(|other| Term { allowed: !other.allowed, ..*other });
                denied.for_each(|term| work.narrow(term));
            }
            let every = every_value(settings, place);
            for (tied, tie) in self.tied.get(place).into_iter().flatten() {
                if tie.breaks(allowed, every) {
                    work.deny(settings, *tied);
                }
            }
        }
        let term = |place: &usize| Term { setting: SettingId::at(*place), allowed: work.of(*place) };
        Demand { terms: work.named.iter().map(term).collect() }
    }
}

fn every_value(settings: &[Setting], place: usize) -> Mask {
    settings.get(place).map_or(Mask::MAX, Setting::every_value)
}

/// A demand while it grows.
struct Work {
    /// The values allowed of each setting.
    allowed: Vec<Mask>,
    /// The settings that are not free.
    named: BTreeSet<usize>,
    /// Those whose consequences are still to be drawn.
    waiting: Vec<usize>,
}

impl Work {
    fn of(&self, place: usize) -> Mask {
        self.allowed.get(place).copied().unwrap_or(Mask::MAX)
    }

    fn narrow(&mut self, term: Term) {
        let place = term.setting.place();
        let Some(allowed) = self.allowed.get_mut(place) else { return };
        let before = *allowed;
        *allowed &= term.allowed;
        if self.named.insert(place) || before != *allowed {
            self.waiting.push(place);
        }
    }

    fn deny(&mut self, settings: &[Setting], place: usize) {
        let Some(setting) = settings.get(place) else { return };
        self.narrow(Term { setting: SettingId::at(place), allowed: 1 << setting.inactive });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The meaning, word for word: again and again over all settings until nothing changes.
    fn by_the_book(settings: &[Setting], words: &[Term]) -> Demand {
        let mut demand = Demand::default();
        let narrow =
            |demand: &mut Demand, term: Term| match demand.terms.binary_search_by_key(&term.setting, |t| t.setting) {
                Ok(at) => demand.terms[at].allowed &= term.allowed,
                Err(at) => demand.terms.insert(at, term),
            };
        words.iter().for_each(|word| narrow(&mut demand, *word));
        loop {
            let before = demand.clone();
            for term in &before.terms {
                let setting = &settings[term.setting.place()];
                if term.allowed & (1 << setting.inactive) == 0 {
                    setting.needs.iter().for_each(|need| narrow(&mut demand, *need));
                    setting.excludes.iter().for_each(|o| narrow(&mut demand, Term { allowed: !o.allowed, ..*o }));
                }
            }
            for (place, setting) in settings.iter().enumerate().filter(|_| !words.is_empty()) {
                let lost = setting.needs.iter().any(|need| demand.allowed(need.setting) & need.allowed == 0);
                let excluded = setting.excludes.iter().any(|other| {
                    demand.allowed(other.setting) & settings[other.setting.place()].every_value() & !other.allowed == 0
                });
                if lost || excluded {
                    narrow(&mut demand, Term { setting: SettingId::at(place), allowed: 1 << setting.inactive });
                }
            }
            if demand == before {
                return demand;
            }
        }
    }

    fn settings(ties: &[(usize, usize, bool, u64)]) -> Vec<Setting> {
        let text: String = (0..6)
            .map(|n| if n % 2 == 0 { format!("state s{n}\n") } else { format!("state s{n}\n  one of a, b, c\n") })
            .collect();
        let (book, _) = crate::book::load(&One(text), std::path::Path::new("b")).unwrap().resolve(None);
        let mut settings = book.settings;
        assert_eq!(settings.len(), 6);
        for (from, to, needs, mask) in ties {
            let term = Term { setting: SettingId::at(*to), allowed: mask & settings[*to].every_value() };
            let list = if *needs { &mut settings[*from].needs } else { &mut settings[*from].excludes };
            list.push(term);
        }
        settings
    }

    struct One(String);

    impl crate::book::Library for One {
        fn read(&self, _: &std::path::Path) -> Result<String, String> {
            Ok(self.0.clone())
        }

        fn allows(&self, _: &std::path::Path) -> bool {
            true
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_index_says_what_going_over_and_over_all_settings_says(
            ties in prop::collection::vec((0usize..6, 0usize..6, any::<bool>(), 0u64..8), 0..12),
            words in prop::collection::vec((0usize..6, 0u64..8), 0..4),
        ) {
            let settings = settings(&ties);
            let words: Vec<Term> = words.iter().map(|(at, mask)| Term { setting: SettingId::at(*at), allowed: *mask }).collect();
            prop_assert_eq!(closure(&settings, &words), by_the_book(&settings, &words));
        }
    }

    fn closure(settings: &[Setting], words: &[Term]) -> Demand {
        Following::of(settings).closure(settings, words)
    }
}
