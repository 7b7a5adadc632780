//! Sums of products of slots, and one such sum over another: what a comparison is once like terms are gathered. In
//! this form a reading used twice is one value.

use std::collections::BTreeMap;

use crate::book::{SlotIx, Value};
use crate::units::Exact;

/// The most terms that are gathered; beyond that a value is bounded as it stands.
const MOST_TERMS: usize = 64;

/// Slots with their powers, sorted.
pub(crate) type Powers = Vec<(SlotIx, u32)>;

/// A sum of products.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Polynomial {
    /// The factor of each product; never 0.
    pub(crate) terms: BTreeMap<Powers, Exact>,
}

/// One polynomial over another.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Fraction {
    /// Above the line.
    pub(crate) above: Polynomial,
    /// Below it.
    pub(crate) below: Polynomial,
}

impl Fraction {
    /// A sum of products alone.
    pub(crate) fn whole(above: Polynomial) -> Self {
        Self { above, below: Polynomial::constant(Exact::one()) }
    }

    /// What has the sign of its slope in a slot: the denominator's square is positive and left out.
    pub(crate) fn slope_sign(&self, slot: SlotIx) -> Option<Polynomial> {
        let rising = self.above.slope(slot).times(&self.below)?;
        let falling = self.above.times(&self.below.slope(slot))?;
        Some(rising.plus(&falling, &-Exact::one()))
    }

    /// The same as a value.
    pub(crate) fn to_value(&self) -> Value {
        Value::quotient(self.above.to_value(), self.below.to_value())
    }
}

impl Polynomial {
    fn constant(value: Exact) -> Self {
        let mut all = Self::default();
        all.add_term(Vec::new(), value);
        all
    }

    fn slot(slot: SlotIx) -> Self {
        let mut all = Self::default();
        all.add_term(vec![(slot, 1)], Exact::one());
        all
    }

    fn add_term(&mut self, powers: Powers, factor: Exact) {
        let sum = self.terms.remove(&powers).map_or(factor.clone(), |known| &known + &factor);
        if !sum.is_zero() {
            self.terms.insert(powers, sum);
        }
    }

    fn plus(&self, other: &Self, sign: &Exact) -> Self {
        let mut sum = self.clone();
        for (powers, factor) in &other.terms {
            sum.add_term(powers.clone(), factor * sign);
        }
        sum
    }

    fn times(&self, other: &Self) -> Option<Self> {
        let mut product = Self::default();
        for (a, x) in &self.terms {
            for (b, y) in &other.terms {
                product.add_term(merged(a, b), x * y);
                if product.terms.len() > MOST_TERMS {
                    return None;
                }
            }
        }
        Some(product)
    }

    /// Its slope in a slot.
    pub(crate) fn slope(&self, slot: SlotIx) -> Self {
        let mut slope = Self::default();
        for (powers, factor) in &self.terms {
            let Some((_, power)) = powers.iter().find(|(s, _)| *s == slot) else { continue };
            let lowered = powers.iter().map(|(s, p)| (*s, if *s == slot { p - 1 } else { *p })).filter(|(_, p)| *p > 0);
            slope.add_term(lowered.collect(), factor * &Exact::from_int(i64::from(*power)));
        }
        slope
    }

    /// The constant, if there is nothing else.
    pub(crate) fn as_constant(&self) -> Option<Exact> {
        match self.terms.len() {
            0 => Some(Exact::zero()),
            1 => self.terms.get(&Vec::new()).cloned(),
            _ => None,
        }
    }

    /// Whether no slot stands in it with a power above one.
    pub(crate) fn is_multilinear(&self) -> bool {
        self.terms.keys().flatten().all(|(_, power)| *power == 1)
    }

    /// The same as a value.
    pub(crate) fn to_value(&self) -> Value {
        let product = |(powers, factor): (&Powers, &Exact)| {
            let each = powers.iter().flat_map(|(slot, power)| std::iter::repeat_n(Value::Slot(*slot), *power as usize));
            each.fold(Value::Constant(factor.clone()), Value::product)
        };
        self.terms.iter().map(product).fold(Value::Constant(Exact::zero()), Value::sum)
    }
}

fn merged(a: &Powers, b: &Powers) -> Powers {
    let mut all: BTreeMap<SlotIx, u32> = a.iter().copied().collect();
    for (slot, power) in b {
        *all.entry(*slot).or_insert(0) += power;
    }
    all.into_iter().collect()
}

/// A value as a fraction; `None` where it holds a function or a root sum square, or grows too large.
pub(crate) fn fraction(value: &Value) -> Option<Fraction> {
    let whole = |above: Polynomial| Some(Fraction::whole(above));
    match value {
        Value::Constant(number) => whole(Polynomial::constant(number.clone())),
        Value::Slot(slot) => whole(Polynomial::slot(*slot)),
        Value::Negative(inner) => {
            let inner = fraction(inner)?;
            Some(Fraction { above: Polynomial::default().plus(&inner.above, &-Exact::one()), below: inner.below })
        }
        Value::Sum(a, b) => added(&fraction(a)?, &fraction(b)?, &Exact::one()),
        Value::Difference(a, b) => added(&fraction(a)?, &fraction(b)?, &-Exact::one()),
        Value::Product(a, b) => {
            let (a, b) = (fraction(a)?, fraction(b)?);
            Some(Fraction { above: a.above.times(&b.above)?, below: a.below.times(&b.below)? })
        }
        Value::Quotient(a, b) => {
            let (a, b) = (fraction(a)?, fraction(b)?);
            Some(Fraction { above: a.above.times(&b.below)?, below: a.below.times(&b.above)? })
        }
        Value::Call(..) | Value::Joined(..) => None,
    }
}

fn added(a: &Fraction, b: &Fraction, sign: &Exact) -> Option<Fraction> {
    if a.below == b.below {
        return Some(Fraction { above: a.above.plus(&b.above, sign), below: a.below.clone() });
    }
    let above = a.above.times(&b.below)?.plus(&b.above.times(&a.below)?, sign);
    Some(Fraction { above, below: a.below.times(&b.below)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn like_terms_are_gathered() {
        let x = || Box::new(Value::Slot(SlotIx(0)));
        // (x - x / 2) / x - 1 / 2 is nought above the line.
        let half = Value::Quotient(x(), Box::new(Value::Constant(Exact::from_int(2))));
        let share = Value::Quotient(Box::new(Value::Difference(x(), Box::new(half))), x());
        let value = Value::Difference(Box::new(share), Box::new(Value::Constant(Exact::ratio(1, 2).unwrap())));
        assert!(fraction(&value).unwrap().above.terms.is_empty());
    }
}
