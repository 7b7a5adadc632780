//! What each answer of a test would mean: which faults it would rule out, prove, leave.

use crate::book::FaultId;
use crate::reasoning::cells::Cell;
use crate::reasoning::{Judgement, Verdict};

use super::next::{Aim, AnswerOutcome};
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows};

/// The answers of a test, those joined that lead to the same.
pub(super) fn answers(
    asking: &Asking<'_>,
    judgement: &Judgement,
    pool: &Pool,
    outlook: &Outlook,
    rows: &Rows,
    aims: &[Option<Aim>],
) -> Vec<AnswerOutcome> {
    let meaning = Meaning { asking, pool, outlook, rows, aims, open: open(judgement).collect() };
    let mut joined: Vec<Vec<usize>> = Vec::new();
    for (place, cell) in outlook.cells.iter().enumerate() {
        let alike = |places: &Vec<usize>| places.first().is_some_and(|first| meaning.is_alike(*first, place));
        let neighbour = matches!(cell, Cell::Range { .. });
        let found = if neighbour {
            joined.last_mut().filter(|last| alike(last))
        } else {
            joined.iter_mut().find(|other| alike(other))
        };
        match found {
            Some(places) => places.push(place),
            None => joined.push(vec![place]),
        }
    }
    joined.iter().map(|places| meaning.of(places)).collect()
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
