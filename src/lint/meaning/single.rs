//! What each single test tells: one reading or observation under one setup, each of its answers judged by itself as the
//! only entry of a job.

use std::sync::Arc;

use rayon::prelude::*;

use crate::book::setup::closure;
use crate::book::{Book, FaultId, IndicationId, Setup, Term};
use crate::job::{Entry, Job};
use crate::lint::space::formula::Formula;
use crate::lint::space::stood::{blank, every, reach};
use crate::lint::space::system::{Domain, System, Var, ends};
use crate::reasoning::Facts;
use crate::reasoning::cells::{Cell, Limits, cells};
use crate::reasoning::evidence::{Evidence, gather};
use crate::reasoning::hypotheses::Filter;
use crate::units::Interval;

use super::claim::Claim;
use super::sides::{Joint, Sides};

/// The most setups of one reading that are looked at.
const MOST_SETUPS: usize = 12;

/// One answer of a test.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Told {
    /// What is read.
    pub(crate) cell: Cell,
    /// By fault: whether it is left.
    pub(crate) left: Arc<Vec<bool>>,
    /// The same by rules and `shows` alone, circuits left aside.
    pub(crate) left_by_sentence: Arc<Vec<bool>>,
    /// Faults that rules prove by it.
    pub(crate) proved: Vec<FaultId>,
    /// Whether a sound vehicle does not show it.
    pub(crate) unsound: bool,
    /// Whether it changes any odds.
    pub(crate) weighs: bool,
}

impl Told {
    /// That an unknown is this answer.
    pub(crate) fn formula(&self, var: Var) -> Formula {
        match &self.cell {
            Cell::Answer(mask) => Formula::Answer(var, mask & every(64)),
            Cell::Range { inside, .. } => Formula::all(ends(var, inside).into_iter().map(Formula::Under)),
            Cell::Log(_) => Formula::Bent,
        }
    }

    /// What the answer by itself says of each fault: ruled out, open, proved, in conflict. With one fault at once a proof
    /// that stands rules the others out.
    pub(crate) fn said(&self, book: &Book) -> Vec<Said> {
        let left = |fault: &FaultId| self.left.get(fault.place()) == Some(&true);
        let standing = self.proved.iter().filter(|fault| left(fault)).count();
        let one = |fault: FaultId| match (self.proved.contains(&fault), left(&fault)) {
            (true, true) if standing == 1 || book.at_once > 1 => Said::Proved,
            (true, _) => Said::Quarrels,
            (false, true) if standing != 1 || book.at_once > 1 => Said::Open,
            (false, _) => Said::Out,
        };
        book.fault_ids().map(one).collect()
    }
}

/// What one answer says of a fault.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Said {
    /// It is ruled out.
    Out,
    /// It may be.
    Open,
    /// It is proved.
    Proved,
    /// It is proved and ruled out, or another is proved as well.
    Quarrels,
}

/// One reading or observation under one setup.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Single {
    /// What is read.
    pub(crate) indication: IndicationId,
    /// How the vehicle stands.
    pub(crate) setup: Setup,
    /// Its answers, lowest first.
    pub(crate) told: Vec<Told>,
}

impl Single {
    /// An entry of one of its answers, its value still free within it.
    pub(crate) fn joint(&self, told: &Told) -> Joint {
        let domain = match &told.cell {
            Cell::Answer(mask) => Domain::Answers(*mask & every(64)),
            Cell::Range { inside, .. } => Domain::Number(inside.clone()),
            // What a log shows is no number: nothing is claimed of its range.
            Cell::Log(_) => Domain::Number(Interval::everything()),
        };
        let system = System::new(vec![domain]);
        Joint { entries: vec![blank(self.indication, &self.setup)], vars: vec![0], system }
    }

    /// The witness of a claim on one of its answers.
    pub(crate) fn shows(&self, book: &Book, told: &Told, claim: Claim) -> Option<super::claim::Witness> {
        self.joint(told).shows(book, claim)
    }
}

/// Every single test of a book.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Table {
    /// In the order of the book.
    pub(crate) tests: Vec<Single>,
}

impl Table {
    /// Of a book.
    pub(crate) fn of(sides: &Sides<'_>) -> Self {
        let book = sides.book;
        let measured = book.indication_ids().filter(|id| book.uses_of(*id).is_some_and(|uses| !uses.asked.is_empty()));
        let places: Vec<(IndicationId, Setup)> =
            measured.flat_map(|id| setups(book, id).into_iter().map(move |setup| (id, setup))).collect();
        let tests = places.into_par_iter().map(|(indication, setup)| {
            let told = told(book, indication, &setup);
            Single { indication, setup, told }
        });
        Self { tests: tests.collect() }
    }
}

/// The setups in which a reading is asked for, each reached by as little as is needed.
fn setups(book: &Book, id: IndicationId) -> Vec<Setup> {
    let asked = book.uses_of(id).map_or(&[][..], |uses| &uses.asked);
    let lines = book.indication(id).reading().map_or(&[][..], |reading| &reading.tolerance);
    let mut all: Vec<Setup> = Vec::new();
    for one in asked {
        let plain = std::iter::once(one.demand.terms.clone());
        let with_line = lines.iter().map(|line| [one.demand.terms.as_slice(), &line.demand.terms].concat());
        for terms in plain.chain(with_line) {
            let terms: Vec<Term> = terms;
            let demand = closure(&book.settings, &terms);
            if let Some(setup) = reach(book, &demand).filter(|_| !demand.is_impossible())
                && !all.contains(&setup)
                && all.len() < MOST_SETUPS
            {
                all.push(setup);
            }
        }
    }
    all
}

fn told(book: &Book, indication: IndicationId, setup: &Setup) -> Vec<Told> {
    let job = Job::new(book);
    let cells = cells(&Facts::of(book, &job, 0, |_| false), indication, setup, Limits::Fixed);
    let each = cells.into_iter().map(|cell| {
        let mut job = Job::new(book);
        job.entries.add(book, Entry { value: cell.value(), ..blank(indication, setup) });
        let evidence = gather(book, &job);
        let filter = Filter::new(book, &evidence);
        let left = |filter: &Filter<'_>| Arc::new(book.fault_ids().map(|fault| filter.leaves(&[fault])).collect());
        let left_by_sentence = if evidence.circuits.is_empty() {
            left(&filter)
        } else {
            let said = Evidence { circuits: Vec::new(), ..evidence.clone() };
            left(&Filter::new(book, &said))
        };
        Told {
            left: left(&filter),
            left_by_sentence,
            proved: filter.proved(),
            unsound: !evidence.disturbed.is_empty(),
            weighs: evidence.applied.iter().any(|applied| {
                let conclusions = &book.rule(applied.rule).conclusions;
                conclusions.iter().any(|one| matches!(one, crate::book::Conclusion::Odds(..)))
            }) || evidence.failed.iter().any(|failed| failed.sometimes)
                || evidence.circuits.iter().any(|says| !says.exact),
            cell,
        }
    });
    each.collect::<Vec<Told>>()
}
