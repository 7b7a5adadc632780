//! The cautions that steps carry: in full before the first step, as one line at later ones.

use std::collections::BTreeSet;

use crate::book::{Book, CautionId, Hazard, IndicationId, SettingId, Steps};
use crate::job::Job;

/// A caution to show.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shown {
    /// Its name or hazard word.
    pub name: String,
    /// In full.
    pub text: String,
    /// In one line.
    pub reminder: String,
    /// Work for licensed or qualified hands only.
    pub stop: bool,
}

/// The cautions of some steps, the book's own first, then the standing ones of hazards.
pub fn of_steps(book: &Book, steps: &Steps) -> Vec<Shown> {
    let own = steps.cautions.iter().map(|id| named(book, *id));
    own.chain(steps.hazards.iter().map(|hazard| standing(*hazard))).collect()
}

fn named(book: &Book, id: CautionId) -> Shown {
    let caution = book.caution(id);
    Shown {
        name: caution.name.clone(),
        text: caution.text.to_string(),
        reminder: caution.name.clone(),
        stop: caution.stop,
    }
}

fn standing(hazard: Hazard) -> Shown {
    Shown { name: hazard.word().into(), text: hazard.caution().into(), reminder: hazard.reminder().into(), stop: false }
}

/// The cautions of a test and of all that its setup holds.
pub fn of_test(book: &Book, indication: IndicationId, settings: impl Iterator<Item = SettingId>) -> Vec<Shown> {
    let mut all = of_steps(book, &book.indication(indication).steps);
    for setting in settings {
        all.extend(of_steps(book, &book.setting(setting).steps));
    }
    each_once(all)
}

/// The cautions of setting something up, each once.
pub fn of_settings(book: &Book, settings: impl Iterator<Item = SettingId>) -> Vec<Shown> {
    each_once(settings.flat_map(|id| of_steps(book, &book.setting(id).steps)).collect())
}

/// The cautions of all that was done in a job.
pub fn of_job(book: &Book, job: &Job) -> Vec<Shown> {
    let mut all = Vec::new();
    let mut tests = BTreeSet::new();
    for entry in job.entries.iter() {
        if tests.insert((entry.indication, entry.setup.clone())) {
            all.extend(of_test(book, entry.indication, active(book, &entry.setup).into_iter()));
        }
    }
    for setting in active(book, &job.setup) {
        all.extend(of_steps(book, &book.setting(setting).steps));
    }
    each_once(all)
}

/// The settings that are active in a setup.
pub fn active(book: &Book, setup: &crate::book::Setup) -> Vec<SettingId> {
    book.setting_ids().filter(|id| setup.value(*id) != book.setting(*id).inactive).collect()
}

fn each_once(all: Vec<Shown>) -> Vec<Shown> {
    let mut once: Vec<Shown> = Vec::new();
    for caution in all {
        if !once.iter().any(|c| c.name == caution.name) {
            once.push(caution);
        }
    }
    once
}
