//! Values of a circuit: `10 mohm to 30 mohm`, `255 ohm ± 10 %`, `at most 5 mohm`, `6 m of 2.5 mm²`, `6 A to 9 A at 26 V`.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{Expr, Number, Spread};
use crate::units::{Dimension, Exact};

use super::super::super::circuits::{Quantity, Taken};
use super::super::conditions::Compiler;
use super::super::expressions::Typed;
use super::super::{Resolver, numbers};

/// A value, what it measures, and where it stands.
pub(super) struct Valued {
    /// The value.
    pub(super) quantity: Quantity,
    /// What it measures.
    pub(super) dimension: Dimension,
    /// Where.
    pub(super) span: Span,
}

impl Resolver<'_> {
    /// A value or range of one of these dimensions; `None` where it is reported as wrong.
    pub(super) fn quantity(&mut self, spread: &Spread, wanted: &[Dimension]) -> Option<Valued> {
        let (low, high) = match &spread.high {
            Some(high) => {
                let (low, high) = self.constant_pair(&spread.low, high)?;
                (low, Some(high))
            }
            None => (self.constant(&spread.low)?, None),
        };
        let span = high.as_ref().map_or(low.span, |high| low.span.to(high.span));
        if !self.measures(&spread.low, &low, wanted) {
            return None;
        }
        if let (Some(high), Some(expr)) = (&high, &spread.high)
            && !self.measures(expr, high, &[low.dimension])
        {
            return None;
        }
        let least = low.value.as_constant()?.clone();
        let quantity = match (&high, &spread.percent) {
            (Some(high), _) => between(least, high.value.as_constant()?.clone()),
            (None, Some(percent)) => self.around(least, percent)?,
            (None, None) => Quantity { low: least.clone(), nominal: least.clone(), high: least, ranged: false },
        };
        self.in_order(quantity, span).map(|quantity| Valued { quantity, dimension: low.dimension, span })
    }

    fn constant_pair(&mut self, low: &Expr, high: &Expr) -> Option<(Typed, Typed)> {
        let mut compiler = Compiler::new(self);
        compiler.constant_only = true;
        compiler.pair(low, high)
    }

    fn in_order(&mut self, quantity: Quantity, span: Span) -> Option<Quantity> {
        if quantity.low > quantity.high {
            let problem = Problem::error("book/range-reversed", span, "this range ends below its beginning");
            self.report(problem.help("write the lower end first"));
            return None;
        }
        if quantity.low.is_negative() {
            let problem = Problem::error("book/negative", span, "a value of a circuit can't be negative");
            self.report(problem.help("swap the two points of the element for the other polarity"));
            return None;
        }
        Some(quantity)
    }

    fn around(&mut self, nominal: Exact, percent: &Number) -> Option<Quantity> {
        let share = match numbers::digits(percent) {
            Ok(digits) => digits * Exact::pow10(-2),
            Err(problem) => {
                self.report(problem);
                return None;
            }
        };
        if share > Exact::one() {
            let problem = Problem::error(
                "book/percent",
                percent.span,
                format!("`± {} %` is more than the value itself", percent.digits),
            );
            self.report(problem.help("write the two ends of the range instead"));
            return None;
        }
        let off = &nominal * &share;
        Some(Quantity { low: &nominal - &off, high: &nominal + &off, nominal, ranged: true })
    }

    /// `at most X`: from nought to X.
    pub(super) fn at_most(&mut self, expr: &Expr, wanted: &[Dimension]) -> Option<Valued> {
        let typed = self.constant(expr)?;
        if !self.measures(expr, &typed, wanted) {
            return None;
        }
        let quantity = self.in_order(between(Exact::zero(), typed.value.as_constant()?.clone()), typed.span)?;
        Some(Valued { quantity, dimension: typed.dimension, span: typed.span })
    }

    /// One value of one dimension, from a number.
    pub(super) fn one(&mut self, number: &Number, wanted: Dimension) -> Option<Exact> {
        let expr = Expr::Number(number.clone());
        self.one_of(&expr, wanted)
    }

    /// One value of one dimension.
    pub(super) fn one_of(&mut self, expr: &Expr, wanted: Dimension) -> Option<Exact> {
        let typed = self.constant(expr)?;
        if !self.measures(expr, &typed, &[wanted]) {
            return None;
        }
        let value = typed.value.as_constant()?.clone();
        if value <= Exact::zero() {
            let problem = Problem::error(
                "book/negative",
                typed.span,
                format!("{} of a circuit must be above 0", wanted.a_noun()),
            );
            self.report(problem.help("write what the part is rated for"));
            return None;
        }
        Some(value)
    }

    /// What a load takes: a current or a power, above 0.
    pub(super) fn taken(&mut self, spread: &Spread) -> Option<Taken> {
        let valued = self.quantity(spread, &[Dimension::CURRENT, Dimension::POWER])?;
        if valued.quantity.low.is_zero() {
            let problem = Problem::error("book/no-load", valued.span, "a load of 0 says nothing about its resistance");
            self.report(problem.help("write what it takes when it works; `opens with …` says when it takes nothing"));
            return None;
        }
        let current = valued.dimension == Dimension::CURRENT;
        Some(if current { Taken::Current(valued.quantity) } else { Taken::Power(valued.quantity) })
    }

    /// Whether a value measures one of these; it is reported at its unit if not.
    fn measures(&mut self, expr: &Expr, typed: &Typed, wanted: &[Dimension]) -> bool {
        if wanted.contains(&typed.dimension) && (!typed.bare || wanted.contains(&Dimension::NONE)) {
            return true;
        }
        let expected = wanted.iter().map(|dimension| dimension.a_noun()).collect::<Vec<_>>().join(" or ");
        let span = match expr {
            Expr::Number(number) => number.unit.as_ref().map_or(number.span, |unit| unit.span),
            other => other.span(),
        };
        let problem = if typed.bare {
            Problem::error("units/missing", span, "this number has no unit")
                .help(format!("{expected} is needed here; write its unit behind it"))
        } else {
            let found = typed.dimension.a_noun();
            Problem::error("units/mismatch", span, format!("expected {expected}, found {found}"))
                .help("check the unit, or the order of the values")
        };
        self.report(problem);
        false
    }
}

/// A range; its nominal is its middle.
fn between(low: Exact, high: Exact) -> Quantity {
    Quantity { nominal: (&low + &high).half(), low, high, ranged: true }
}
