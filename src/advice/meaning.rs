//! What each answer of a test would mean: which faults it would rule out, prove, leave.

use crate::book::FaultId;
use crate::reasoning::cells::Cell;
use crate::reasoning::{Judgement, Verdict};

use super::next::AnswerOutcome;
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows};

/// The answers of a test, those joined that lead to the same.
pub(super) fn answers(
    asking: &Asking<'_>,
    judgement: &Judgement,
    pool: &Pool,
    outlook: &Outlook,
    rows: &Rows,
) -> Vec<AnswerOutcome> {
    let open: Vec<FaultId> = judgement
        .verdicts
        .iter()
        .filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft))
        .map(|v| v.fault)
        .collect();
    let mut answers: Vec<(usize, AnswerOutcome)> = Vec::new();
    for (place, cell) in outlook.cells.iter().enumerate() {
        let alike = |(other, _): &(usize, AnswerOutcome)| outlook.table.same_answer(*other, place);
        let neighbour = matches!(cell, Cell::Range { .. });
        let found = if neighbour {
            answers.last_mut().filter(|last| alike(last))
        } else {
            answers.iter_mut().find(|other| alike(other))
        };
        let probability = mixed(pool, rows, place);
        if let Some((_, joined)) = found {
            joined.cells.push(cell.clone());
            joined.probability += probability;
            continue;
        }
        let stays = |fault: &FaultId| {
            let mut sets = pool.sets.iter().enumerate();
            sets.any(|(n, set)| set.contains(fault) && rows.row(n).get(place).is_some_and(|chance| *chance > 0.0))
        };
        let (leaves, rules_out): (Vec<FaultId>, Vec<FaultId>) = open.iter().copied().partition(stays);
        let proves = asking.proves(outlook.table.applied.get(place).map_or(&[][..], Vec::as_slice));
        answers.push((place, AnswerOutcome { cells: vec![cell.clone()], probability, rules_out, proves, leaves }));
    }
    answers.into_iter().map(|(_, answer)| answer).collect()
}

/// How likely an answer is, over all hypotheses.
fn mixed(pool: &Pool, rows: &Rows, place: usize) -> f64 {
    pool.weights.iter().enumerate().map(|(n, weight)| weight * rows.row(n).get(place).copied().unwrap_or(0.0)).sum()
}
