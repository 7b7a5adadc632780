//! `+`, `-`, `*` and the sign of exact numbers, by value or by reference.
//!
//! Division can fail and so is a method, [`Exact::checked_div`], not an operator.

use std::ops::{Add, Mul, Neg, Sub};

use super::Exact;

macro_rules! operator {
    ($trait:ident, $method:ident, $sign:tt) => {
        impl $trait<&Exact> for &Exact {
            type Output = Exact;
            fn $method(self, other: &Exact) -> Exact {
                Exact(&self.0 $sign &other.0)
            }
        }
        impl $trait<Exact> for &Exact {
            type Output = Exact;
            fn $method(self, other: Exact) -> Exact {
                Exact(&self.0 $sign other.0)
            }
        }
        impl $trait<&Exact> for Exact {
            type Output = Exact;
            fn $method(self, other: &Exact) -> Exact {
                Exact(self.0 $sign &other.0)
            }
        }
        impl $trait<Exact> for Exact {
            type Output = Exact;
            fn $method(self, other: Exact) -> Exact {
                Exact(self.0 $sign other.0)
            }
        }
    };
}

operator!(Add, add, +);
operator!(Sub, sub, -);
operator!(Mul, mul, *);

impl Neg for Exact {
    type Output = Exact;
    fn neg(self) -> Exact {
        Exact(-self.0)
    }
}

impl Neg for &Exact {
    type Output = Exact;
    fn neg(self) -> Exact {
        Exact(-self.0.clone())
    }
}
