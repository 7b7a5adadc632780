//! What each answer of a test would mean: which faults it would rule out, prove, leave.

use crate::book::FaultId;
use crate::reasoning::cells::Cell;
use crate::reasoning::{Judgement, Verdict};

use super::next::{Aim, AnswerOutcome};
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows};

/// The answers of a test, those joined that lead to the same; last, where no fault of the book would be left.
pub(super) fn answers(
    asking: &Asking<'_>,
    judgement: &Judgement,
    pool: &Pool,
    outlook: &Outlook,
    rows: &Rows,
    aims: &[Option<Aim>],
) -> Vec<AnswerOutcome> {
    let meaning = Meaning { asking, pool, outlook, rows, aims, open: open(judgement).collect() };
    let mut all: Vec<(Vec<usize>, AnswerOutcome)> = Vec::new();
    for (place, cell) in outlook.cells.iter().enumerate() {
        let own = meaning.of(&[place]);
        let neighbours = matches!(cell, Cell::Range { .. }).then_some(all.len().saturating_sub(1));
        let joins = |(at, (places, outcome)): &(usize, &mut (Vec<usize>, AnswerOutcome))| {
            let alike = || places.first().is_some_and(|first| meaning.is_alike(*first, place));
            match neighbours {
                Some(last) => {
                    is_nothing(outcome) && is_nothing(&own) || *at == last && (alike() || says_the_same(outcome, &own))
                }
                None => alike(),
            }
        };
        let found = all.iter_mut().enumerate().find(joins);
        match found {
            Some((_, (places, outcome))) => {
                places.push(place);
                *outcome = meaning.of(places);
            }
            None => all.push((vec![place], own)),
        }
    }
    let (known, unknown): (Vec<_>, Vec<_>) = all.into_iter().map(|(_, outcome)| outcome).partition(|o| !is_nothing(o));
    known.into_iter().chain(unknown).collect()
}

/// Whether a reading there would leave no fault of the book: what the circuits leave no room for lies in several places.
fn is_nothing(outcome: &AnswerOutcome) -> bool {
    outcome.leaves.is_empty() && outcome.proves.is_empty() && !outcome.rules_out.is_empty() && outcome.aim.is_none()
}

/// Whether two neighbouring ranges come to the same for whoever takes the reading: the same faults left, or, where none
/// falls, the same one likeliest. Circuits cut a reading in many places, and not every cut parts anything.
fn says_the_same(one: &AnswerOutcome, other: &AnswerOutcome) -> bool {
    let likeliest = |outcome: &AnswerOutcome| outcome.likeliest.map(|(fault, _)| fault);
    one.leaves == other.leaves
        && one.proves == other.proves
        && one.aim == other.aim
        && (!one.rules_out.is_empty() || likeliest(one) == likeliest(other))
}

/// The faults that may be there and are not proved.
pub(super) fn open(judgement: &Judgement) -> impl Iterator<Item = FaultId> + '_ {
    let open = judgement.verdicts.iter().filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft));
    open.map(|v| v.fault)
}

struct Meaning<'a> {
    asking: &'a Asking<'a>,
    pool: &'a Pool,
    outlook: &'a Outlook,
    rows: &'a Rows,
    aims: &'a [Option<Aim>],
    open: Vec<FaultId>,
}

impl Meaning<'_> {
    /// Whether two answers come to the same; where a test is taken for an aim, to the same for that and what is proved.
    fn is_alike(&self, one: usize, other: usize) -> bool {
        let (aim, table) = (self.aims.get(one).copied().flatten(), &self.outlook.table);
        if aim.is_none() {
            return table.same_answer(one, other);
        }
        let proves = |place: usize| self.asking.proves(table.applied.get(place).map_or(&[][..], Vec::as_slice));
        aim == self.aims.get(other).copied().flatten() && proves(one) == proves(other)
    }

    fn of(&self, places: &[usize]) -> AnswerOutcome {
        let stays = |fault: &FaultId| {
            let mut sets = self.pool.sets.iter().enumerate();
            sets.any(|(n, set)| set.contains(fault) && self.chance(n, places) > 0.0)
        };
        let (leaves, rules_out): (Vec<FaultId>, Vec<FaultId>) = self.open.iter().copied().partition(stays);
        let first = places.first().and_then(|first| self.outlook.table.applied.get(*first));
        let probability: f64 = (0..self.pool.sets.len()).map(|n| self.joint(n, places)).sum();
        AnswerOutcome {
            cells: places.iter().filter_map(|place| self.outlook.cells.get(*place).cloned()).collect(),
            probability,
            rules_out,
            proves: self.asking.proves(first.map_or(&[][..], Vec::as_slice)),
            likeliest: self.likeliest(&leaves, places, probability),
            leaves,
            aim: places.first().and_then(|first| self.aims.get(*first).copied().flatten()),
        }
    }

    /// The chance of an answer under a hypothesis.
    fn chance(&self, hypothesis: usize, places: &[usize]) -> f64 {
        let row = self.rows.row(hypothesis);
        places.iter().map(|place| row.get(*place).copied().unwrap_or(0.0)).sum()
    }

    /// The same, times the weight of the hypothesis.
    fn joint(&self, hypothesis: usize, places: &[usize]) -> f64 {
        self.pool.weights.get(hypothesis).map_or(0.0, |weight| weight * self.chance(hypothesis, places))
    }

    /// The likeliest fault once the answer is known, and how likely it is then; the first of several alike.
    fn likeliest(&self, leaves: &[FaultId], places: &[usize], probability: f64) -> Option<(FaultId, f64)> {
        let weight = |fault: &FaultId| -> f64 {
            let sets = self.pool.sets.iter().enumerate().filter(|(_, set)| set.contains(fault));
            sets.map(|(n, _)| self.joint(n, places)).sum()
        };
        let best = leaves.iter().map(|fault| (*fault, weight(fault))).reduce(|a, b| if b.1 > a.1 { b } else { a });
        best.filter(|_| probability > 0.0).map(|(fault, weight)| (fault, weight / probability))
    }
}
