//! Conditions, setups, conclusions.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::syntax::tree::{Atom, Conclusion, Condition, Expr, Name, Odds, Sentence, SetupItem, SignalWord, Test};

use super::expressions::{self, Term, sum_expr};
use super::{Built, Parts, Rule, Slice, name, number};

/// Atoms joined by `and` and `or`; `and` binds before `or`.
pub(super) fn condition<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    let mut parts = Parts::inside(slice, pair);
    let mut any: Vec<Condition> = Vec::new();
    let mut all: Vec<Condition> = Vec::new();
    loop {
        all.push(part(slice, &mut parts)?);
        match parts.next().map(|joiner| joiner.as_rule()) {
            Some(Rule::k_and) => {}
            Some(_) => any.push(join(std::mem::take(&mut all), Condition::All)),
            None => break,
        }
    }
    any.push(join(all, Condition::All));
    Ok(join(any, Condition::Any))
}

/// One part stands for itself, several are joined.
pub(super) fn join(mut parts: Vec<Condition>, join: fn(Vec<Condition>) -> Condition) -> Condition {
    if parts.len() == 1 { parts.remove(0) } else { join(parts) }
}

/// An atom with the `not`s before it.
fn part<'t>(slice: Slice<'t>, parts: &mut Parts<'t>) -> Built<Condition> {
    let mut nots = 0usize;
    let mut start = None;
    while let Some(word) = parts.take(Rule::k_not) {
        start = start.or(Some(slice.of(&word)));
        nots += 1;
    }
    let inner = atom(slice, parts.need()?)?;
    let whole = start.map_or(inner.span(), |start| start.to(inner.span()));
    if nots % 2 == 1 { Ok(Condition::Not(Box::new(inner), whole)) } else { Ok(inner) }
}

fn atom<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Condition> {
    let mut parts = Parts::inside(slice, pair);
    let span = parts.whole;
    let subject = expressions::sum(slice, parts.need()?)?;
    let (mut setup, mut signal, mut asked, mut negated) = (Vec::new(), Vec::new(), None, false);
    while let Some(part) = parts.next() {
        match part.as_rule() {
            Rule::k_is => {}
            Rule::k_not => negated = true,
            Rule::setup => setup = self::setup(slice, part)?,
            Rule::k_ever => signal.push(SignalWord::Ever),
            Rule::k_always => signal.push(SignalWord::Always),
            Rule::lasting | Rule::repeated | Rule::soon => signal.push(signal_word(slice, part)?),
            Rule::name => asked = Some(Test::Is(name(slice, part))),
            _ => asked = Some(compare(slice, part)?),
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

/// One comparison.
fn compare<'t>(slice: Slice<'t>, inner: Pair<'t, Rule>) -> Built<Test> {
    match inner.as_rule() {
        Rule::k_in_tol => return Ok(Test::InTolerance),
        Rule::k_out_tol => return Ok(Test::OutOfTolerance),
        _ => {}
    }
    let rule = inner.as_rule();
    let mut parts = Parts::inside(slice, inner);
    let side = parts.need()?.as_rule();
    if let Some(word) = parts.take(Rule::k_tolerance) {
        return tolerance_side(side, slice.of(&word));
    }
    let first = sum_expr(slice, parts.need()?)?;
    let mut second = || -> Built<Expr> {
        parts.next();
        sum_expr(slice, parts.need()?)
    };
    Ok(match (rule, side) {
        (Rule::between, _) => Test::Between(Box::new((first, second()?))),
        (Rule::outside, _) => Test::Outside(Box::new((first, second()?))),
        (_, Rule::k_below) => Test::Below(first),
        (_, Rule::k_above) => Test::Above(first),
        (_, Rule::k_at_least) => Test::AtLeast(first),
        _ => Test::AtMost(first),
    })
}

/// `below tolerance`, `above tolerance`.
fn tolerance_side(side: Rule, span: crate::source::Span) -> Built<Test> {
    match side {
        Rule::k_below => Ok(Test::BelowTolerance),
        Rule::k_above => Ok(Test::AboveTolerance),
        _ => Err(Problem::error("syntax/unexpected", span, "`tolerance` follows `below`, `above`, `in` or `out of`")
            .help("write `in tolerance`, `out of tolerance`, `below tolerance` or `above tolerance`")),
    }
}

pub(super) fn setup<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Vec<SetupItem>> {
    let mut items: Vec<SetupItem> = Vec::new();
    for part in pair.into_inner().filter(|p| p.as_rule() != Rule::comma) {
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
        Rule::suggests => Conclusion::Suggests(faults, Box::new(odds(slice, parts.need()?)?), span),
        _ => Conclusion::SpeaksAgainst(faults, Box::new(odds(slice, parts.need()?)?), span),
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
