//! Typed sums over slots. A slot stands for one entry of one reading; the reasoning fills it.

use super::ids::IndicationId;
use crate::units::functions::Function;
use crate::units::{Dimension, Exact, RootSumSquare};

/// A place for one entry, an index into [`super::Condition::slots`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct SlotIx(pub u32);

impl SlotIx {
    /// The place in the condition's list.
    pub fn place(self) -> usize {
        self.0 as usize
    }
}

/// An argument of a function.
#[derive(Clone, PartialEq, Debug)]
pub enum CallArgument {
    /// A value and what it measures.
    Value(Value, Dimension),
    /// A word, such as the name of a refrigerant.
    Word(String),
}

/// A value in base units.
#[derive(Clone, Debug)]
pub enum Value {
    /// A number.
    Constant(Exact),
    /// The entry in a slot.
    Slot(SlotIx),
    /// `- x`
    Negative(Box<Value>),
    /// `a + b`
    Sum(Box<Value>, Box<Value>),
    /// `a - b`
    Difference(Box<Value>, Box<Value>),
    /// `a * b`
    Product(Box<Value>, Box<Value>),
    /// `a / b`
    Quotient(Box<Value>, Box<Value>),
    /// A computed reading whose widths are joined by root sum square, and which; none stands inside another.
    Joined(Box<Value>, RootSumSquare, IndicationId),
    /// A function of the language.
    Call(&'static Function, Vec<CallArgument>),
}

impl PartialEq for Value {
    fn eq(&self, other: &Self) -> bool {
        use Value::{Call, Constant, Difference, Joined, Negative, Product, Quotient, Slot, Sum};
        match (self, other) {
            (Constant(a), Constant(b)) => a == b,
            (Slot(a), Slot(b)) => a == b,
            (Negative(a), Negative(b)) => a == b,
            (Sum(a, b), Sum(c, d)) | (Difference(a, b), Difference(c, d)) => a == c && b == d,
            (Product(a, b), Product(c, d)) | (Quotient(a, b), Quotient(c, d)) => a == c && b == d,
            (Joined(a, asked, _), Joined(b, other, _)) => asked == other && a == b,
            (Call(f, a), Call(g, b)) => f.name == g.name && a == b,
            _ => false,
        }
    }
}

impl Value {
    /// The constant, if it is one.
    pub fn as_constant(&self) -> Option<&Exact> {
        match self {
            Value::Constant(value) => Some(value),
            _ => None,
        }
    }

    /// Every part of it that is joined by root sum square.
    pub(crate) fn joined(&self) -> Vec<&Value> {
        match self {
            Value::Constant(_) | Value::Slot(_) => Vec::new(),
            Value::Joined(..) => vec![self],
            Value::Negative(inner) => inner.joined(),
            Value::Sum(a, b) | Value::Difference(a, b) | Value::Product(a, b) | Value::Quotient(a, b) => {
                let mut all = a.joined();
                all.extend(b.joined());
                all
            }
            Value::Call(_, arguments) => {
                let values = arguments.iter().filter_map(|argument| match argument {
                    CallArgument::Value(value, _) => Some(value),
                    CallArgument::Word(_) => None,
                });
                values.flat_map(Value::joined).collect()
            }
        }
    }

    /// Adds every slot in it to `slots`, once each, in order of first use.
    pub fn collect_slots(&self, slots: &mut Vec<SlotIx>) {
        match self {
            Value::Constant(_) => {}
            Value::Slot(slot) => {
                if !slots.contains(slot) {
                    slots.push(*slot);
                }
            }
            Value::Negative(inner) | Value::Joined(inner, ..) => inner.collect_slots(slots),
            Value::Sum(a, b) | Value::Difference(a, b) | Value::Product(a, b) | Value::Quotient(a, b) => {
                a.collect_slots(slots);
                b.collect_slots(slots);
            }
            Value::Call(_, arguments) => {
                for argument in arguments {
                    if let CallArgument::Value(value, _) = argument {
                        value.collect_slots(slots);
                    }
                }
            }
        }
    }

    /// Folds two constants; otherwise the joined value.
    pub(crate) fn sum(a: Value, b: Value) -> Value {
        match (&a, &b) {
            (Value::Constant(x), Value::Constant(y)) => Value::Constant(x + y),
            _ => Value::Sum(Box::new(a), Box::new(b)),
        }
    }

    /// Folds two constants; otherwise the joined value.
    pub(crate) fn difference(a: Value, b: Value) -> Value {
        match (&a, &b) {
            (Value::Constant(x), Value::Constant(y)) => Value::Constant(x - y),
            _ => Value::Difference(Box::new(a), Box::new(b)),
        }
    }

    /// Folds two constants; otherwise the joined value.
    pub(crate) fn product(a: Value, b: Value) -> Value {
        match (&a, &b) {
            (Value::Constant(x), Value::Constant(y)) => Value::Constant(x * y),
            _ => Value::Product(Box::new(a), Box::new(b)),
        }
    }

    /// Folds two constants; otherwise the joined value. A constant divisor of 0 stays and gives unknown.
    pub(crate) fn quotient(a: Value, b: Value) -> Value {
        match (&a, &b) {
            (Value::Constant(x), Value::Constant(y)) => x
                .checked_div(y)
                .map_or_else(|| Value::Quotient(Box::new(a.clone()), Box::new(b.clone())), Value::Constant),
            _ => Value::Quotient(Box::new(a), Box::new(b)),
        }
    }

    /// Folds a constant; otherwise the negative.
    pub(crate) fn negative(a: Value) -> Value {
        match a {
            Value::Constant(x) => Value::Constant(-x),
            other => Value::Negative(Box::new(other)),
        }
    }
}
