//! The range of a sum over intervals. A reading used twice is one value, not two intervals: sums that are linear in
//! it are gathered exactly, others are bounded by monotonicity, or by cutting the interval to pieces (an enclosure,
//! never narrower than the truth).

use crate::book::{CallArgument, SlotIx, Value};
use crate::job::{Entry, EntryId, EntryValue};
use crate::units::functions::{Argument, Surroundings};
use crate::units::{Bound, Exact, Interval};

use super::joined;
use super::polynomial::{self, Fraction, Polynomial};

pub(crate) use crate::book::affine::affine;

/// How many pieces an interval is cut to where nothing better is known.
const PIECES: i64 = 16;

/// What stands in a slot.
#[derive(Clone, Copy)]
pub(crate) struct Filled<'a> {
    /// Where the value lies.
    pub(crate) interval: &'a Interval,
    /// The entry, where its width is what its meter may be off by.
    pub(crate) metered: Option<EntryId>,
}

impl<'a> Filled<'a> {
    /// A range that nobody read with a meter.
    pub(crate) fn range(interval: &'a Interval) -> Self {
        Self { interval, metered: None }
    }

    /// An entry, if it is a number.
    pub(crate) fn entry(id: EntryId, entry: &'a Entry) -> Option<Self> {
        match &entry.value {
            EntryValue::Interval(interval) => Some(Self { interval, metered: entry.by_meter.then_some(id) }),
            _ => None,
        }
    }
}

/// The values in the slots.
pub(crate) struct Values<'a> {
    /// By slot.
    pub(crate) slots: Vec<Option<Filled<'a>>>,
    /// Joins gauge and absolute pressure.
    pub(crate) around: &'a Surroundings,
}

/// The range of `value`; `None` where a divisor may be 0, or a function has no result there.
pub(crate) fn range(value: &Value, values: &Values<'_>) -> Option<Interval> {
    range_in(value, &Env::of(values))
}

/// The same, some slots fixed.
pub(super) fn range_in(value: &Value, env: &Env<'_>) -> Option<Interval> {
    if repeated(value).is_empty() {
        return natural(value, env);
    }
    divisors_hold(value, env)?;
    match polynomial::fraction(value) {
        Some(Fraction { above, below }) => {
            let above_range = of_polynomial(&above, env)?;
            match below.as_constant() {
                Some(constant) => Some(above_range.scale(&Exact::one().checked_div(&constant)?)),
                None if above.terms.is_empty() => Some(above_range),
                None => of_fraction(&Fraction { above, below }, env),
            }
        }
        None => bounded(value, env),
    }
}

/// An interval that lies to 0 as the value does: the value itself, or, where like terms cancel, its numerator turned
/// to the sign of its denominator.
pub(crate) fn side_of_nought(value: &Value, values: &Values<'_>) -> Option<Interval> {
    let env = Env::of(values);
    if repeated(value).is_empty() {
        return natural(value, &env);
    }
    divisors_hold(value, &env)?;
    let Some(Fraction { above, below }) = polynomial::fraction(value) else { return bounded(value, &env) };
    let below = of_polynomial(&below, &env)?;
    let above = of_polynomial(&above, &env)?;
    match (below.greater_than_zero(), below.less_than_zero()) {
        (Some(true), _) => Some(above),
        (_, Some(true)) => Some(above.neg()),
        _ => range(value, values),
    }
}

/// Whether a slot stands in it more than once.
pub(crate) fn repeats(value: &Value) -> bool {
    !repeated(value).is_empty()
}

fn repeated(value: &Value) -> Vec<SlotIx> {
    let mut counts = Vec::new();
    count(value, &mut counts);
    counts.iter().filter(|(_, n)| *n > 1).map(|(slot, _)| *slot).collect()
}

/// `None` where a divisor's own interval holds 0.
fn divisors_hold(value: &Value, env: &Env<'_>) -> Option<()> {
    match value {
        Value::Constant(_) | Value::Slot(_) | Value::Call(..) => Some(()),
        Value::Negative(inner) | Value::Joined(inner, ..) => divisors_hold(inner, env),
        Value::Sum(a, b) | Value::Difference(a, b) | Value::Product(a, b) => {
            divisors_hold(a, env).and(divisors_hold(b, env))
        }
        Value::Quotient(a, b) => {
            divisors_hold(a, env).and(divisors_hold(b, env))?;
            let below = range_in(b, env)?;
            (below.greater_than_zero() == Some(true) || below.less_than_zero() == Some(true)).then_some(())
        }
    }
}

/// The most slots whose corners are all tried.
const MOST_CORNERS: usize = 10;

/// The range of a sum of products. Where no slot has a power, its ends lie at corners.
fn of_polynomial(polynomial: &Polynomial, env: &Env<'_>) -> Option<Interval> {
    let value = polynomial.to_value();
    let shared = repeated(&value);
    if shared.is_empty() {
        return natural(&value, env);
    }
    let finite = shared.iter().all(|slot| env.get(*slot).is_some_and(|interval| is_finite(&interval)));
    if polynomial.is_multilinear() && finite && shared.len() <= MOST_CORNERS {
        return corners(&value, env, &shared);
    }
    of_fraction(&Fraction::whole(polynomial.clone()), env)
}

/// The range of a fraction: its ends where it is monotone in a slot, pieces elsewhere.
fn of_fraction(fraction: &Fraction, env: &Env<'_>) -> Option<Interval> {
    let value = fraction.to_value();
    let slots = repeated(&value);
    by_slots(&value, env, &slots, &|slot, env| natural(&fraction.slope_sign(slot)?.to_value(), env))
}

fn corners(value: &Value, env: &Env<'_>, shared: &[SlotIx]) -> Option<Interval> {
    let Some((slot, rest)) = shared.split_first() else { return natural(value, env) };
    let interval = env.get(*slot)?;
    let (low, high) = (interval.low.value()?.clone(), interval.high.value()?.clone());
    let at_low = corners(value, &env.with(*slot, Interval::point(low)), rest)?;
    let at_high = corners(value, &env.with(*slot, Interval::point(high)), rest)?;
    Some(at_low.hull(&at_high))
}

/// Slots, some of them fixed to a narrower interval.
#[derive(Clone)]
pub(super) struct Env<'a> {
    values: &'a Values<'a>,
    fixed: Vec<(SlotIx, Interval)>,
}

impl<'a> Env<'a> {
    pub(super) fn of(values: &'a Values<'a>) -> Self {
        Self { values, fixed: Vec::new() }
    }

    fn get(&self, slot: SlotIx) -> Option<Interval> {
        if let Some((_, interval)) = self.fixed.iter().rev().find(|(s, _)| *s == slot) {
            return Some(interval.clone());
        }
        self.values.slots.get(slot.place()).copied().flatten().map(|filled| filled.interval.clone())
    }

    /// The entry in a slot that is free to move by what its meter may be off by, and how far.
    pub(super) fn metered(&self, slot: SlotIx) -> Option<(EntryId, Interval)> {
        let filled = self.values.slots.get(slot.place()).copied().flatten()?;
        let fixed = self.fixed.iter().any(|(s, _)| *s == slot);
        let entry = filled.metered.filter(|_| !fixed && !filled.interval.is_point() && is_finite(filled.interval))?;
        Some((entry, filled.interval.clone()))
    }

    pub(super) fn with(&self, slot: SlotIx, interval: Interval) -> Env<'a> {
        let mut fixed = self.fixed.clone();
        fixed.push((slot, interval));
        Env { values: self.values, fixed }
    }
}

fn count(value: &Value, counts: &mut Vec<(SlotIx, usize)>) {
    match value {
        Value::Constant(_) => {}
        // Inside, it takes care of what stands there twice.
        Value::Joined(inner, ..) => {
            let mut slots = Vec::new();
            inner.collect_slots(&mut slots);
            slots.into_iter().for_each(|slot| count(&Value::Slot(slot), counts));
        }
        Value::Slot(slot) => match counts.iter_mut().find(|(s, _)| s == slot) {
            Some((_, n)) => *n += 1,
            None => counts.push((*slot, 1)),
        },
        Value::Negative(inner) => count(inner, counts),
        Value::Sum(a, b) | Value::Difference(a, b) | Value::Product(a, b) | Value::Quotient(a, b) => {
            count(a, counts);
            count(b, counts);
        }
        Value::Call(_, arguments) => arguments.iter().for_each(|argument| {
            if let CallArgument::Value(value, _) = argument {
                count(value, counts);
            }
        }),
    }
}

fn natural(value: &Value, env: &Env<'_>) -> Option<Interval> {
    Some(match value {
        Value::Constant(number) => Interval::point(number.clone()),
        Value::Slot(slot) => env.get(*slot)?,
        Value::Negative(inner) => natural(inner, env)?.neg(),
        Value::Joined(inner, asked, _) => joined::join(inner, *asked, env)?.range,
        Value::Sum(a, b) => natural(a, env)?.add(&natural(b, env)?),
        Value::Difference(a, b) => natural(a, env)?.sub(&natural(b, env)?),
        Value::Product(a, b) => natural(a, env)?.mul(&natural(b, env)?),
        Value::Quotient(a, b) => natural(a, env)?.div(&natural(b, env)?)?,
        Value::Call(function, arguments) => {
            let mut given = Vec::with_capacity(arguments.len());
            for argument in arguments {
                given.push(match argument {
                    CallArgument::Word(word) => Argument::Word(word.clone()),
                    CallArgument::Value(value, dimension) => {
                        Argument::Value { interval: natural(value, env)?, dimension: *dimension }
                    }
                });
            }
            function.evaluate(&given, env.values.around).ok()?
        }
    })
}

/// Bounds where repeated slots stand in products: ends where the sum is monotone in a slot, pieces elsewhere.
fn bounded(value: &Value, env: &Env<'_>) -> Option<Interval> {
    by_slots(value, env, &repeated(value), &|slot, env| slope(value, slot, env))
}

/// The most pieces that are looked at in all; slots beyond keep their whole interval, which gives a wider range, never
/// a narrower one.
const MOST_PIECES: i64 = 4096;

/// Something with the sign of a value's slope in a slot.
type Slope<'s> = dyn Fn(SlotIx, &Env<'_>) -> Option<Interval> + 's;

fn by_slots(value: &Value, env: &Env<'_>, repeated: &[SlotIx], slope: &Slope<'_>) -> Option<Interval> {
    in_pieces(value, env, repeated, slope, MOST_PIECES)
}

fn in_pieces(value: &Value, env: &Env<'_>, repeated: &[SlotIx], slope: &Slope<'_>, most: i64) -> Option<Interval> {
    let Some((slot, rest)) = repeated.split_first() else { return natural(value, env) };
    let interval = env.get(*slot)?;
    let (Some(low), Some(high)) = (interval.low.value().cloned(), interval.high.value().cloned()) else {
        return natural(value, env);
    };
    if low == high {
        return in_pieces(value, &env.with(*slot, Interval::point(low)), rest, slope, most);
    }
    if most < 2 {
        return natural(value, env);
    }
    let sign = slope(*slot, env);
    if sign.as_ref().is_some_and(|s| s.at_least_zero() == Some(true) || s.at_most_zero() == Some(true)) {
        let at_low = in_pieces(value, &env.with(*slot, Interval::point(low)), rest, slope, most / 2)?;
        let at_high = in_pieces(value, &env.with(*slot, Interval::point(high)), rest, slope, most / 2)?;
        return Some(at_low.hull(&at_high));
    }
    if most < PIECES {
        return natural(value, env);
    }
    let step = (&high - &low).checked_div(&Exact::from_int(PIECES))?;
    let mut all: Option<Interval> = None;
    for piece in 0..PIECES {
        let from = &low + &(&step * &Exact::from_int(piece));
        let to = &from + &step;
        let part = in_pieces(value, &env.with(*slot, Interval::between(from, to)), rest, slope, most / PIECES)?;
        all = Some(all.map_or(part.clone(), |sum| sum.hull(&part)));
    }
    all
}

/// The interval of the slope of `value` in a slot; `None` where it can't be told.
fn slope(value: &Value, slot: SlotIx, env: &Env<'_>) -> Option<Interval> {
    let zero = || Interval::point(Exact::zero());
    Some(match value {
        Value::Constant(_) => zero(),
        Value::Slot(s) => Interval::point(if *s == slot { Exact::one() } else { Exact::zero() }),
        Value::Negative(inner) => slope(inner, slot, env)?.neg(),
        Value::Sum(a, b) => slope(a, slot, env)?.add(&slope(b, slot, env)?),
        Value::Difference(a, b) => slope(a, slot, env)?.sub(&slope(b, slot, env)?),
        Value::Product(a, b) => {
            let (da, db) = (slope(a, slot, env)?, slope(b, slot, env)?);
            da.mul(&natural(b, env)?).add(&natural(a, env)?.mul(&db))
        }
        Value::Quotient(a, b) => {
            let (da, db) = (slope(a, slot, env)?, slope(b, slot, env)?);
            let (va, vb) = (natural(a, env)?, natural(b, env)?);
            // The divisor's square is positive and doesn't change the sign.
            let top = da.mul(&vb).sub(&va.mul(&db));
            top.div(&vb.mul(&vb))?
        }
        Value::Call(..) | Value::Joined(..) => {
            let mut slots = Vec::new();
            value.collect_slots(&mut slots);
            if slots.contains(&slot) {
                return None;
            }
            zero()
        }
    })
}

/// Whether an interval has two finite ends.
pub(crate) fn is_finite(interval: &Interval) -> bool {
    !matches!(interval.low, Bound::Unbounded) && !matches!(interval.high, Bound::Unbounded)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(text: &str) -> Exact {
        Exact::parse(text).unwrap()
    }

    fn of(value: &Value, low: &str, high: &str) -> Interval {
        let interval = Interval::between(exact(low), exact(high));
        let around = Surroundings::default();
        range(value, &Values { slots: vec![Some(Filled::range(&interval))], around: &around }).unwrap()
    }

    fn slot() -> Box<Value> {
        Box::new(Value::Slot(SlotIx(0)))
    }

    #[test]
    fn a_reading_less_itself_is_nought() {
        let value = Value::Difference(slot(), slot());
        assert_eq!(of(&value, "11.8", "12.2"), Interval::point(Exact::zero()));
    }

    #[test]
    fn a_square_of_a_positive_reading_is_exact_and_one_around_nought_is_enclosed() {
        let value = Value::Product(slot(), slot());
        assert_eq!(of(&value, "2", "3"), Interval::between(exact("4"), exact("9")));
        let around_nought = of(&value, "-1", "2");
        assert!(around_nought.contains(&exact("0")) && around_nought.contains(&exact("4")));
        assert!(!around_nought.contains(&exact("5")) && !around_nought.contains(&exact("-1")));
    }

    #[test]
    fn a_share_of_a_sum_uses_one_value() {
        // x / (x + 1) on [1, 3] is [1/2, 3/4]; two intervals would give [1/4, 3/2].
        let sum = Value::Sum(slot(), Box::new(Value::Constant(Exact::one())));
        let value = Value::Quotient(slot(), Box::new(sum));
        assert_eq!(of(&value, "1", "3"), Interval::between(exact("0.5"), exact("0.75")));
    }
}
