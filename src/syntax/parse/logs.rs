//! `from "ride.csv" channel 2, time in ms`: a log, and what is told of it.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{LogColumn, LogWords, Value};

use super::{Built, Parts, Rule, Slice, number, text, word};

pub(super) fn log_file<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Value> {
    let mut parts = Parts::inside(slice, pair);
    parts.next();
    let file = text(slice, parts.need()?);
    let mut words = LogWords {
        file,
        channel: None,
        unit: None,
        time: None,
        time_unit: None,
        every: None,
        separator: None,
        comma: None,
        digest: None,
    };
    for part in parts.rest().into_iter().filter(|part| part.as_rule() != Rule::comma) {
        told(slice, part, &mut words)?;
    }
    Ok(Value::Log(Box::new(words)))
}

fn told<'t>(slice: Slice<'t>, part: Pair<'t, Rule>, words: &mut LogWords) -> Built<()> {
    let (rule, span) = (part.as_rule(), slice.of(&part));
    let mut inner = Parts::inside(slice, part);
    inner.next();
    match rule {
        Rule::log_channel => once(&mut words.channel, column(&mut inner)?, span),
        Rule::log_every => once(&mut words.every, inner.number()?, span),
        Rule::log_unit => once(&mut words.unit, word(slice, &inner.need()?), span),
        Rule::log_separator => once(&mut words.separator, text(slice, inner.need()?), span),
        Rule::log_digest => once(&mut words.digest, text(slice, inner.need()?), span),
        Rule::log_decimal => {
            let comma = inner.need()?.as_rule() == Rule::k_comma;
            once(&mut words.comma, (comma, span), span)
        }
        _ => {
            if inner.take(Rule::k_column).is_some() {
                once(&mut words.time, column(&mut inner)?, span)?;
            }
            if inner.take(Rule::k_in).is_some() {
                once(&mut words.time_unit, word(slice, &inner.need()?), span)?;
            }
            Ok(())
        }
    }
}

fn column(parts: &mut Parts<'_>) -> Built<LogColumn> {
    let slice = parts.slice;
    let pair = parts.need()?;
    Ok(if pair.as_rule() == Rule::string {
        LogColumn::Named(text(slice, pair))
    } else {
        LogColumn::Number(number(slice, pair))
    })
}

fn once<T>(place: &mut Option<T>, told: T, span: Span) -> Built<()> {
    if place.is_some() {
        return Err(Problem::error("syntax/told-twice", span, "this is told twice of one log").help("keep one of them"));
    }
    *place = Some(told);
    Ok(())
}
