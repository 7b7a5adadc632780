//! A sum of readings as a constant and a factor for each slot, where it is a straight line in them.

use crate::units::Exact;

use super::value::{SlotIx, Value};

/// A constant and a factor for each slot.
pub(crate) struct Affine {
    /// What is left with every slot at nought.
    pub(crate) constant: Exact,
    /// Slots with their factors, each once.
    pub(crate) factors: Vec<(SlotIx, Exact)>,
}

impl Affine {
    fn scaled(mut self, factor: &Exact) -> Self {
        self.constant = &self.constant * factor;
        for (_, f) in &mut self.factors {
            *f = &*f * factor;
        }
        self
    }

    fn plus(mut self, other: Self) -> Self {
        self.constant = &self.constant + &other.constant;
        for (slot, factor) in other.factors {
            match self.factors.iter_mut().find(|(s, _)| *s == slot) {
                Some((_, f)) => *f = &*f + &factor,
                None => self.factors.push((slot, factor)),
            }
        }
        self
    }
}

/// The sum as constant and factors, if it is linear; how wide it is is not asked.
pub(crate) fn affine(value: &Value) -> Option<Affine> {
    Some(match value {
        Value::Constant(number) => Affine { constant: number.clone(), factors: Vec::new() },
        Value::Slot(slot) => Affine { constant: Exact::zero(), factors: vec![(*slot, Exact::one())] },
        Value::Joined(inner, ..) => affine(inner)?,
        Value::Negative(inner) => affine(inner)?.scaled(&-Exact::one()),
        Value::Sum(a, b) => affine(a)?.plus(affine(b)?),
        Value::Difference(a, b) => affine(a)?.plus(affine(b)?.scaled(&-Exact::one())),
        Value::Product(a, b) => {
            let (a, b) = (affine(a)?, affine(b)?);
            match (a.factors.is_empty(), b.factors.is_empty()) {
                (true, _) => b.scaled(&a.constant),
                (_, true) => a.scaled(&b.constant),
                _ => return None,
            }
        }
        Value::Quotient(a, b) => {
            let b = affine(b)?;
            if !b.factors.is_empty() {
                return None;
            }
            affine(a)?.scaled(&Exact::one().checked_div(&b.constant)?)
        }
        Value::Call(..) => return None,
    })
}
