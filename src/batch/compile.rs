//! From a book and the columns of a layout to a [`Plan`]: each condition that a verdict can rest on as comparisons of cells.

use crate::book::{Book, Conclusion, ConditionRef, FaultId, IndicationKind, SlotIx, Value};
use crate::job::{EntryId, Job};
use crate::reasoning::Facts;
use crate::reasoning::evidence::conditions_of;
use crate::reasoning::range::{affine, repeats};
use crate::units::Exact;

use super::fixed::{Side, Steps};
use super::flat::{Effect, Plan, Say};
use super::foretelling::Foretelling;
use super::prove::{Need, Way, ways};
use super::sums::Sum;

/// Makes comparisons of cells; gathers the sums that they need.
pub(super) struct Weigher<'a> {
    /// By column; none for observations, and for readings whose unit is no straight scale.
    pub(super) steps: &'a [Option<Steps>],
    pub(super) sums: Vec<Sum>,
}

impl Weigher<'_> {
    /// What must hold of the cells so that a sum lies so to nought.
    pub(super) fn ways(&mut self, slots: &[Option<EntryId>], sum: &Value, side: Side) -> Vec<Way> {
        if let Some(need) = self.plain(slots, sum, side) {
            return vec![vec![need]];
        }
        self.quotient(slots, sum, side).unwrap_or_else(|| {
            let mut used = Vec::new();
            sum.collect_slots(&mut used);
            let columns = used.iter().filter_map(|slot| Some(slots.get(slot.place()).copied().flatten()?.0));
            vec![vec![Need::Hard(columns.collect())]]
        })
    }

    /// `a / b` against a number other than nought: a against b times it, turned where b is negative. No reading stands in
    /// both, so the quotient's range is exact, and the two say the same.
    fn quotient(&mut self, slots: &[Option<EntryId>], sum: &Value, side: Side) -> Option<Vec<Way>> {
        let Value::Difference(quotient, limit) = sum else { return None };
        let (Value::Quotient(above, below), Some(limit)) = (&**quotient, limit.as_constant()) else { return None };
        if repeats(sum) || limit.is_zero() {
            return None;
        }
        let times = Value::product((**below).clone(), Value::Constant(limit.clone()));
        let rest = Value::difference((**above).clone(), times);
        let positive = vec![self.plain(slots, below, Side::More)?, self.plain(slots, &rest, side)?];
        let negative = vec![self.plain(slots, below, Side::Less)?, self.plain(slots, &rest, side.turned())?];
        Some(vec![positive, negative])
    }

    /// None where it is no sum of cells; one whose widths are joined is none.
    fn plain(&mut self, slots: &[Option<EntryId>], sum: &Value, side: Side) -> Option<Need> {
        let straight = affine(sum).filter(|_| !repeats(sum) && sum.joined().is_empty())?;
        let mut terms: Vec<(u32, Exact)> = Vec::new();
        let mut constant = straight.constant;
        for (slot, factor) in &straight.factors {
            let column = slot_column(slots, *slot)?;
            let steps = self.steps.get(column as usize)?.as_ref()?;
            // A column that stands in two slots is one value to the ordinary judge too, but not a sum of two intervals.
            if factor.is_zero() || terms.iter().any(|(other, _)| *other == column) {
                return None;
            }
            constant = constant + factor * &steps.offset;
            terms.push((column, factor * &steps.factor));
        }
        if let [(column, factor)] = terms.as_slice() {
            // One reading against a limit, as most are.
            let side = if factor.is_negative() { side.turned() } else { side };
            let (half, least) = side.least(&(-constant).checked_div(factor)?)?;
            return Some(Need::Cell(2 * column + half, least));
        }
        terms.sort_by_key(|(column, _)| *column);
        let (_, first) = terms.first()?;
        let turned = first.is_negative();
        let unit = common_part(&terms)?;
        let unit = if turned { -unit } else { unit };
        let limit = (-constant).checked_div(&unit)?;
        let whole = |(column, factor): &(u32, Exact)| {
            let (above, below) = factor.checked_div(&unit)?.to_fraction()?;
            (below == 1).then_some(())?;
            Some((*column, i64::try_from(above).ok()?))
        };
        let terms: Vec<(u32, i64)> = terms.iter().map(whole).collect::<Option<_>>()?;
        let side = if turned { side.turned() } else { side };
        let (half, least) = side.least(&limit)?;
        Some(Need::Cell(2 * self.pair(terms) + half, least))
    }

    /// The pair of cells of a sum.
    fn pair(&mut self, terms: Vec<(u32, i64)>) -> u32 {
        if let [(column, 1)] = terms[..] {
            return column;
        }
        let sum = Sum { terms };
        let known = self.sums.iter().position(|other| *other == sum).unwrap_or_else(|| {
            self.sums.push(sum);
            self.sums.len() - 1
        });
        u32::try_from(self.steps.len() + known).unwrap_or(u32::MAX)
    }
}

fn slot_column(slots: &[Option<EntryId>], slot: SlotIx) -> Option<u32> {
    slots.get(slot.place()).copied().flatten().map(|id| id.0)
}

/// The greatest number of which all factors are whole multiples.
fn common_part(terms: &[(u32, Exact)]) -> Option<Exact> {
    let (mut above, mut below) = (0_i128, 1_i128);
    for (_, factor) in terms {
        let (numerator, denominator) = factor.to_fraction()?;
        below = below.checked_mul(denominator / gcd(below, denominator))?;
        above = gcd(above, numerator.abs());
    }
    // gcd of the numerators over the least common multiple of the denominators divides all of them.
    let exact = |number: i128| i64::try_from(number).ok().map(Exact::from_int);
    exact(above)?.checked_div(&exact(below)?)
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Why jobs of a layout can't be judged as whole numbers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Refusal {
    /// The book allows several faults at once.
    SeveralAtOnce,
    /// Two columns are one reading under one setup.
    Replaced,
    /// A condition has too many ways to be decided.
    TooManyWays,
}

/// Compiles a book for the columns of a job that has one entry a column, in that order; `empty` is that job before they were entered.
pub(super) fn compile(book: &Book, empty: &Job, job: &Job, steps: &[Option<Steps>]) -> Result<Plan, Refusal> {
    if book.at_once > 1 {
        return Err(Refusal::SeveralAtOnce);
    }
    if job.live(0).len() != job.entries.len() {
        return Err(Refusal::Replaced);
    }
    let facts = Facts::of(book, job, 0, |_| true);
    let mut weigher = Weigher { steps, sums: Vec::new() };
    let mut plan = Plan::of(book, steps.len());
    for which in conditions_of(book, facts.seen()) {
        let Some((want, effect)) = effect(book, which) else { continue };
        let Some(condition) = book.condition(which) else { continue };
        let found = ways(&facts, condition, want, &mut weigher).ok_or(Refusal::TooManyWays)?;
        plan.add(&found, &effect);
    }
    for (place, complaint) in book.complaints.iter().enumerate() {
        let gone = match &complaint.gone {
            Some(condition) => ways(&facts, condition, true, &mut weigher).ok_or(Refusal::TooManyWays)?,
            None => Vec::new(),
        };
        plan.complain(place, complaint.may_be.as_deref(), &gone);
    }
    plan.disturb(&unsound(&facts, &mut weigher)?);
    plan.finish(weigher.sums, Foretelling::of(book, empty, job, steps));
    Ok(plan)
}

/// Which way a condition counts for verdicts, and what it does; none if it only weighs.
fn effect(book: &Book, which: ConditionRef) -> Option<(bool, Effect)> {
    match which {
        ConditionRef::Rule(rule) => {
            let mut effect = Effect::default();
            for conclusion in &book.rule(rule).conclusions {
                match conclusion {
                    Conclusion::Implies(faults) => effect.says.push(Say::There(faults.clone())),
                    Conclusion::RulesOut(faults) => effect.says.push(Say::NotThere(faults.clone())),
                    Conclusion::ImpliesOneOf(faults) => effect.says.push(Say::NotThere(all_but(book, faults))),
                    Conclusion::Odds(..) => {}
                }
            }
            (!effect.says.is_empty()).then_some((true, effect))
        }
        ConditionRef::Shows(fault, nth) => {
            let always = book.fault(fault).shows.get(nth)?.chance.is_none_or(|(m, n)| m >= n);
            always.then(|| (false, Effect { says: vec![Say::NotThere(vec![fault])] }))
        }
        ConditionRef::Verify(..) | ConditionRef::Gone(_) => None,
    }
}

fn all_but(book: &Book, faults: &[FaultId]) -> Vec<FaultId> {
    book.fault_ids().filter(|fault| !faults.contains(fault)).collect()
}

/// The ways in which the entries are not those of a sound vehicle.
fn unsound(facts: &Facts<'_>, weigher: &mut Weigher<'_>) -> Result<Vec<Way>, Refusal> {
    let book = facts.book;
    let mut all = Vec::new();
    for id in book.indication_ids() {
        let indication = book.indication(id);
        let entered = facts.entries(id);
        match &indication.kind {
            IndicationKind::Reading(reading) if !entered.is_empty() || reading.computed.is_some() => {
                let Some(condition) = book.tolerance_test(id) else { continue };
                all.extend(ways(facts, condition, true, weigher).ok_or(Refusal::TooManyWays)?);
            }
            IndicationKind::Observation(observation) if observation.sound != 0 => {
                for entry in entered.iter().filter_map(|entry| Some((entry.0, facts.entry(*entry)?))) {
                    if crate::book::setup::matches(book, &indication.demand, id, &entry.1.setup, &[]) {
                        let count = observation.answers.len().min(64);
                        let bad = (0..count).filter(|n| observation.sound & (1 << n) == 0);
                        let place = |n: usize| 2 * i64::try_from(n).unwrap_or(0);
                        all.extend(
                            bad.map(|n| {
                                vec![Need::Cell(2 * entry.0, place(n)), Need::Cell(2 * entry.0 + 1, -place(n))]
                            }),
                        );
                    }
                }
            }
            _ => {}
        }
    }
    Ok(all)
}
