//! The places of a circuit's lines.

use super::{Role, See, Seen, expr, name, number, place, setup};
use crate::source::Span;
use crate::syntax::tree::{CircuitFault, CircuitLine, Element, Property, Spread, TakenWith};

pub(super) fn line(line: &mut CircuitLine, see: &mut See<'_>) {
    match line {
        CircuitLine::Element(element) => self::element(element, see),
        CircuitLine::Across(reading, from, to, with) => {
            name(reading, Role::Element, see);
            name(from, Role::Point, see);
            name(to, Role::Point, see);
            match with {
                Some(TakenWith::LowImpedance(Some(ohms))) => spread(ohms, see),
                Some(TakenWith::TestLamp(power, volts)) => {
                    spread(power, see);
                    number(volts, see);
                }
                Some(TakenWith::LowImpedance(None)) | None => {}
            }
        }
        CircuitLine::Through(reading, element) => {
            name(reading, Role::Element, see);
            name(element, Role::Point, see);
        }
        CircuitLine::Fault(fault, effect) => {
            name(fault, Role::Element, see);
            self::effect(effect, see);
        }
        CircuitLine::OthersUntouched => {}
        CircuitLine::Untouched(faults) => faults.iter_mut().for_each(|fault| name(fault, Role::Element, see)),
    }
}

fn effect(effect: &mut CircuitFault, see: &mut See<'_>) {
    match effect {
        CircuitFault::Opens(element) | CircuitFault::MayOpen(element) => name(element, Role::Point, see),
        CircuitFault::Shorts(from, to) => {
            name(from, Role::Point, see);
            name(to, Role::Point, see);
        }
        CircuitFault::Adds(value, element) | CircuitFault::Fits(value, element) => {
            spread(value, see);
            name(element, Role::Point, see);
        }
        CircuitFault::Sticks(element, _) => name(element, Role::Sticking, see),
        CircuitFault::Weakens(element, emf, behind) => {
            name(element, Role::Point, see);
            spread(emf, see);
            if let Some(behind) = behind {
                spread(behind, see);
            }
        }
    }
}

fn element(element: &mut Element, see: &mut See<'_>) {
    let Element { kind, name: own, ends, properties, span } = element;
    place(span, see);
    name(kind, Role::Kind, see);
    if let Some(own) = own {
        name(own, Role::Element, see);
    }
    if let Some((from, to)) = ends {
        name(from, Role::Point, see);
        name(to, Role::Point, see);
    }
    properties.iter_mut().for_each(|one| property(one, see));
}

fn property(property: &mut Property, see: &mut See<'_>) {
    match property {
        Property::Emf(value)
        | Property::Behind(value)
        | Property::PullsIn(value)
        | Property::DropsOut(value)
        | Property::Driven(value)
        | Property::Value(value) => spread(value, see),
        Property::EmfShare(share, reading) => {
            spread(share, see);
            name(reading, Role::Name, see);
        }
        Property::Coil(from, to) | Property::Contact(from, to, _) => {
            name(from, Role::Point, see);
            name(to, Role::Point, see);
        }
        Property::OpensWith(items) | Property::ClosedWith(items) | Property::OpenWith(items) => setup(items, see),
        Property::Size(length, section) => {
            expr(length, see);
            number(section, see);
        }
        Property::Load { stalled: _, current, voltage, setup: items } => {
            spread(current, see);
            number(voltage, see);
            setup(items, see);
        }
        Property::Limit(_, bound) => expr(bound, see),
    }
}

fn spread(spread: &mut Spread, see: &mut See<'_>) {
    let Spread { low, high, percent } = spread;
    if let Some(percent) = percent {
        let mut between = Span { start: low.span().end, end: percent.span.start, ..percent.span };
        see(Seen { role: Role::PlusMinus, words: "", span: &mut between });
        number(percent, see);
    }
    expr(low, see);
    if let Some(high) = high {
        expr(high, see);
    }
}
