//! How a function is described, checked when a book is loaded, and called.

mod check;
mod fluid;
mod outward;
mod problem;
mod range;

use crate::units::{Dimension, Exact, Interval};

pub use fluid::Fluid;
pub(super) use outward::{falling, rising};
pub use problem::{FunctionProblem, OutOfRange};
pub(super) use range::Range;

/// What a parameter takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Wants {
    /// A value of this dimension.
    Amount(Dimension),
    /// A pressure, gauge or absolute; it reaches the function as an absolute one.
    Pressure,
    /// The name of a refrigerant, `R-134a` or `R-1234yf`.
    Refrigerant,
    /// A value of the same dimension as the first argument, whatever that is.
    LikeFirst,
    /// Any value.
    Any,
    /// Any value whose nought means none: all but a temperature.
    Size,
}

/// One parameter of a function.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Parameter {
    /// What it is called in messages: "line temperature".
    pub name: &'static str,
    /// What it takes.
    pub wants: Wants,
    /// The value taken when it is left out, as a fraction in base units; only of the last ones.
    pub default: Option<(i64, i64)>,
}

impl Parameter {
    /// A parameter that must be given.
    pub(super) const fn new(name: &'static str, wants: Wants) -> Parameter {
        Parameter { name, wants, default: None }
    }
}

/// What a function gives.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Gives {
    /// Always a value of this dimension.
    Always(Dimension),
    /// A value of the dimension of the first argument.
    LikeFirst,
}

/// The result of a function's own calculation.
pub(super) type Outcome = Result<Interval, OutOfRange>;

/// The calculation, by the sort of its arguments; all in base units, pressures absolute.
#[derive(Clone, Copy, Debug)]
pub(super) enum Body {
    One(fn(&Interval) -> Outcome),
    Two(fn(&Interval, &Interval) -> Outcome),
    Three(fn(&Interval, &Interval, &Interval) -> Outcome),
    FluidOne(fn(Fluid, &Interval) -> Outcome),
    FluidTwo(fn(Fluid, &Interval, &Interval) -> Outcome),
}

/// A function that a rulebook may use.
#[derive(Debug)]
pub struct Function {
    /// Its name as written in a book.
    pub name: &'static str,
    /// What it takes, in order.
    pub parameters: &'static [Parameter],
    /// What it gives.
    pub gives: Gives,
    /// Where it is valid, in words.
    pub range: &'static str,
    /// Where it is published, in words.
    pub source: &'static str,
    pub(super) body: Body,
}

/// An argument of a call, in base units.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Argument {
    /// A value.
    Value {
        /// The value with its uncertainty, in base units.
        interval: Interval,
        /// What it measures.
        dimension: Dimension,
    },
    /// A word, such as the name of a refrigerant.
    Word(String),
}

/// What is known of an argument before there are readings.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ArgumentKind {
    /// A value of this dimension.
    Value(Dimension),
    /// This word.
    Word(String),
}

impl Argument {
    /// What is known of it without its value.
    pub fn kind(&self) -> ArgumentKind {
        match self {
            Argument::Value { dimension, .. } => ArgumentKind::Value(*dimension),
            Argument::Word(word) => ArgumentKind::Word(word.clone()),
        }
    }
}

/// What is measured outside the vehicle and joins gauge to absolute pressure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Surroundings {
    /// The absolute pressure of the air outside, in Pa.
    pub ambient_pressure: Exact,
}

impl Default for Surroundings {
    /// Sea level: 101.325 kPa (standard atmosphere, 10th CGPM, 1954).
    fn default() -> Surroundings {
        Surroundings { ambient_pressure: Exact::from_int(101_325) }
    }
}

impl Surroundings {
    /// A gauge pressure as an absolute one, both in Pa.
    pub fn to_absolute(&self, gauge: &Interval) -> Interval {
        gauge.add(&Interval::point(self.ambient_pressure.clone()))
    }

    /// An absolute pressure as a gauge pressure, both in Pa.
    pub fn to_gauge(&self, absolute: &Interval) -> Interval {
        absolute.sub(&Interval::point(self.ambient_pressure.clone()))
    }
}
