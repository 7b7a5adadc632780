//! The tests on offer: each reading or observation in each setup that some condition asks for and that is not entered
//! yet, or can be tried again, with the way there from where the vehicle stands.

use crate::book::setup::matches;
use crate::book::{Asked, Book, CautionId, IndicationId, Setup};
use crate::job::{EntryId, Job};
use crate::reasoning::Facts;

use super::beside::{self, Beside};
use super::reach::{self, SetStep};

/// A test on offer.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Candidate {
    /// Of what.
    pub(crate) indication: IndicationId,
    /// The way in which an atom asks for it.
    pub(crate) asked: Asked,
    /// Under which setup.
    pub(crate) setup: Setup,
    /// The way there.
    pub(crate) steps: Vec<SetStep>,
    /// How long it takes, the way there included.
    pub(crate) seconds: f64,
    /// Whether the book says how long the test itself takes.
    pub(crate) timed: bool,
    /// A caution that leaves it to licensed or qualified staff.
    pub(crate) stop: Option<CautionId>,
    /// The entry beside which it is taken again, under its setup.
    pub(crate) beside: Option<EntryId>,
}

/// A test in a setup that is reached from where the vehicle stands.
pub(crate) fn candidate(book: &Book, from: &Setup, indication: IndicationId, asked: &Asked) -> Option<Candidate> {
    let setup = reach::target(book, from, indication, asked)?;
    let steps = reach::steps(book, from, &setup);
    let own = &book.indication(indication).steps;
    let (seconds, timed) = reach::seconds(own);
    let on_the_way = steps.iter().find_map(|step| reach::stop_caution(book, &book.setting(step.setting).steps));
    Some(Candidate {
        indication,
        asked: asked.clone(),
        seconds: steps.iter().fold(seconds, |sum, step| sum + step.seconds),
        timed,
        stop: reach::stop_caution(book, own).or(on_the_way),
        setup,
        steps,
        beside: None,
    })
}

/// Every test on offer, in book order.
pub(crate) fn candidates(book: &Book, job: &Job, facts: &Facts<'_>) -> Vec<Candidate> {
    let mut all: Vec<Candidate> = Vec::new();
    for id in book.indication_ids().filter(|id| !job.unreachable.contains(id)) {
        let computed = book.indication(id).reading().is_some_and(|r| r.computed.is_some());
        let Some(uses) = book.uses_of(id).filter(|_| !computed) else { continue };
        let probed = probed(book, id);
        for asked in uses.asked.iter().chain(&probed) {
            let entered = is_entered(facts, id, asked);
            if entered && book.tries.get(id.place()).is_none_or(Vec::is_empty) {
                continue;
            }
            let Some(found) = candidate(book, &job.setup, id, asked) else { continue };
            // What shows only sometimes can be tried again.
            if entered && !book.is_try(id, &found.setup) {
                continue;
            }
            if !all.iter().any(|other| other.indication == id && other.setup == found.setup) {
                all.push(found);
            }
        }
    }
    all.extend(besides(book, job, facts, &all));
    all
}

/// Tests that would stand beside an entry, save those on offer already.
fn besides(book: &Book, job: &Job, facts: &Facts<'_>, offered: &[Candidate]) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    for Beside { indication, asked, again } in beside::all(facts) {
        if job.unreachable.contains(&indication) || is_entered(facts, indication, &asked) {
            continue;
        }
        let Some(test) = candidate(book, &job.setup, indication, &asked) else { continue };
        let same = |other: &Candidate| other.indication == indication && other.setup == test.setup;
        if !offered.iter().chain(&found).any(same) {
            found.push(Candidate { beside: again, ..test });
        }
    }
    found
}

/// How a circuit asks for a reading that it foretells: as the reading needs.
fn probed(book: &Book, id: IndicationId) -> Option<Asked> {
    let indication = book.indication(id);
    let known = book.circuit_ids().any(|circuit| book.circuit(circuit).probes_of(id).next().is_some());
    known.then(|| Asked { demand: indication.demand.clone(), words: indication.needs.clone(), loose: Vec::new() })
}

/// Whether an entry that counts answers an atom that asks so.
pub(crate) fn is_entered(facts: &Facts<'_>, indication: IndicationId, asked: &Asked) -> bool {
    let entries = facts.entries(indication).iter().filter_map(|id| facts.entry(*id));
    entries.into_iter().any(|entry| matches(facts.book, &asked.demand, indication, &entry.setup, &asked.loose))
}
