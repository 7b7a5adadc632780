//! Fields of a declaration: the rule of each shape and the node that it makes.

use pest::iterators::Pair;

use crate::problem::Problem;
use crate::syntax::tree::{AccuracyWords, Band, BandRange, FieldBody, Number, Side};
use crate::syntax::words::Shape;

use super::expressions::sum_expr;
use super::{Built, Parts, Rule, Slice, circuits, conditions, name, number, quick, statements, text, word};

/// The pest rule of a shape; circuits and statements choose theirs by the first words.
fn rule_of(shape: Shape) -> Rule {
    match shape {
        Shape::Nothing => Rule::f_nothing,
        Shape::Text => Rule::f_text,
        Shape::Name => Rule::f_name,
        Shape::Names => Rule::f_names,
        Shape::Items => Rule::f_items,
        Shape::Count => Rule::f_count,
        Shape::FaultsAtOnce => Rule::f_faults_at_once,
        Shape::Revision => Rule::f_revision,
        Shape::Number => Rule::f_number,
        Shape::Range => Rule::f_range,
        Shape::Tolerance => Rule::f_tolerance,
        Shape::Condition => Rule::f_condition,
        Shape::Shows => Rule::f_shows,
        Shape::Unit => Rule::f_unit,
        Shape::Meter => Rule::f_meter,
        Shape::Bands => Rule::f_bands,
        Shape::Value => Rule::f_sum,
        Shape::LimitLine => Rule::f_limit_line,
        Shape::Sentence | Shape::Element | Shape::Statement => Rule::r_rule,
    }
}

pub(super) fn field(slice: Slice<'_>, shape: Shape) -> Built<FieldBody> {
    match quick::field(slice, shape) {
        Some(body) => Ok(body),
        None => by_grammar(slice, shape),
    }
}

/// The same without the shorter way.
pub(super) fn by_grammar(slice: Slice<'_>, shape: Shape) -> Built<FieldBody> {
    match shape {
        Shape::Element => return circuits::line(slice).map(|line| FieldBody::Circuit(Box::new(line))),
        Shape::Statement => {
            return statements::statement(slice).map(|statement| FieldBody::Statement(Box::new(statement)));
        }
        Shape::Sentence => return conditions::sentence(slice.parse(Rule::r_rule)?).map(FieldBody::Sentence),
        _ => {}
    }
    let mut parts = slice.parse(rule_of(shape))?;
    if shape == Shape::Nothing {
        return Ok(FieldBody::Nothing);
    }
    let first = parts.need()?;
    Ok(match shape {
        Shape::Text => FieldBody::Text(text(slice, first)),
        Shape::Revision => FieldBody::Text(revision(slice, first)),
        Shape::Name => FieldBody::Names(vec![name(slice, first)]),
        Shape::Names => FieldBody::Names(conditions::named(slice, first)),
        Shape::Items => items(parts, first)?,
        Shape::Count | Shape::FaultsAtOnce => count(&number(slice, first))?,
        Shape::Number => FieldBody::Number(number(slice, first)),
        Shape::Condition => FieldBody::Condition(conditions::condition(slice, first)?),
        Shape::Unit => FieldBody::Unit(word(slice, &first)),
        Shape::Meter => FieldBody::Accuracy(Box::new(accuracy(slice, first)?)),
        Shape::Value => FieldBody::Value(sum_expr(slice, first)?),
        Shape::Bands => bands(parts, first)?,
        Shape::LimitLine => limit_line(parts, first)?,
        Shape::Shows => shows(parts, first)?,
        Shape::Tolerance => tolerance(parts, first)?,
        _ => range(parts, first)?.0,
    })
}

fn revision<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> crate::syntax::tree::Text {
    if pair.as_rule() == Rule::string {
        return text(slice, pair);
    }
    let word = word(slice, &pair);
    crate::syntax::tree::Text { text: word.text, span: word.span }
}

fn items<'t>(mut parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<FieldBody> {
    let slice = parts.slice;
    let mut items = vec![conditions::setup_item(slice, first)?];
    for part in parts.rest() {
        if part.as_rule() == Rule::needed {
            items.push(conditions::setup_item(slice, part)?);
        }
    }
    Ok(FieldBody::Items(items))
}

fn count(number: &Number) -> Built<FieldBody> {
    number.digits.parse().map(|count| FieldBody::Count(count, number.span)).map_err(|_| {
        Problem::error("syntax/count", number.span, format!("`{}` is too large for a count", number.digits))
            .help("write a small whole number")
    })
}

fn range<'t>(mut parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<(FieldBody, Parts<'t>)> {
    let slice = parts.slice;
    let low = sum_expr(slice, first)?;
    parts.next();
    let high = sum_expr(slice, parts.need()?)?;
    Ok((FieldBody::Range(Box::new((low, high))), parts))
}

fn tolerance<'t>(parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<FieldBody> {
    let slice = parts.slice;
    let (range, mut parts) = range(parts, first)?;
    let FieldBody::Range(ends) = range else { return Ok(range) };
    let setup = match parts.next() {
        Some(pair) => conditions::setup(slice, pair)?,
        None => Vec::new(),
    };
    Ok(FieldBody::Tolerance(ends, setup))
}

fn shows<'t>(mut parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<FieldBody> {
    let slice = parts.slice;
    let condition = conditions::condition(slice, first)?;
    let Some(pair) = parts.take(Rule::chance) else { return Ok(FieldBody::Shows(condition, None)) };
    let mut inner = Parts::inside(slice, pair);
    let span = inner.whole;
    inner.next();
    let of = inner.number()?;
    inner.next();
    let all = inner.number()?;
    match (of.digits.parse(), all.digits.parse()) {
        (Ok(m), Ok(n)) => Ok(FieldBody::Shows(condition, Some((m, n, span)))),
        _ => Err(Problem::error("syntax/count", span, "these counts are too large").help("write `in 8 of 10`")),
    }
}

fn limit_line<'t>(mut parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<FieldBody> {
    let slice = parts.slice;
    let name = name(slice, first);
    parts.next();
    Ok(FieldBody::LimitLine(Box::new((name, sum_expr(slice, parts.need()?)?))))
}

pub(super) fn accuracy<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<AccuracyWords> {
    let mut parts = Parts::inside(slice, pair);
    let mut words = AccuracyWords { span: parts.whole, ..AccuracyWords::default() };
    for part in parts.rest() {
        match part.as_rule() {
            Rule::percent => words.percent = Some(Parts::inside(slice, part).number()?),
            Rule::digits => {
                let mut inner = Parts::inside(slice, part);
                words.count = Some(inner.number()?);
                inner.next();
                inner.next();
                words.digit = Some(inner.number()?);
            }
            Rule::number => words.digit = Some(number(slice, part)),
            _ => {}
        }
    }
    Ok(words)
}

fn bands<'t>(mut parts: Parts<'t>, first: Pair<'t, Rule>) -> Built<FieldBody> {
    let slice = parts.slice;
    let mut bands = vec![band(slice, first)?];
    for part in parts.rest() {
        if part.as_rule() == Rule::band {
            bands.push(band(slice, part)?);
        }
    }
    Ok(FieldBody::Bands(bands))
}

fn band<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Band> {
    let mut parts = Parts::inside(slice, pair);
    let name = parts.name()?;
    let range = parts.need()?;
    let open = range.as_rule() == Rule::band_bound;
    let mut inner = Parts::inside(slice, range);
    let range = if open {
        let side = side(inner.need()?.as_rule());
        BandRange::Open(side, inner.number()?)
    } else {
        let low = inner.number()?;
        inner.next();
        BandRange::Between(low, inner.number()?)
    };
    Ok(Band { name, range })
}

/// The side that a comparison word names.
pub(super) fn side(rule: Rule) -> Side {
    match rule {
        Rule::k_below => Side::Below,
        Rule::k_above => Side::Above,
        Rule::k_at_least => Side::AtLeast,
        _ => Side::AtMost,
    }
}
