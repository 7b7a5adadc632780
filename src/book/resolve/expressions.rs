//! Sums to typed values: dimensions checked, computed readings written out, readings to slots.

use std::collections::BTreeSet;

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{Expr, Name, Operator};
use crate::units::dimension::DimensionClash;
use crate::units::functions::{self, Argument, ArgumentKind, FunctionProblem, Surroundings, Wants};
use crate::units::{Dimension, Exact, Interval, Unit};

use super::super::ids::IndicationId;
use super::super::names::Symbol;
use super::super::setup::Term;
use super::super::value::{CallArgument, Value};
use super::Resolver;
use super::conditions::Compiler;
use super::numbers;

/// Readings that a sum is made of, computed ones included, up to which they are looked for: more than a sum may have.
const MOST_SEEN: usize = 512;

/// A value with what it measures.
#[derive(Clone, Debug)]
pub(crate) struct Typed {
    /// In base units.
    pub(crate) value: Value,
    /// What it measures.
    pub(crate) dimension: Dimension,
    /// The unit that it is shown in.
    pub(crate) unit: Option<&'static Unit>,
    /// A number typed without a unit.
    pub(crate) bare: bool,
    /// Where.
    pub(crate) span: Span,
}

impl Resolver<'_> {
    /// A value that needs no reading.
    pub(super) fn constant(&mut self, expr: &Expr) -> Option<Typed> {
        let mut compiler = Compiler::new(self);
        compiler.constant_only = true;
        compiler.value(expr)
    }
}

impl Compiler<'_, '_> {
    /// A sum; `None` where it is reported as wrong.
    pub(crate) fn value(&mut self, expr: &Expr) -> Option<Typed> {
        self.terms = 0;
        self.part_of_value(expr)
    }

    fn part_of_value(&mut self, expr: &Expr) -> Option<Typed> {
        let leaf = matches!(expr, Expr::Number(_) | Expr::Name(_));
        if !self.spend(expr.span()) || (leaf && !self.spend_term(expr.span())) {
            return None;
        }
        match expr {
            Expr::Number(number) => match numbers::amount(number) {
                Ok(amount) => Some(Typed {
                    value: Value::Constant(amount.base),
                    dimension: amount.dimension,
                    unit: amount.unit,
                    bare: number.unit.is_none(),
                    span: number.span,
                }),
                Err(problem) => self.refuse(problem),
            },
            Expr::Name(name) => self.named(name),
            Expr::Call { name, arguments, span } => self.call(name, arguments, *span),
            Expr::Negative(inner, span) => {
                let inner = self.part_of_value(inner)?;
                if inner.dimension.role.is_point() {
                    return self.refuse(Problem::error(
                        "units/mismatch",
                        *span,
                        format!("{} can't be turned negative", inner.dimension.a_noun()),
                    ));
                }
                Some(Typed { value: Value::negative(inner.value), span: *span, ..inner })
            }
            Expr::Binary { operator, left, right } => self.binary(*operator, left, right),
        }
    }

    /// Two ends of a range: a bare lower end takes the upper one's unit (`11 to 15 V`).
    pub(crate) fn pair(&mut self, low: &Expr, high: &Expr) -> Option<(Typed, Typed)> {
        let high_typed = self.value(high);
        if let (Expr::Number(first), Expr::Number(second)) = (low, high)
            && first.unit.is_none()
            && second.unit.is_some()
        {
            let lent = Expr::Number(crate::syntax::tree::Number { unit: second.unit.clone(), ..first.clone() });
            return Some((self.value(&lent)?, high_typed?));
        }
        Some((self.value(low)?, high_typed?))
    }

    fn named(&mut self, name: &Name) -> Option<Typed> {
        match self.resolver.book.symbol(&name.text) {
            // Told where it is declared.
            Some(Symbol::Limit(id)) if self.resolver.unsound.limits.contains(&id) => None,
            Some(Symbol::Indication(id)) if self.resolver.unsound.indications.contains(&id) => None,
            Some(Symbol::Limit(id)) => {
                let limit = self.resolver.book.limit(id);
                Some(Typed {
                    value: Value::Constant(limit.value.clone()),
                    dimension: limit.dimension,
                    unit: limit.unit,
                    bare: false,
                    span: name.span,
                })
            }
            Some(Symbol::Indication(id)) => self.reading(name, id),
            Some(other) => self.refuse(
                Problem::error(
                    "book/wrong-kind",
                    name.span,
                    format!("`{}` is {}, not a number", name.text, other.noun()),
                )
                .help("compare a reading or a limit"),
            ),
            None => {
                let known = self.resolver.known_names(|s| matches!(s, Symbol::Limit(_) | Symbol::Indication(_)));
                let problem = super::unknown_name(name, "a reading or limit", known.iter().map(String::as_str));
                self.refuse(problem)
            }
        }
    }

    fn reading(&mut self, name: &Name, id: IndicationId) -> Option<Typed> {
        if self.constant_only {
            return self.refuse(
                Problem::error(
                    "book/not-constant",
                    name.span,
                    format!("`{}` is measured, and a limit is one value", name.text),
                )
                .help("declare a computed reading instead: `reading NAME = …`"),
            );
        }
        let Some(reading) = self.resolver.book.indication(id).reading() else {
            return self.refuse(
                Problem::error(
                    "book/wrong-kind",
                    name.span,
                    format!("`{}` is an observation, not a number", name.text),
                )
                .help(format!("write `{} is ANSWER`", name.text)),
            );
        };
        let (unit, dimension, computed) = (reading.unit, reading.dimension, reading.computed.clone());
        // The outermost reading says how widths join, and with which coverage.
        let asked = reading.root_sum_square.filter(|_| !self.joining);
        let Some(expr) = computed else {
            let words = self.words.clone();
            let slot = self.slot(id, words);
            return Some(Typed { value: Value::Slot(slot), dimension, unit, bare: false, span: name.span });
        };
        if !self.enter(name) {
            return None;
        }
        let before = self.words.len();
        self.words.extend(self.resolver.book.indication(id).needs.iter().copied());
        let was_joining = self.joining;
        self.joining |= asked.is_some();
        let inner = self.part_of_value(&expr);
        self.joining = was_joining;
        self.words.truncate(before);
        self.leave();
        inner.map(|typed| Typed {
            unit: unit.or(typed.unit),
            bare: false,
            span: name.span,
            value: match asked {
                Some(asked) => Value::Joined(Box::new(typed.value), asked, id),
                None => typed.value,
            },
            ..typed
        })
    }

    fn binary(&mut self, operator: Operator, left: &Expr, right: &Expr) -> Option<Typed> {
        let (a, b) = (self.part_of_value(left), self.part_of_value(right));
        let (a, b) = (a?, b?);
        let span = a.span.to(b.span);
        let joined = match operator {
            Operator::Plus => a.dimension.add(b.dimension),
            Operator::Minus => a.dimension.sub(b.dimension),
            Operator::Times => a.dimension.mul(b.dimension),
            Operator::Over => a.dimension.div(b.dimension),
        };
        let dimension = match joined {
            Ok(dimension) => dimension,
            Err(clash) => return self.refuse(clash_problem(&clash, right, &b, &a)),
        };
        let value = match operator {
            Operator::Plus => Value::sum(a.value, b.value),
            Operator::Minus => Value::difference(a.value, b.value),
            Operator::Times => Value::product(a.value, b.value),
            Operator::Over => Value::quotient(a.value, b.value),
        };
        if value.as_constant().is_some_and(Exact::is_unwieldy) {
            let message = "this number has more digits than can be worked with";
            return self.refuse(Problem::error("units/too-large", span, message).help("round it, and write it out"));
        }
        let unit = [a.unit, b.unit].into_iter().flatten().find(|unit| unit.dimension == dimension);
        let unit = unit.or_else(|| if dimension == Dimension::NONE { None } else { Unit::usual(dimension) });
        Some(Typed { value, dimension, unit, bare: false, span })
    }

    fn call(&mut self, name: &Name, arguments: &[Expr], span: Span) -> Option<Typed> {
        let Some(function) = functions::find(&name.text) else {
            let problem = super::unknown_name(name, "a function", functions::names());
            return self.refuse(problem);
        };
        let (mut kinds, mut values) = (Vec::new(), Vec::new());
        for (place, argument) in arguments.iter().enumerate() {
            let word = function.parameters.get(place).is_some_and(|p| p.wants == Wants::Refrigerant);
            match argument {
                Expr::Name(name) if word => {
                    kinds.push(ArgumentKind::Word(name.text.as_str().to_string()));
                    values.push(CallArgument::Word(name.text.as_str().to_string()));
                }
                other => {
                    let typed = self.part_of_value(other)?;
                    kinds.push(ArgumentKind::Value(typed.dimension));
                    values.push(CallArgument::Value(typed.value, typed.dimension));
                }
            }
        }
        let dimension = match function.check(&kinds) {
            Ok(dimension) => dimension,
            Err(problem) => return self.refuse(function_problem(&problem, span)),
        };
        let unit = Unit::usual(dimension);
        if let Some(folded) = constants(&values) {
            // A function of constants is checked at once, and is a constant where one is needed.
            match function.evaluate(&folded, &Surroundings::default()) {
                Err(problem) => return self.refuse(function_problem(&problem, span)),
                Ok(interval) if self.constant_only => {
                    let centre = interval.centre()?;
                    return Some(Typed { value: Value::Constant(centre), dimension, unit, bare: false, span });
                }
                Ok(_) => {}
            }
        }
        Some(Typed { value: Value::Call(function, values), dimension, unit, bare: false, span })
    }

    /// The readings that a sum is made of at last.
    pub(crate) fn leaves(&self, expr: &Expr, found: &mut Vec<IndicationId>) {
        self.leaves_of(expr, &mut BTreeSet::new(), found);
    }

    /// The same; what is in `seen` was looked at already, so that sums built on each other are walked once.
    fn leaves_of(&self, expr: &Expr, seen: &mut BTreeSet<IndicationId>, found: &mut Vec<IndicationId>) {
        match expr {
            Expr::Number(_) => {}
            Expr::Name(name) => {
                let Some(Symbol::Indication(id)) = self.resolver.book.symbol(&name.text) else { return };
                if !seen.insert(id) {
                    return;
                }
                match self.resolver.book.indication(id).reading().and_then(|r| r.computed.as_ref()) {
                    Some(inner) if seen.len() < MOST_SEEN => self.leaves_of(inner, seen, found),
                    Some(_) => {}
                    None if !found.contains(&id) => found.push(id),
                    None => {}
                }
            }
            Expr::Call { arguments, .. } => arguments.iter().for_each(|a| self.leaves_of(a, seen, found)),
            Expr::Negative(inner, _) => self.leaves_of(inner, seen, found),
            Expr::Binary { left, right, .. } => {
                self.leaves_of(left, seen, found);
                self.leaves_of(right, seen, found);
            }
        }
    }
}

fn constants(values: &[CallArgument]) -> Option<Vec<Argument>> {
    let each = values.iter().map(|value| match value {
        CallArgument::Word(word) => Some(Argument::Word(word.clone())),
        CallArgument::Value(value, dimension) => {
            value.as_constant().map(|c| Argument::Value { interval: Interval::point(c.clone()), dimension: *dimension })
        }
    });
    each.collect()
}

fn function_problem(problem: &FunctionProblem, span: Span) -> Problem {
    Problem::error("units/function", span, problem.to_string()).help_if(problem.fix())
}

/// Two quantities that don't go together, at the unit of the right one where it has one.
pub(super) fn clash_problem(clash: &DimensionClash, right: &Expr, b: &Typed, a: &Typed) -> Problem {
    if b.bare {
        return missing_unit(b, a);
    }
    let span = match right {
        Expr::Number(number) => number.unit.as_ref().map_or(number.span, |unit| unit.span),
        other => other.span(),
    };
    Problem::error("units/mismatch", span, clash.explain()).help_if(clash.fix())
}

/// A number without a unit beside one that has one.
pub(super) fn missing_unit(bare: &Typed, beside: &Typed) -> Problem {
    let problem = Problem::error("units/missing", bare.span, "this number has no unit");
    match beside.unit {
        Some(unit) => problem.help(format!("write the unit behind it, for example `{}`", unit.symbol)),
        None => problem.help(format!("write the unit behind it; {} is compared", beside.dimension.a_noun())),
    }
}

/// Words put together, sorted, each once.
pub(super) fn merged(words: &[Term], more: &[Term]) -> Vec<Term> {
    let mut all: Vec<Term> = words.iter().chain(more).copied().collect();
    all.sort_unstable();
    all.dedup();
    all
}
