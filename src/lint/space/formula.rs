//! A condition over unknowns: comparisons joined by and, or. `not` is pushed down to the comparisons, so what is left
//! is what must be for the condition to be true, or to be false.

use crate::book::affine::{Affine, affine};
use crate::book::{Comparison, Mask, Node, SlotIx, Test, ToleranceLine, ToleranceSide, Value};
use crate::reasoning::polynomial::{Fraction, fraction};
use crate::units::Exact;

use super::system::{Under, Var};

/// What must be.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Formula {
    /// Nothing more.
    Holds,
    /// It can't be: something is not entered, or has no tolerance there.
    Never,
    /// Something that is not linear in its readings; it is left open.
    Bent,
    /// All of these.
    All(Vec<Formula>),
    /// One of these.
    Any(Vec<Formula>),
    /// A sum lies below nought.
    Under(Under),
    /// An unknown is one of these answers.
    Answer(Var, Mask),
}

impl Formula {
    /// All of these, written as short as can be.
    pub(crate) fn all(parts: impl IntoIterator<Item = Formula>) -> Formula {
        let mut left = Vec::new();
        for part in parts {
            match part {
                Formula::Holds => {}
                Formula::Never => return Formula::Never,
                Formula::All(parts) => left.extend(parts),
                part => left.push(part),
            }
        }
        match left.len() {
            0 => Formula::Holds,
            1 => left.remove(0),
            _ => Formula::All(left),
        }
    }

    /// One of these, written as short as can be.
    pub(crate) fn any(parts: impl IntoIterator<Item = Formula>) -> Formula {
        let mut left = Vec::new();
        for part in parts {
            match part {
                Formula::Never => {}
                Formula::Holds => return Formula::Holds,
                Formula::Any(parts) => left.extend(parts),
                part => left.push(part),
            }
        }
        match left.len() {
            0 => Formula::Never,
            1 => left.remove(0),
            _ => Formula::Any(left),
        }
    }

    /// That it is not so.
    pub(crate) fn not(&self) -> Formula {
        match self {
            Formula::Holds => Formula::Never,
            Formula::Never => Formula::Holds,
            Formula::Bent => Formula::Bent,
            Formula::All(parts) => Formula::any(parts.iter().map(Formula::not)),
            Formula::Any(parts) => Formula::all(parts.iter().map(Formula::not)),
            Formula::Under(sum) => Formula::Under(sum.not()),
            Formula::Answer(var, mask) => Formula::Answer(*var, !mask),
        }
    }

    /// The same with every limit itself left out.
    pub(crate) fn strictly(self) -> Formula {
        match self {
            Formula::All(parts) => Formula::All(parts.into_iter().map(Formula::strictly).collect()),
            Formula::Any(parts) => Formula::Any(parts.into_iter().map(Formula::strictly).collect()),
            Formula::Under(sum) => Formula::Under(Under { strict: true, ..sum }),
            other => other,
        }
    }

    /// Adds the unknowns that it speaks of.
    pub(crate) fn vars(&self, found: &mut Vec<Var>) {
        let mut add = |var: Var| {
            if !found.contains(&var) {
                found.push(var);
            }
        };
        match self {
            Formula::Holds | Formula::Never | Formula::Bent => {}
            Formula::All(parts) | Formula::Any(parts) => parts.iter().for_each(|part| part.vars(found)),
            Formula::Under(sum) => sum.terms.iter().for_each(|(var, _)| add(*var)),
            Formula::Answer(var, _) => add(*var),
        }
    }
}

/// What a formula asks of the entries that stand in its slots.
pub(crate) trait Seen {
    /// The unknown in a slot; none where nothing is entered there.
    fn var(&self, slot: SlotIx) -> Option<Var>;
    /// Whether the entries of a comparison may be compared at all.
    fn compares(&self, comparison: &Comparison) -> bool;
    /// The tolerance lines that apply to it.
    fn lines<'l>(&self, comparison: &Comparison, lines: &'l [ToleranceLine]) -> Vec<&'l ToleranceLine>;
}

/// What must be for a node to be true, or false.
pub(crate) fn formula(seen: &impl Seen, node: &Node, want: bool) -> Formula {
    match node {
        Node::Not(inner) => formula(seen, inner, !want),
        Node::Finding(_, inner, _) => formula(seen, inner, want),
        Node::All(parts) | Node::Any(parts) => {
            let each = parts.iter().map(|part| formula(seen, part, want));
            if matches!(node, Node::All(_)) == want { Formula::all(each) } else { Formula::any(each) }
        }
        Node::Answer(slot, mask, _) => match seen.var(*slot) {
            Some(var) => Formula::Answer(var, if want { *mask } else { !mask }),
            None => Formula::Never,
        },
        Node::Compare(comparison) => compared(seen, comparison, want),
        // What a log shows over time is no single value.
        Node::Signal(test) if test.slots.iter().all(|slot| seen.var(*slot).is_some()) => Formula::Bent,
        Node::Signal(_) => Formula::Never,
    }
}

fn compared(seen: &impl Seen, comparison: &Comparison, want: bool) -> Formula {
    let entered = comparison.slots.iter().all(|slot| seen.var(*slot).is_some());
    if !entered || !seen.compares(comparison) {
        return Formula::Never;
    }
    let subject = &comparison.subject;
    let test = |test: &Test| tested(seen, subject, test, want);
    match &comparison.test {
        Test::Tolerance(side, lines) => {
            let lines = seen.lines(comparison, lines);
            let unread = lines.iter().flat_map(|line| &line.slots).any(|slot| seen.var(*slot).is_none());
            if lines.is_empty() || unread {
                return Formula::Never;
            }
            let one = |line: &&ToleranceLine| match side {
                ToleranceSide::In => test(&Test::Between(line.low.clone(), line.high.clone())),
                ToleranceSide::Out => test(&Test::Outside(line.low.clone(), line.high.clone())),
                ToleranceSide::Below => test(&Test::Below(line.low.clone())),
                ToleranceSide::Above => test(&Test::Above(line.high.clone())),
            };
            let each = lines.iter().map(one).collect::<Vec<_>>();
            // Of tied lines: in tolerance is in all of them, the rest is so of any.
            if (*side == ToleranceSide::In) == want { Formula::all(each) } else { Formula::any(each) }
        }
        other => test(other),
    }
}

fn tested(seen: &impl Seen, subject: &Value, test: &Test, want: bool) -> Formula {
    let under = |limit: &Value, turned: bool, strict: bool| sum(seen, subject, limit, turned, strict);
    let below = |x: &Value| under(x, false, true);
    let above = |x: &Value| under(x, true, true);
    let at_least = |x: &Value| under(x, true, false);
    let at_most = |x: &Value| under(x, false, false);
    let end = |x: &Option<Exact>| x.clone().map(Value::Constant);
    let is_true = match test {
        Test::Below(x) => below(x),
        Test::Above(x) => above(x),
        Test::AtLeast(x) => at_least(x),
        Test::AtMost(x) => at_most(x),
        Test::Between(x, y) => Formula::all([at_least(x), at_most(y)]),
        Test::Outside(x, y) => Formula::any([below(x), above(y)]),
        Test::Band(low, high) => {
            Formula::all(end(low).iter().map(at_least).chain(end(high).iter().map(below)).collect::<Vec<_>>())
        }
        Test::Tolerance(..) => Formula::Never,
    };
    if want {
        return is_true;
    }
    // Where a divisor is nought it is neither true nor false.
    let limits = match test {
        Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x) => vec![x],
        Test::Between(x, y) | Test::Outside(x, y) => vec![x, y],
        Test::Band(..) | Test::Tolerance(..) => Vec::new(),
    };
    let divided = limits.into_iter().map(|limit| divisor_counts(seen, subject, limit));
    Formula::all(std::iter::once(is_true.not()).chain(divided).collect::<Vec<_>>())
}

/// That what a subject less a limit is divided by is not nought.
fn divisor_counts(seen: &impl Seen, subject: &Value, limit: &Value) -> Formula {
    let difference = Value::difference(subject.clone(), limit.clone());
    if affine(&difference).is_some() {
        return Formula::Holds;
    }
    let Some((_, below)) = quotient(&difference) else { return Formula::Holds };
    Formula::any([straight(seen, &below, false, true), straight(seen, &below, true, true)])
}

/// That a subject less a limit (or turned: the limit less the subject) lies below nought. A sum over another lies there
/// where the two have opposite signs.
fn sum(seen: &impl Seen, subject: &Value, limit: &Value, turned: bool, strict: bool) -> Formula {
    let difference = Value::difference(subject.clone(), limit.clone());
    if let Some(sum) = affine(&difference) {
        return straight(seen, &sum, turned, strict);
    }
    let Some((above, below)) = quotient(&difference) else { return Formula::Bent };
    Formula::any([
        Formula::all([straight(seen, &below, true, true), straight(seen, &above, turned, strict)]),
        Formula::all([straight(seen, &below, false, true), straight(seen, &above, !turned, strict)]),
    ])
}

/// A value as one sum of readings over another.
fn quotient(value: &Value) -> Option<(Affine, Affine)> {
    let Fraction { above, below } = fraction(value)?;
    Some((affine(&above.to_value())?, affine(&below.to_value())?))
}

/// That a sum (or turned: its negative) lies below nought.
fn straight(seen: &impl Seen, sum: &Affine, turned: bool, strict: bool) -> Formula {
    let sign = if turned { -Exact::one() } else { Exact::one() };
    let mut factors = Vec::with_capacity(sum.factors.len());
    for (slot, factor) in &sum.factors {
        let Some(var) = seen.var(*slot) else { return Formula::Never };
        factors.push((var, factor * &sign));
    }
    let sum = Under::new(factors, &sum.constant * &sign, strict);
    match sum.terms.is_empty() {
        false => Formula::Under(sum),
        true if sum.holds() => Formula::Holds,
        true => Formula::Never,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A test, and whether it is true by what is left of its subject less its limit.
    type Tried = (fn(Value) -> Test, fn(&Exact) -> bool);

    /// Every slot holds the unknown of its own number.
    struct All;

    impl Seen for All {
        fn var(&self, slot: SlotIx) -> Option<Var> {
            Some(slot.place())
        }

        fn compares(&self, _: &Comparison) -> bool {
            true
        }

        fn lines<'l>(&self, _: &Comparison, _: &'l [ToleranceLine]) -> Vec<&'l ToleranceLine> {
            Vec::new()
        }
    }

    fn holds(formula: &Formula, values: &[Exact]) -> bool {
        match formula {
            Formula::Holds => true,
            Formula::Never | Formula::Bent | Formula::Answer(..) => false,
            Formula::All(parts) => parts.iter().all(|part| holds(part, values)),
            Formula::Any(parts) => parts.iter().any(|part| holds(part, values)),
            Formula::Under(sum) => {
                let total = sum.terms.iter().map(|(var, factor)| &values[*var] * factor);
                let total = total.fold(sum.constant.clone(), |sum, part| sum + part);
                total.is_negative() || (!sum.strict && total.is_zero())
            }
        }
    }

    #[test]
    fn a_sum_over_another_is_cut_by_the_sign_of_what_it_is_divided_by() {
        // (x - 1) / (y - 2) against 3, on a grid that holds every limit.
        let number = |n: i64| Exact::from_int(n);
        let slot = |n: u32| Value::Slot(SlotIx(n));
        let less = |n: u32, by: i64| Value::difference(slot(n), Value::Constant(number(by)));
        let subject = Value::quotient(less(0, 1), less(1, 2));
        let tests: [Tried; 4] = [
            (Test::Below, |left| left.is_negative()),
            (Test::AtMost, |left| left.is_negative() || left.is_zero()),
            (Test::Above, |left| !left.is_negative() && !left.is_zero()),
            (Test::AtLeast, |left| !left.is_negative()),
        ];
        for (test, is_true) in tests {
            let test = test(Value::Constant(number(3)));
            let (so, not) = (tested(&All, &subject, &test, true), tested(&All, &subject, &test, false));
            for (x, y) in (-8..=8).flat_map(|x| (-3..=5).map(move |y| (x, y))) {
                let expected = number(x - 1).checked_div(&number(y - 2)).map(|value| is_true(&(value - number(3))));
                let values = [number(x), number(y)];
                assert_eq!(holds(&so, &values), expected == Some(true), "{test:?} at {x}, {y}");
                assert_eq!(holds(&not, &values), expected == Some(false), "not {test:?} at {x}, {y}");
            }
        }
    }
}
