//! The range of a computed reading whose widths are joined by root sum square (JCGM 100:2008, 5.1.2): what each meter may be off by moves
//! the value by so much, all else in the middle (5.1.3, note 2); those moves are squared, added, and times the factor of the coverage.
//!
//! Ranges that were typed, one-sided entries and logs stay whole, and so does what a bent sum moves more than a straight one would. One
//! entry in two slots moves both at once. The result is never wider than the worst case, which is certain.

use crate::book::{SlotIx, Value};
use crate::job::EntryId;
use crate::units::{Exact, Interval, RootSumSquare};

use super::range::{Env, is_finite, range_in};

/// How a joined range came about, in base units.
#[derive(Clone, PartialEq, Debug)]
pub struct Joining {
    /// What was asked for.
    pub asked: RootSumSquare,
    /// Each entry read with a meter, and by how much it may move the value.
    pub moves: Vec<(EntryId, Exact)>,
    /// The half width that the moves give together, with what bends.
    pub together: Exact,
    /// The whole range if all of them were off at once.
    pub worst: Interval,
    /// The range that counts.
    pub range: Interval,
}

/// The joined range of a value; `None` where it has none.
pub(super) fn join(value: &Value, asked: RootSumSquare, env: &Env<'_>) -> Option<Joining> {
    let worst = range_in(value, env)?;
    let nothing = |range: &Interval| Joining {
        asked,
        moves: Vec::new(),
        together: Exact::zero(),
        worst: range.clone(),
        range: range.clone(),
    };
    let movers = movers(value, env);
    if !is_finite(&worst) || movers.is_empty() {
        return Some(nothing(&worst));
    }
    let mut still = env.clone();
    for (slot, interval) in movers.iter().flat_map(|(_, slots)| slots) {
        still = still.with(*slot, Interval::point(interval.centre()?));
    }
    let (low, high) = ends(&range_in(value, &still)?)?;
    let mut moves = Vec::new();
    for (entry, slots) in &movers {
        let moved = slots.iter().fold(still.clone(), |env, (slot, interval)| env.with(*slot, interval.clone()));
        let (lowest, highest) = ends(&range_in(value, &moved)?)?;
        moves.push((*entry, (&low - &lowest).max(&highest - &high)));
    }
    let widths: Vec<Exact> = moves.iter().map(|(_, width)| width.clone()).collect();
    let sum = widths.iter().fold(Exact::zero(), |sum, width| &sum + width);
    let (lowest, highest) = ends(&worst)?;
    let bend = (&highest - &(&high + &sum)).max(&(&low - &sum) - &lowest).max(Exact::zero());
    let together = &asked.join(&widths) + &bend;
    let range = Interval::between((&low - &together).max(lowest), (&high + &together).min(highest));
    Some(Joining { asked, moves, together, worst, range })
}

/// The entries read with a meter, each with its slots.
fn movers(value: &Value, env: &Env<'_>) -> Vec<(EntryId, Vec<(SlotIx, Interval)>)> {
    let mut slots = Vec::new();
    value.collect_slots(&mut slots);
    let mut movers: Vec<(EntryId, Vec<(SlotIx, Interval)>)> = Vec::new();
    for slot in slots {
        let Some((entry, interval)) = env.metered(slot) else { continue };
        match movers.iter_mut().find(|(other, _)| *other == entry) {
            Some((_, slots)) => slots.push((slot, interval)),
            None => movers.push((entry, vec![(slot, interval)])),
        }
    }
    movers
}

fn ends(interval: &Interval) -> Option<(Exact, Exact)> {
    Some((interval.low.value()?.clone(), interval.high.value()?.clone()))
}
