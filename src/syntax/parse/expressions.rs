//! Sums, products, numbers and calls.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::syntax::tree::{Condition, Expr, Name, Operator};

use super::{Built, Parts, Rule, Slice, conditions, explain, name, number};

/// What a parenthesis or bare term turned out to be: the grammar can't tell, the words inside can.
pub(super) enum Term {
    /// A number.
    Number(Expr),
    /// A condition in parentheses.
    Condition(Condition),
}

impl Term {
    pub(super) fn number(self) -> Built<Expr> {
        match self {
            Term::Number(expr) => Ok(expr),
            Term::Condition(condition) => Err(condition_for_number(&condition)),
        }
    }
}

fn condition_for_number(condition: &Condition) -> Problem {
    Problem::error("syntax/condition-for-number", condition.span(), "a condition stands where a number is needed")
        .help("compare the number itself, such as `(supply - load) below 0.5 V`")
}

pub(super) fn sum_expr<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Expr> {
    sum(slice, pair)?.number()
}

/// Values and what joins them, left to right; `*` and `/` bind before `+` and `-`.
pub(super) fn sum<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Term> {
    let mut parts = Parts::inside(slice, pair);
    let mut product = value_of(slice, &mut parts)?;
    let mut waiting: Option<(Expr, Operator)> = None;
    let mut terms = 1usize;
    while let Some(sign) = parts.next() {
        terms += 1;
        if terms > MOST_TERMS {
            return Err(too_long(slice.of(&sign)));
        }
        let operator = match sign.as_rule() {
            Rule::plus => Operator::Plus,
            Rule::minus => Operator::Minus,
            Rule::times => Operator::Times,
            _ => Operator::Over,
        };
        let left = product.number()?;
        if matches!(operator, Operator::Times | Operator::Over) {
            product = Term::Number(binary(operator, left, value_of(slice, &mut parts)?.number()?));
        } else {
            waiting = Some((joined(waiting, left), operator));
            product = value_of(slice, &mut parts)?;
        }
    }
    match waiting {
        None => Ok(product),
        waiting => Ok(Term::Number(joined(waiting, product.number()?))),
    }
}

/// Sums longer than this are refused: no one reads them, and trees are walked by recursion.
const MOST_TERMS: usize = 256;

fn too_long(span: crate::source::Span) -> Problem {
    Problem::error("syntax/too-deep", span, format!("this sum has more than {MOST_TERMS} terms"))
        .help("give parts of it a name as computed readings")
}

pub(super) fn binary(operator: Operator, left: Expr, right: Expr) -> Expr {
    Expr::Binary { operator, left: Box::new(left), right: Box::new(right) }
}

pub(super) fn joined(waiting: Option<(Expr, Operator)>, right: Expr) -> Expr {
    match waiting {
        Some((left, operator)) => binary(operator, left, right),
        None => right,
    }
}

/// One value with the minus signs before it.
fn value_of<'t>(slice: Slice<'t>, parts: &mut Parts<'t>) -> Built<Term> {
    let mut minus = 0usize;
    let mut start = None;
    while let Some(sign) = parts.take(Rule::minus) {
        start = start.or(Some(slice.of(&sign)));
        minus += 1;
    }
    let inner = parts.need()?;
    let span = slice.of(&inner);
    let term = match inner.as_rule() {
        Rule::number => Term::Number(Expr::Number(number(slice, inner))),
        Rule::name => {
            let name = name(slice, inner);
            match parts.take(Rule::arguments) {
                Some(arguments) => Term::Number(call(slice, name, arguments)?),
                None => Term::Number(Expr::Name(name)),
            }
        }
        _ => group(slice, inner)?,
    };
    if minus.is_multiple_of(2) {
        return Ok(term);
    }
    let whole = start.map_or(span, |start| start.to(span));
    match term {
        Term::Number(Expr::Number(mut number)) => {
            number.digits = format!("-{}", number.digits).into();
            number.span = whole;
            Ok(Term::Number(Expr::Number(number)))
        }
        term => Ok(Term::Number(Expr::Negative(Box::new(term.number()?), whole))),
    }
}

fn call<'t>(slice: Slice<'t>, name: Name, pair: Pair<'t, Rule>) -> Built<Expr> {
    let mut parts = Parts::inside(slice, pair);
    let span = name.span.to(parts.whole);
    let mut arguments = Vec::new();
    for part in parts.rest() {
        if part.as_rule() == Rule::sum {
            arguments.push(sum_expr(slice, part)?);
        }
    }
    Ok(Expr::Call { name, arguments, span })
}

/// Parentheses: a number if all that stands in them is one bare sum, a condition otherwise.
fn group<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Term> {
    let mut parts = Parts::inside(slice, pair);
    let whole = parts.whole;
    let inner =
        parts.rest().into_iter().find(|p| p.as_rule() == Rule::condition).ok_or_else(|| explain::incomplete(whole))?;
    match conditions::condition(slice, inner)? {
        Condition::Atom(atom) if atom.test.is_none() && atom.setup.is_empty() && atom.signal.is_empty() => {
            match atom.subject {
                // A lone name may be a finding or observation: the caller decides by what follows.
                subject @ Expr::Name(_) => Ok(Term::Number(subject)),
                subject => Ok(Term::Number(subject)),
            }
        }
        condition => Ok(Term::Condition(Condition::Group(Box::new(condition), Vec::new(), whole))),
    }
}
