//! Lines of a circuit.

use pest::iterators::Pair;

use crate::problem::{Problem, did_you_mean};
use crate::syntax::tree::{CircuitFault, CircuitLine, Element, Name, Property, Spread, TakenWith};
use crate::syntax::words::leading_words;

use super::expressions::sum_expr;
use super::{Built, Parts, Rule, Slice, conditions, name, number};

/// Kinds of elements.
pub(super) const KINDS: &[&str] = &[
    "battery",
    "fuse",
    "wire",
    "connector",
    "switch",
    "pressure switch",
    "relay",
    "lamp",
    "motor",
    "resistor",
    "diode",
];

/// The line that says of every fault not named in the circuit that it leaves it alone.
const OTHERS_UNTOUCHED: &str = "other faults change nothing";

pub(super) fn line(slice: Slice<'_>) -> Built<CircuitLine> {
    let rest =
        |length: usize| Slice { base: slice.base + length, text: slice.text.get(length..).unwrap_or(""), ..slice };
    if let Some(length) = leading_words(slice.text, "reading") {
        return reading(rest(length).parse(Rule::e_reading)?);
    }
    if let Some(length) = leading_words(slice.text, "fault") {
        return fault(rest(length).parse(Rule::e_fault)?);
    }
    if leading_words(slice.text, OTHERS_UNTOUCHED) == Some(slice.text.trim_end().len()) {
        return Ok(CircuitLine::OthersUntouched);
    }
    for kind in KINDS {
        if let Some(length) = leading_words(slice.text, kind) {
            let kind = Name { text: (*kind).into(), span: slice.span(0, length) };
            return element(rest(length).parse(Rule::e_element)?, kind, slice);
        }
    }
    let first = slice.text.split_whitespace().next().unwrap_or("");
    let known = KINDS.iter().copied().chain(["reading", "fault", OTHERS_UNTOUCHED]);
    Err(Problem::error("syntax/element", slice.span(0, first.len()), format!("`{first}` is no element of a circuit"))
        .help(
            did_you_mean(first, known).unwrap_or_else(|| format!("write one of {}, reading, fault", KINDS.join(", "))),
        ))
}

fn reading(mut parts: Parts<'_>) -> Built<CircuitLine> {
    let slice = parts.slice;
    let reading = parts.name()?;
    let across = parts.need()?.as_rule() == Rule::k_across;
    let first = parts.name()?;
    parts.next();
    if across {
        let second = parts.name()?;
        let with = parts.rest().into_iter().find(|part| part.as_rule() == Rule::taken_with);
        let with = with.map(|part| taken_with(slice, part)).transpose()?;
        Ok(CircuitLine::Across(reading, first, second, with))
    } else {
        Ok(CircuitLine::Through(reading, first))
    }
}

fn taken_with<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<TakenWith> {
    let mut parts = Parts::inside(slice, pair);
    let lamp = parts.need()?.as_rule() == Rule::k_test_lamp;
    if lamp {
        let power = spread(slice, parts.need()?)?;
        parts.next();
        return Ok(TakenWith::TestLamp(power, parts.number()?));
    }
    parts.next();
    Ok(TakenWith::LowImpedance(parts.next().map(|part| spread(slice, part)).transpose()?))
}

fn fault(mut parts: Parts<'_>) -> Built<CircuitLine> {
    let slice = parts.slice;
    let fault = parts.name()?;
    let effect = parts.need()?;
    let rule = effect.as_rule();
    if matches!(rule, Rule::comma | Rule::k_changes_nothing) {
        let more = parts.rest().into_iter().filter(|part| part.as_rule() == Rule::el_name);
        return Ok(CircuitLine::Untouched([fault].into_iter().chain(more.map(|part| name(slice, part))).collect()));
    }
    let mut inner = Parts::inside(slice, effect);
    inner.next();
    let effect = match rule {
        Rule::g_opens => CircuitFault::Opens(inner.name()?),
        Rule::g_may_open => CircuitFault::MayOpen(inner.name()?),
        Rule::g_shorts => {
            let from = inner.name()?;
            inner.next();
            CircuitFault::Shorts(from, inner.name()?)
        }
        Rule::g_sticks => sticks(inner.name()?),
        Rule::g_weakens => {
            let element = inner.name()?;
            inner.next();
            let emf = spread(slice, inner.need()?)?;
            let behind = inner.next().map(|pair| after_word(slice, pair)).transpose()?;
            CircuitFault::Weakens(element, emf, behind)
        }
        _ => {
            let spread = spread(slice, inner.need()?)?;
            inner.next();
            let element = inner.name()?;
            if rule == Rule::g_adds { CircuitFault::Adds(spread, element) } else { CircuitFault::Fits(spread, element) }
        }
    };
    Ok(CircuitLine::Fault(fault, effect))
}

/// `sticks K2 open`: the last word says how; a motor just sticks.
pub(super) fn sticks(element: Name) -> CircuitFault {
    let said = element.text.to_lowercase();
    for (word, closed) in [(" open", false), (" closed", true)] {
        if let Some(length) = said.strip_suffix(word).map(str::len) {
            let text = element.text.get(..length).unwrap_or("").trim().into();
            return CircuitFault::Sticks(Name { text, span: element.span }, Some(closed));
        }
    }
    CircuitFault::Sticks(element, None)
}

fn element<'t>(mut parts: Parts<'t>, kind: Name, whole: Slice<'t>) -> Built<CircuitLine> {
    let slice = parts.slice;
    let span = whole.span(0, whole.text.trim_end().len());
    let name = parts.take(Rule::el_name).map(|pair| name(slice, pair));
    let ends = parts.take(Rule::ends_at).map(|pair| ends(slice, pair)).transpose()?;
    let mut properties = Vec::new();
    for pair in parts.rest().into_iter().filter(|p| p.as_rule() == Rule::properties) {
        for property in pair.into_inner().filter(|p| p.as_rule() == Rule::property) {
            properties.push(self::property(slice, property)?);
        }
    }
    Ok(CircuitLine::Element(Element { kind, name, ends, properties, span }))
}

fn ends<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<(Name, Name)> {
    let mut parts = Parts::inside(slice, pair);
    parts.next();
    let from = parts.name()?;
    parts.next();
    Ok((from, parts.name()?))
}

fn after_word<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Spread> {
    let spread_pair = pair.into_inner().find(|p| p.as_rule() == Rule::el_spread);
    spread_pair.map_or_else(|| Err(super::explain::incomplete(slice.span(0, slice.text.len()))), |p| spread(slice, p))
}

fn spread<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Spread> {
    let mut parts = Parts::inside(slice, pair);
    let mut spread = Spread { low: sum_expr(slice, parts.need()?)?, high: None, percent: None };
    for part in parts.rest() {
        match part.as_rule() {
            Rule::sum => spread.high = Some(sum_expr(slice, part)?),
            Rule::percent => spread.percent = Some(Parts::inside(slice, part).number()?),
            _ => {}
        }
    }
    Ok(spread)
}

fn property<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Property> {
    let inner = Parts::inside(slice, pair).need()?;
    let rule = inner.as_rule();
    let mut parts = Parts::inside(slice, inner.clone());
    Ok(match rule {
        Rule::p_emf => emf(slice, inner)?,
        Rule::p_behind => Property::Behind(after_word(slice, inner)?),
        Rule::p_pulls => Property::PullsIn(after_word(slice, inner)?),
        Rule::p_drops => Property::DropsOut(after_word(slice, inner)?),
        Rule::p_driven => Property::Driven(after_word(slice, inner)?),
        Rule::p_coil | Rule::p_contact => {
            let word = parts.need()?;
            let (from, to) = ends(slice, parts.need()?)?;
            let breaks = word.as_str().to_lowercase().starts_with("break");
            if rule == Rule::p_coil { Property::Coil(from, to) } else { Property::Contact(from, to, breaks) }
        }
        Rule::p_opens | Rule::p_closed | Rule::p_open => {
            parts.next();
            let setup = conditions::setup(slice, parts.need()?)?;
            match rule {
                Rule::p_opens => Property::OpensWith(setup),
                Rule::p_closed => Property::ClosedWith(setup),
                _ => Property::OpenWith(setup),
            }
        }
        Rule::p_size => {
            let length = sum_expr(slice, parts.need()?)?;
            parts.next();
            Property::Size(length, parts.number()?)
        }
        Rule::p_load => load(slice, parts)?,
        Rule::p_limit => {
            let most = parts.need()?.as_rule() == Rule::k_at_most;
            Property::Limit(most, sum_expr(slice, parts.need()?)?)
        }
        _ => Property::Value(spread(slice, parts.need()?)?),
    })
}

fn emf<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Property> {
    let whole = pair.clone().into_inner().find(|part| part.as_rule() == Rule::name);
    let spread = after_word(slice, pair)?;
    Ok(match whole {
        Some(whole) => Property::EmfShare(spread, name(slice, whole)),
        None => Property::Emf(spread),
    })
}

fn load<'t>(slice: Slice<'t>, mut parts: Parts<'t>) -> Built<Property> {
    let stalled = parts.take(Rule::k_stalled).is_some();
    parts.take(Rule::k_running);
    let current = spread(slice, parts.need()?)?;
    parts.next();
    let voltage = number(slice, parts.need()?);
    let setup = match parts.next() {
        Some(pair) => conditions::setup(slice, pair)?,
        None => Vec::new(),
    };
    Ok(Property::Load { stalled, current, voltage, setup })
}
