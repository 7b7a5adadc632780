//! What each answer of a test would say: the rules that would apply, the `shows` that would hold or fail, and from that
//! the chance of each answer under each hypothesis. The meter blurs the borders between answers.

use crate::book::{Book, Conclusion, ConditionRef, FaultId, Reading, RuleId};
use crate::job::{Entry, EntryId, Job};
use crate::reasoning::cells::{Cell, Limits, cells_cut_at};
use crate::reasoning::choice::is_decided;
use crate::reasoning::circuits::told_of;
use crate::reasoning::heard::stands;
use crate::reasoning::likelihood::{Claim, Odds, Table, chance_of};
use crate::reasoning::{Facts, Judgement, Truth};
use crate::units::{Bound, Exact, Interval};

use super::candidates::Candidate;
use super::foretold::{self, Told};
use super::sound;

/// A test with its answers.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Outlook {
    /// Its answers.
    pub(crate) cells: Vec<Cell>,
    /// What the book and the entries so far say of them.
    pub(crate) table: Table,
    /// By answer: the part of its readings that lie too close to the limit below, and to the one above, for the meter.
    pub(crate) lost: Vec<(f64, f64)>,
    /// The widest half width of the meter at a limit, in base units; none if no meter is known.
    pub(crate) meter: Option<Exact>,
}

impl Outlook {
    /// The chances of the answers as a meter tells them: the clear ones first, then *too close to call* at each limit.
    pub(crate) fn blurred(&self, row: &[f64]) -> Vec<f64> {
        let clear = row.iter().zip(&self.lost).map(|(chance, (low, high))| chance * (1.0 - low - high));
        clear.chain(self.borders(row)).collect()
    }

    /// The chance of a reading too close to each limit.
    fn borders<'r>(&'r self, row: &'r [f64]) -> impl Iterator<Item = f64> + 'r {
        let below = row.iter().zip(&self.lost);
        let above = below.clone().skip(1);
        below.zip(above).map(|((p, (_, high)), (q, (low, _)))| p * high + q * low)
    }

    /// The chance of a reading that leaves something undecided because it lies too close to a limit.
    pub(crate) fn too_close(&self, row: &[f64]) -> f64 {
        let matters = |n: usize| !self.table.same_answer(n, n + 1);
        self.borders(row).enumerate().filter(|(n, _)| matters(*n)).map(|(_, chance)| chance).sum()
    }
}

/// Asks what the answers of tests would say in a job.
pub(crate) struct Asking<'a> {
    pub(crate) book: &'a Book,
    pub(crate) job: &'a Job,
    /// By rule: whether it applies already.
    applied: Vec<bool>,
}

impl<'a> Asking<'a> {
    pub(crate) fn of(book: &'a Book, job: &'a Job, judgement: &Judgement) -> Self {
        let mut applied = vec![false; book.rules.len()];
        for rule in &judgement.evidence.applied {
            if let Some(mark) = applied.get_mut(rule.rule.place()) {
                *mark = true;
            }
        }
        Self { book, job, applied }
    }

    /// The same in a job with some entries more.
    pub(crate) fn supposing<'b>(&self, job: &'b Job) -> Asking<'b>
    where
        'a: 'b,
    {
        Asking { book: self.book, job, applied: self.applied.clone() }
    }

    /// Whether a rule applies already.
    pub(crate) fn applies(&self, rule: RuleId) -> bool {
        self.applied.get(rule.place()).copied().unwrap_or(false)
    }

    /// The entries of the job.
    pub(crate) fn facts(&self) -> Facts<'a> {
        Facts::of(self.book, self.job, self.job.epoch(), |_: EntryId| true)
    }

    /// The same without the tries of a test so far: the next one is asked for what it says by itself.
    fn facts_without(&self, candidate: &Candidate) -> Facts<'a> {
        let other = |id: EntryId| {
            let entry = self.job.entry(id);
            entry.is_none_or(|e| e.indication != candidate.indication || e.setup != candidate.setup)
        };
        Facts::of(self.book, self.job, self.job.epoch(), other)
    }

    /// The outlook of a test.
    pub(crate) fn outlook(&self, candidate: &Candidate) -> Outlook {
        let is_try = self.book.is_try(candidate.indication, &candidate.setup);
        let facts = if is_try { self.facts_without(candidate) } else { self.facts() };
        let told = self.told(&facts, candidate);
        self.look(candidate, facts, told)
    }

    /// The same by the sentences of the book alone, without its circuits.
    pub(crate) fn outlook_by_book(&self, candidate: &Candidate) -> Outlook {
        self.look(candidate, self.facts(), Vec::new())
    }

    fn look(&self, candidate: &Candidate, facts: Facts<'_>, told: Told) -> Outlook {
        let is_try = self.book.is_try(candidate.indication, &candidate.setup);
        let cuts = foretold::cuts(&told);
        let cells = cells_cut_at(&facts, candidate.indication, &candidate.setup, Limits::Clear, &cuts);
        let entries: Vec<Entry> = cells.iter().map(|cell| self.entry(candidate, cell)).collect();
        let mut facts = facts.with_supposed(&entries);
        let (rules, shows) = self.concerned(candidate);
        let barred = foretold::barred(&told, &cells);
        let mut table =
            Table { claims: self.claims(&shows), applied: Vec::with_capacity(cells.len()), barred, ..Table::default() };
        let mut sound = Vec::with_capacity(cells.len());
        for (nth, cell) in cells.iter().enumerate() {
            facts.suppose(nth);
            self.answer(&mut table, &facts, &rules);
            sound.push(sound::truth(&facts, candidate.indication, cell));
            facts.forget();
        }
        table.usual = sound::usual(&sound);
        let table = table.with_silence(is_try);
        let (lost, meter) = self.lost(candidate, &cells);
        Outlook { cells, table, lost, meter }
    }

    /// What the circuits foretell of a test; nothing of an observation.
    fn told(&self, facts: &Facts<'_>, candidate: &Candidate) -> Told {
        if self.book.circuits.is_empty() || self.book.indication(candidate.indication).reading().is_none() {
            return Vec::new();
        }
        let anything = Cell::Range { inside: Interval::everything(), owned: Interval::everything() };
        told_of(facts, &self.entry(candidate, &anything))
    }

    /// Claims of `shows` that no answer is filled in for yet.
    pub(crate) fn claims(&self, shows: &[(FaultId, usize)]) -> Vec<Claim> {
        let claim = |(fault, nth): &(FaultId, usize)| Claim {
            fault: *fault,
            nth: *nth,
            chance: chance_of(self.book, *fault, *nth),
            truths: Vec::new(),
        };
        shows.iter().map(claim).collect()
    }

    /// Adds an answer to a table: what would follow if the facts were so.
    pub(crate) fn answer(&self, table: &mut Table, facts: &Facts<'_>, rules: &[RuleId]) {
        let applies = |rule: &RuleId| is_decided(facts, &self.book.rule(*rule).condition, true);
        table.applied.push(rules.iter().copied().filter(applies).collect());
        for claim in &mut table.claims {
            let condition = self.book.fault(claim.fault).shows.get(claim.nth).map(|shows| &shows.condition);
            claim.truths.push(condition.map_or(Truth::Unknown, |condition| stands(facts, condition)));
        }
    }

    /// An answer as an entry.
    pub(crate) fn entry(&self, candidate: &Candidate, cell: &Cell) -> Entry {
        cell.entry(self.book, candidate.indication, &candidate.setup, self.job.epoch())
    }

    /// The rules that don't apply yet and the `shows` that an entry of the test can bear on.
    fn concerned(&self, candidate: &Candidate) -> (Vec<RuleId>, Vec<(FaultId, usize)>) {
        let (mut rules, mut shows) = (Vec::new(), Vec::new());
        let uses = self.book.uses_of(candidate.indication).map_or(&[][..], |uses| &uses.conditions);
        for which in uses {
            let slots = self.book.condition(*which).map_or(&[][..], |condition| &condition.slots);
            let bears =
                slots.iter().any(|slot| slot.indication == candidate.indication && slot.demand.holds(&candidate.setup));
            match which {
                ConditionRef::Rule(rule) if bears && !self.applies(*rule) => rules.push(*rule),
                ConditionRef::Shows(fault, n) if bears => shows.push((*fault, *n)),
                _ => {}
            }
        }
        (rules, shows)
    }

    /// The part of each answer's readings that can't be told from the neighbour's, be it for the meter or because the limit
    /// hangs on an entry that may be off; all values of an answer being equally likely.
    fn lost(&self, candidate: &Candidate, cells: &[Cell]) -> (Vec<(f64, f64)>, Option<Exact>) {
        let mut lost = vec![(0.0, 0.0); cells.len()];
        let mut widest: Option<Exact> = None;
        let Some(reading) = self.book.indication(candidate.indication).reading() else { return (lost, widest) };
        for (place, cell) in cells.iter().enumerate() {
            let Cell::Range { inside, owned } = cell else { continue };
            let first = place == 0;
            let last = place + 1 == cells.len();
            let low = inside.low.value().filter(|_| !first).and_then(|at| self.half_width(reading, at));
            let high = inside.high.value().filter(|_| !last).and_then(|at| self.half_width(reading, at));
            widest = widest.max(low.clone()).max(high.clone());
            let (below, above) = (between(&inside.low, &owned.low), between(&inside.high, &owned.high));
            let clear = inside.width().map(|width| width.to_f64()).filter(|width| *width > 0.0);
            let Some(width) = clear.map(|clear| clear + below + above) else { continue };
            let part = |half: Option<Exact>, margin: f64| (half.map_or(0.0, |half| half.to_f64()) + margin) / width;
            let (low, high) = (part(low, below), part(high, above));
            let all = low + high;
            let scale = if all > 1.0 { 1.0 / all } else { 1.0 };
            if let Some(lost) = lost.get_mut(place) {
                *lost = (low * scale, high * scale);
            }
        }
        (lost, widest)
    }

    /// How well a reading is taken at a value: by the job's meter, else by the usual one.
    fn half_width(&self, reading: &Reading, at: &Exact) -> Option<Exact> {
        let unit = reading.unit?;
        let in_use = self.job.meters.iter().rev().find(|meter| meter.dimension == unit.dimension);
        let accuracy = in_use.map(|meter| &meter.accuracy).or(reading.meter.as_ref())?;
        Some(accuracy.half_width_in(unit, &unit.from_base(at)))
    }

    /// The chance of each answer if these faults are there; none for what the book doesn't cover.
    pub(crate) fn row(&self, table: &Table, set: &[FaultId]) -> Vec<f64> {
        let row = table.row(self.book, set, Odds::Counted);
        // A hypothesis without room for any answer is one that is in conflict already: nothing is expected of it.
        if row.iter().sum::<f64>() > 0.0 { row } else { table.row(self.book, &[], Odds::Counted) }
    }

    /// Faults that rules would prove.
    pub(crate) fn proves(&self, applied: &[RuleId]) -> Vec<FaultId> {
        let conclusions = applied.iter().flat_map(|rule| &self.book.rule(*rule).conclusions);
        let mut proved: Vec<FaultId> = conclusions
            .filter_map(|conclusion| match conclusion {
                Conclusion::Implies(faults) => Some(faults.iter().copied()),
                _ => None,
            })
            .flatten()
            .collect();
        proved.sort_unstable();
        proved.dedup();
        proved
    }
}

/// How far apart two ends are; nought where one of them has none.
fn between(one: &Bound, other: &Bound) -> f64 {
    one.value().zip(other.value()).map_or(0.0, |(one, other)| (one - other).abs().to_f64())
}
