//! Sums, products, numbers and calls.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::syntax::tree::{Condition, Expr, Operator};

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

pub(super) fn sum<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Term> {
    joined(slice, pair, product)
}

fn product<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Term> {
    joined(slice, pair, factor)
}

fn joined<'t>(
    slice: Slice<'t>,
    pair: Pair<'t, Rule>,
    part: fn(Slice<'t>, Pair<'t, Rule>) -> Built<Term>,
) -> Built<Term> {
    let mut parts = Parts::inside(slice, pair);
    let mut left = part(slice, parts.need()?)?;
    while let Some(sign) = parts.next() {
        let operator = match sign.as_rule() {
            Rule::plus => Operator::Plus,
            Rule::minus => Operator::Minus,
            Rule::times => Operator::Times,
            _ => Operator::Over,
        };
        let right = part(slice, parts.need()?)?.number()?;
        left = Term::Number(Expr::Binary { operator, left: Box::new(left.number()?), right: Box::new(right) });
    }
    Ok(left)
}

fn factor<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Term> {
    let whole = slice.of(&pair);
    let mut parts = Parts::inside(slice, pair);
    let mut minus = 0usize;
    while parts.take(Rule::minus).is_some() {
        minus += 1;
    }
    let inner = parts.need()?;
    let term = match inner.as_rule() {
        Rule::number => Term::Number(Expr::Number(number(slice, inner))),
        Rule::name => Term::Number(Expr::Name(name(slice, inner))),
        Rule::call => Term::Number(call(slice, inner)?),
        _ => group(slice, inner)?,
    };
    if minus % 2 == 0 {
        return Ok(term);
    }
    match term {
        Term::Number(Expr::Number(mut number)) => {
            number.digits = format!("-{}", number.digits).into();
            number.span = whole;
            Ok(Term::Number(Expr::Number(number)))
        }
        term => Ok(Term::Number(Expr::Negative(Box::new(term.number()?), whole))),
    }
}

fn call<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Expr> {
    let mut parts = Parts::inside(slice, pair);
    let span = parts.whole;
    let name = parts.name()?;
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
    let inner = parts.rest().into_iter().find(|p| p.as_rule() == Rule::condition).ok_or_else(|| explain::incomplete(whole))?;
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
