//! Tests that another does for less.

use std::collections::BTreeSet;

use crate::book::{Book, ConditionRef, IndicationId, Setup};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::stood::blank;
use crate::lint::space::system::System;
use crate::lint::subject::Subject;
use crate::units::Exact;

use super::claim::Claim;
use super::sides::{Joint, Sides, is_plain};
use super::single::{Said, Single};

check! {
    /// Finds: a test that parts the faults just as a quicker one does, and is asked for nowhere else. The time of what it
    /// has to be set up for counts.
    ///
    /// Harm: the technician takes the dearer one, or both.
    ///
    /// Bad:
    /// ```rulebook
    /// observation lamp glows
    ///   answers yes, no
    ///   takes 9 min
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is no
    ///   shows lamp glows is no
    /// ```
    /// Good:
    /// ```rulebook
    /// observation lamp glows
    ///   answers yes, no
    ///   takes 9 min
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is no
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows lamp glows is no
    /// ```
    "dominated-test", Advice, Meaning, find
}

/// What a test tells: for each answer what it says of each fault.
type Split = BTreeSet<Vec<Said>>;

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let tests: Vec<(&Single, Split, Exact)> =
        sides.table().tests.iter().filter_map(|test| known(sides, test)).collect();
    let mut said: Vec<IndicationId> = Vec::new();
    for (dear, split, cost) in &tests {
        let indication = book.indication(dear.indication);
        let only = sides.table().tests.iter().filter(|test| test.indication == dear.indication).count() == 1;
        if !only
            || said.contains(&dear.indication)
            || !subject.is_own(indication.span)
            || is_needed(sides, dear.indication)
        {
            continue;
        }
        let cheaper = tests
            .iter()
            .find(|(test, other, less)| test.indication != dear.indication && other == split && less < cost);
        let Some((cheap, ..)) = cheaper else { continue };
        said.push(dear.indication);
        let other = book.indication(cheap.indication);
        found.add(
            Finding::at(
                indication.span,
                format!("`{}` tells nothing that `{}` does not tell quicker", indication.name, other.name),
            )
            .also(other.span, "this one parts the faults alike")
            .help("take it out, or say what else it tells")
            .witness(pair(book, cheap, dear).and_then(|joint| joint.shows(book, Claim::LastAddsNothing))),
        );
    }
}

/// A test that tells anything by itself, with its time.
fn known<'t>(sides: &Sides<'_>, test: &'t Single) -> Option<(&'t Single, Split, Exact)> {
    let split: Split = test.told.iter().map(|told| told.said(sides.book)).collect();
    let cost = cost(sides.book, test.indication, &test.setup)?;
    (split.len() > 1 && !test.told.iter().any(|told| told.weighs)).then_some((test, split, cost))
}

fn cost(book: &Book, id: IndicationId, setup: &Setup) -> Option<Exact> {
    let mut sum = book.indication(id).steps.takes.clone()?;
    for setting in book.setting_ids().filter(|id| setup.value(*id) != book.setting(*id).normal) {
        sum = sum + book.setting(setting).steps.takes.clone().unwrap_or_default();
    }
    Some(sum)
}

/// Whether it is asked for together with other entries, now and then, or after a repair; or is a sign of a sound vehicle.
fn is_needed(sides: &Sides<'_>, id: IndicationId) -> bool {
    let book = sides.book;
    let uses = book.uses_of(id).map_or(&[][..], |uses| &uses.conditions);
    let elsewhere = uses.iter().any(|which| match which {
        ConditionRef::Verify(..) | ConditionRef::Gone(_) => true,
        ConditionRef::Shows(fault, nth) => {
            book.fault(*fault).shows.get(*nth).is_some_and(|shows| !is_plain(shows.chance))
        }
        ConditionRef::Rule(_) => false,
    });
    let joint = sides.sources.iter().any(|(source, readings)| {
        readings.binary_search(&id).is_ok() && sides.side(*source).is_some_and(|side| side.condition.slots.len() > 1)
    });
    elsewhere || joint || book.complaints.iter().any(|complaint| complaint.first.contains(&id))
}

/// An answer of each that leaves the same.
fn pair(book: &Book, cheap: &Single, dear: &Single) -> Option<Joint> {
    let (one, other) = cheap.told.iter().find_map(|one| {
        let same = dear.told.iter().find(|other| other.said(book) == one.said(book))?;
        Some((cheap.joint(one), dear.joint(same)))
    })?;
    let domains = [one.system.domains, other.system.domains].concat();
    let entries = vec![blank(cheap.indication, &cheap.setup), blank(dear.indication, &dear.setup)];
    Some(Joint { entries, vars: vec![0, 1], system: System::new(domains) })
}
