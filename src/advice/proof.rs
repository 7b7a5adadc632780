//! The test that would prove a fault: the cheapest one, or the cheapest few together, after which a rule may imply it.

use crate::book::{Conclusion, ConditionRef, FaultId, RuleId, Slot};
use crate::reasoning::cells::Cell;

use super::bundles::{MOST_ANSWERS, MOST_TESTS, Shelf, chain, joint, missing, product};
use super::candidates::Candidate;
use super::outlook::Asking;
use super::pool::Pool;
use super::recipe::ways;

/// Tests to take one after the other, and the rule that they may make apply.
pub(super) struct Proof {
    pub(super) tests: Vec<Candidate>,
    pub(super) rule: RuleId,
}

/// The cheapest proof of a fault that is on offer, ties in book order; none if no rule may imply it any more.
pub(super) fn cheapest(asking: &Asking<'_>, pool: &Pool, shelf: &mut Shelf<'_>, fault: FaultId) -> Option<Proof> {
    let facts = asking.facts();
    let mut all: Vec<(f64, Proof)> = Vec::new();
    for rule in asking.book.rule_ids().filter(|rule| !asking.applies(*rule) && implies(asking, *rule, fault)) {
        let condition = &asking.book.rule(rule).condition;
        for way in ways(&facts, condition, true) {
            let slots: Vec<&Slot> = way.iter().filter_map(|slot| condition.slot(*slot)).collect();
            let wanted = missing(asking.book, &slots).filter(|tests| (1..=MOST_TESTS).contains(&tests.len()));
            let Some(tests) = wanted.and_then(|wanted| chain(asking, &wanted)) else { continue };
            let seconds = tests.iter().map(|test| test.seconds).sum();
            all.push((seconds, Proof { tests, rule }));
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all.into_iter().map(|(_, proof)| proof).find(|proof| succeeds(asking, pool, shelf, proof, fault))
}

fn implies(asking: &Asking<'_>, rule: RuleId, fault: FaultId) -> bool {
    let says = |conclusion: &Conclusion| matches!(conclusion, Conclusion::Implies(faults) if faults.contains(&fault));
    asking.book.rule(rule).conclusions.iter().any(says)
}

/// Whether some answers that the fault leaves room for make the rule apply.
fn succeeds(asking: &Asking<'_>, pool: &Pool, shelf: &mut Shelf<'_>, proof: &Proof, fault: FaultId) -> bool {
    let Some(hypothesis) = pool.sets.iter().position(|set| set.contains(&fault)) else { return false };
    let (mut answers, mut chances): (Vec<Vec<Cell>>, Vec<Vec<f64>>) = (Vec::new(), Vec::new());
    for test in &proof.tests {
        let (outlook, rows) = shelf.get(test);
        answers.push(outlook.cells.clone());
        chances.push(rows.row(hypothesis).to_vec());
    }
    let count = answers.iter().map(Vec::len).product::<usize>();
    if count > MOST_ANSWERS {
        return false;
    }
    let table = joint(asking, &proof.tests, &answers, &[ConditionRef::Rule(proof.rule)], count);
    let rows: Vec<&[f64]> = chances.iter().map(Vec::as_slice).collect();
    let applies = |n: &usize| table.applied.get(*n).is_some_and(|applied| applied.contains(&proof.rule));
    (0..count).filter(applies).any(|n| product(&rows, n) > 0.0)
}
