//! How often to try again what shows only sometimes: how many more tries without it would leave a fault unlikely.

use crate::book::FaultId;
use crate::reasoning::Truth;

use super::candidates::Candidate;
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows};

/// The weights that are aimed at.
const WANTED: [f64; 2] = [0.1, 0.01];
/// No one tries more often than that.
const MOST: u32 = 200;

/// Tries that show nothing, and what they would leave.
#[derive(Clone, PartialEq, Debug)]
pub struct Repeat {
    /// The likeliest fault that shows it sometimes.
    pub fault: FaultId,
    /// How many tries were made so far.
    pub so_far: u32,
    /// How many more tries without it would leave the fault at most that likely, fewest first.
    pub more: Vec<(u32, f64)>,
}

/// What further tries of a test would come to; none where it is no try.
pub(super) fn repeat(
    asking: &Asking<'_>,
    pool: &Pool,
    candidate: &Candidate,
    outlook: &Outlook,
    rows: &Rows,
) -> Option<Repeat> {
    outlook.table.silent?;
    let weight = |fault: FaultId| -> f64 {
        let sets = pool.sets.iter().zip(&pool.weights);
        sets.filter(|(set, _)| set.contains(&fault)).map(|(_, weight)| weight).sum()
    };
    let sometimes = outlook.table.claims.iter().filter(|claim| claim.chance < 1.0);
    let claim = sometimes
        .max_by(|a, b| weight(a.fault).total_cmp(&weight(b.fault)).then(b.fault.place().cmp(&a.fault.place())))?;
    let unseen: Vec<bool> = claim.truths.iter().map(|truth| *truth == Truth::False).collect();
    let missed = |hypothesis: usize| -> f64 {
        rows.row(hypothesis).iter().zip(&unseen).filter(|(_, unseen)| **unseen).map(|(chance, _)| chance).sum()
    };
    let missed: Vec<f64> = (0..pool.sets.len()).map(missed).collect();
    let after = |tries: u32| {
        let (mut own, mut all) = (0.0, 0.0);
        for ((set, weight), missed) in pool.sets.iter().zip(&pool.weights).zip(&missed) {
            let left = weight * missed.powf(f64::from(tries));
            all += left;
            own += if set.contains(&claim.fault) { left } else { 0.0 };
        }
        if all > 0.0 { own / all } else { 0.0 }
    };
    let now = after(0);
    let few = |wanted: f64| (1..=MOST).find(|tries| after(*tries) <= wanted).map(|tries| (tries, wanted));
    let more = WANTED.into_iter().filter(|wanted| *wanted < now).filter_map(few).collect();
    let entries = asking.job.live(asking.job.epoch()).iter().filter_map(|id| asking.job.entry(*id));
    let here = entries.filter(|e| e.indication == candidate.indication && e.setup == candidate.setup);
    Some(Repeat { fault: claim.fault, so_far: here.map(|entry| entry.tries).sum(), more })
}
