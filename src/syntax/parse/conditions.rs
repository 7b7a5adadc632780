//! Conditions, setups, conclusions.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::syntax::tree::{Atom, Conclusion, Condition, Expr, Name, Odds, Sentence, SetupItem, SignalWord, Test};

use super::expressions::{self, Term, sum_expr};
use super::{Built, Parts, Rule, Slice, name, number};

pub(super) fn condition<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    parts_of(slice, pair, Rule::all, all, Condition::Any)
}

fn all<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    parts_of(slice, pair, Rule::unary, unary, Condition::All)
}

/// One part stands for itself, several are joined.
fn parts_of<'t>(
    slice: Slice<'t>,
    pair: Pair<'t, Rule>,
    rule: Rule,
    part: fn(Slice<'t>, Pair<'t, Rule>) -> Built<Condition>,
    join: fn(Vec<Condition>) -> Condition,
) -> Built<Condition> {
    let mut parts = Vec::new();
    for inner in pair.into_inner().filter(|p| p.as_rule() == rule) {
        parts.push(part(slice, inner)?);
    }
    if parts.len() == 1 { Ok(parts.remove(0)) } else { Ok(join(parts)) }
}

fn unary<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    let mut parts = Parts::inside(slice, pair);
    let whole = parts.whole;
    let mut nots = 0usize;
    while parts.take(Rule::k_not).is_some() {
        nots += 1;
    }
    let inner = atom(slice, parts.need()?)?;
    if nots % 2 == 1 { Ok(Condition::Not(Box::new(inner), whole)) } else { Ok(inner) }
}

fn atom<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    let mut parts = Parts::inside(slice, pair);
    let span = parts.whole;
    let subject = expressions::sum(slice, parts.need()?)?;
    let (mut setup, mut signal, mut asked, mut negated) = (Vec::new(), Vec::new(), None, false);
    for part in parts.rest() {
        match part.as_rule() {
            Rule::test => (asked, negated) = test(slice, part)?,
            Rule::setup => setup = self::setup(slice, part)?,
            Rule::k_ever => signal.push(SignalWord::Ever),
            Rule::k_always => signal.push(SignalWord::Always),
            _ => signal.push(signal_word(slice, part)?),
        }
    }
    match subject {
        Term::Number(subject) => {
            Ok(Condition::Atom(Box::new(Atom { subject, test: asked, negated, setup, signal, span })))
        }
        Term::Condition(condition) if asked.is_none() && signal.is_empty() => Ok(with_setup(condition, setup, span)),
        Term::Condition(condition) => Err(tested_condition(&condition)),
    }
}

fn with_setup(condition: Condition, setup: Vec<SetupItem>, span: crate::source::Span) -> Condition {
    match condition {
        Condition::Group(inner, _, _) => Condition::Group(inner, setup, span),
        other => Condition::Group(Box::new(other), setup, span),
    }
}

fn tested_condition(condition: &Condition) -> Problem {
    Problem::error("syntax/condition-for-number", condition.span(), "a condition in parentheses can't be compared")
        .help("compare inside the parentheses, or join two conditions by `and` or `or`")
}

fn signal_word<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<SignalWord> {
    let rule = pair.as_rule();
    let mut parts = Parts::inside(slice, pair);
    match rule {
        Rule::lasting => {
            parts.next();
            Ok(SignalWord::ForAtLeast(parts.number()?))
        }
        Rule::repeated => Ok(SignalWord::Times(parts.number()?)),
        _ => {
            parts.next();
            let limit = parts.number()?;
            parts.next();
            Ok(SignalWord::Within(limit, Box::new(atom(slice, parts.need()?)?)))
        }
    }
}

/// `test` to what is asked and whether `is not` turned it.
fn test<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<(Option<Test>, bool)> {
    let inner = Parts::inside(slice, pair).need()?;
    if inner.as_rule() == Rule::compare {
        return Ok((Some(compare(slice, inner)?), false));
    }
    let mut parts = Parts::inside(slice, inner);
    parts.next();
    let negated = parts.take(Rule::k_not).is_some();
    let asked = parts.need()?;
    let test = if asked.as_rule() == Rule::compare { compare(slice, asked)? } else { Test::Is(name(slice, asked)) };
    Ok((Some(test), negated))
}

fn compare<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Test> {
    let inner = Parts::inside(slice, pair).need()?;
    match inner.as_rule() {
        Rule::t_below => return Ok(Test::BelowTolerance),
        Rule::t_above => return Ok(Test::AboveTolerance),
        Rule::k_in_tol => return Ok(Test::InTolerance),
        Rule::k_out_tol => return Ok(Test::OutOfTolerance),
        _ => {}
    }
    let rule = inner.as_rule();
    let mut parts = Parts::inside(slice, inner);
    let side = parts.need()?.as_rule();
    let first = sum_expr(slice, parts.need()?)?;
    let mut second = || -> Built<Expr> {
        parts.next();
        sum_expr(slice, parts.need()?)
    };
    Ok(match (rule, side) {
        (Rule::between, _) => Test::Between(first, second()?),
        (Rule::outside, _) => Test::Outside(first, second()?),
        (_, Rule::k_below) => Test::Below(first),
        (_, Rule::k_above) => Test::Above(first),
        (_, Rule::k_at_least) => Test::AtLeast(first),
        _ => Test::AtMost(first),
    })
}

pub(super) fn setup<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Vec<SetupItem>> {
    let mut items: Vec<SetupItem> = Vec::new();
    for part in pair.into_inner().filter(|p| p.as_rule() == Rule::setup_item) {
        items.push(setup_item(slice, part)?);
    }
    Ok(items)
}

/// `setup_item` or `needed`: `[with|without] name [is [not] value]`.
pub(super) fn setup_item<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<SetupItem> {
    let mut parts = Parts::inside(slice, pair);
    let span = parts.whole;
    let mut with = true;
    while let Some(Rule::k_with | Rule::k_without) = parts.peek() {
        with = parts.next().is_some_and(|p| p.as_rule() == Rule::k_with);
    }
    let name = parts.name()?;
    let value = match parts.take(Rule::setup_value) {
        None => None,
        Some(pair) => {
            let mut inner = Parts::inside(slice, pair);
            inner.next();
            let plain = inner.take(Rule::k_not).is_none();
            Some((plain, inner.name()?))
        }
    };
    Ok(SetupItem { name, with, value, span })
}

pub(super) fn sentence(mut parts: Parts<'_>) -> Built<Sentence> {
    let slice = parts.slice;
    let condition = condition(slice, parts.need()?)?;
    let mut conclusions = Vec::new();
    for part in parts.rest() {
        if part.as_rule() == Rule::conclusion {
            conclusions.push(conclusion(slice, part)?);
        }
    }
    Ok(Sentence { condition, conclusions })
}

fn conclusion<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Conclusion> {
    let inner = Parts::inside(slice, pair).need()?;
    let rule = inner.as_rule();
    let mut parts = Parts::inside(slice, inner);
    let span = parts.whole;
    parts.next();
    if rule == Rule::implies {
        return implies(parts, span);
    }
    let faults = named(slice, parts.need()?);
    Ok(match rule {
        Rule::rules_out => Conclusion::RulesOut(faults, span),
        Rule::suggests => Conclusion::Suggests(faults, odds(slice, parts.need()?)?, span),
        _ => Conclusion::SpeaksAgainst(faults, odds(slice, parts.need()?)?, span),
    })
}

fn implies(mut parts: Parts<'_>, span: crate::source::Span) -> Built<Conclusion> {
    let slice = parts.slice;
    let mut one_of = false;
    let mut faults: Vec<Name> = Vec::new();
    for part in parts.rest() {
        match part.as_rule() {
            Rule::name => faults.push(name(slice, part)),
            Rule::k_or => one_of = true,
            _ => {}
        }
    }
    Ok(if one_of { Conclusion::ImpliesOneOf(faults, span) } else { Conclusion::Implies(faults, span) })
}

/// The names of a `names` node.
pub(super) fn named<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Vec<Name> {
    Parts::inside(slice, pair).names()
}

fn odds<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Odds> {
    let mut parts = Parts::inside(slice, pair);
    let above = parts.number()?;
    parts.next();
    let below = number(slice, parts.need()?);
    Ok(Odds { above, below })
}
