//! Readings of a circuit and what faults do to it.

use crate::problem::{Problem, did_you_mean};
use crate::syntax::tree::{CircuitFault, Name, Spread, TakenWith, fold, is_alike};
use crate::units::Dimension;

use super::super::super::circuits::{
    Circuit, Does, Effect, ElementKind, Emf, Load, MeterOhms, Probe, ProbeAt, Spot, Stuck,
};
use super::super::super::ids::{ElementIx, FaultId, IndicationId, PointIx};
use super::super::super::names::Symbol;
use super::super::Resolver;
use crate::source::Span;

impl Resolver<'_> {
    /// `reading Q across A and B`
    pub(super) fn across(
        &mut self,
        circuit: &mut Circuit,
        reading: &Name,
        (from, to): (&Name, &Name),
        with: Option<&TakenWith>,
    ) {
        let Ok(load) = with.map(|with| self.load_of(with).ok_or(())).transpose() else { return };
        let points = (self.point(circuit, from), self.point(circuit, to));
        let found = self.measured(reading);
        let ((Some(plus), Some(minus)), Some((id, dimension))) = (points, found) else { return };
        let at = match dimension {
            Dimension::VOLTAGE => load.map_or(ProbeAt::Volts(plus, minus), |load| ProbeAt::Loaded(plus, minus, load)),
            Dimension::RESISTANCE if load.is_some() => {
                let message =
                    format!("`{}` is a resistance; a test lamp or low-impedance meter takes volts", reading.text);
                self.report(Problem::error("book/probe", reading.span, message).help("leave the instrument out"));
                return;
            }
            Dimension::RESISTANCE => ProbeAt::Ohms(plus, minus),
            other => {
                let message = format!("`{}` is {}; across two points lie volts or ohms", reading.text, other.a_noun());
                self.report(
                    Problem::error("book/probe", reading.span, message).help("write `through ELEMENT` for a current"),
                );
                return;
            }
        };
        if plus == minus {
            let problem = Problem::error("book/same-ends", from.span.to(to.span), "both probes are on one point");
            self.report(problem.help("name two different points"));
            return;
        }
        self.probe(circuit, Probe { reading: id, at, span: reading.span.to(to.span) });
    }

    /// What an instrument loads the circuit with.
    fn load_of(&mut self, with: &TakenWith) -> Option<MeterOhms> {
        Some(match with {
            TakenWith::LowImpedance(None) => MeterOhms::LOW_IMPEDANCE,
            TakenWith::LowImpedance(Some(ohms)) => {
                MeterOhms::around(&self.quantity(ohms, &[Dimension::RESISTANCE])?.quantity)
            }
            TakenWith::TestLamp(power, volts) => {
                let (power, volts) = (self.taken(power), self.one(volts, Dimension::VOLTAGE));
                MeterOhms::of_lamp(&power?, &volts?)
            }
        })
    }

    /// `reading Q through E`
    pub(super) fn through(&mut self, circuit: &mut Circuit, reading: &Name, element: &Name) {
        let (spot, found) = (self.spot(circuit, element), self.measured(reading));
        let (Some(spot), Some((id, dimension))) = (spot, found) else { return };
        if dimension != Dimension::CURRENT {
            let message = format!("`{}` is {}; through an element flows a current", reading.text, dimension.a_noun());
            self.report(
                Problem::error("book/probe", reading.span, message)
                    .help("write `across POINT and POINT` for volts or ohms"),
            );
            return;
        }
        self.probe(circuit, Probe { reading: id, at: ProbeAt::Amperes(spot), span: reading.span.to(element.span) });
    }

    fn probe(&mut self, circuit: &mut Circuit, probe: Probe) {
        if let Some(first) = circuit.probes.iter().find(|other| other.reading == probe.reading) {
            let message =
                format!("`{}` is read at two places of this circuit", self.book.indication(probe.reading).name);
            let problem = Problem::error("book/probe-twice", probe.span, message).also(first.span, "here first");
            self.report(problem.help("declare a reading of its own for the second place"));
            return;
        }
        if let Some(battery) = circuit.elsewhere(&probe) {
            let name = self.book.indication(probe.reading).name.clone();
            let message = format!("`{name}` is the EMF of `{battery}`, so it is read at its posts");
            let problem = Problem::error("book/probe", probe.span, message);
            self.report(problem.help("leave this line out, or declare a reading of its own for this place"));
            return;
        }
        circuit.probes.push(probe);
    }

    /// A reading that is entered itself, with what it measures.
    fn measured(&mut self, name: &Name) -> Option<(IndicationId, Dimension)> {
        let refused = match self.book.symbol(&name.text) {
            Some(Symbol::Indication(id)) => match self.book.indication(id).reading() {
                Some(reading) if reading.computed.is_none() => return Some((id, reading.dimension)),
                Some(_) => format!("`{}` is computed, not measured", name.text),
                None => format!("`{}` is an observation, not a number", name.text),
            },
            Some(other) => format!("`{}` is {}, not a reading", name.text, other.noun()),
            None => {
                let readings = self.book.indications.iter().filter(|indication| indication.reading().is_some());
                let names: Vec<String> = readings.map(|indication| indication.name.clone()).collect();
                let problem = self.unknown(name, "a reading", names.iter().map(String::as_str));
                self.report(problem);
                return None;
            }
        };
        self.report(
            Problem::error("book/wrong-kind", name.span, refused)
                .help("a circuit foretells readings that are entered themselves"),
        );
        None
    }

    fn point(&mut self, circuit: &Circuit, name: &Name) -> Option<PointIx> {
        let found = circuit.find_point(&name.text);
        if found.is_none() {
            let problem = Problem::error(
                "book/no-point",
                name.span,
                format!("no element of this circuit touches a point `{}`", name.text),
            );
            let help = match circuit.find_element(&name.text) {
                Some(_) => Some("that is an element; name one of its two points".to_string()),
                None => did_you_mean(&name.text, circuit.points.iter().map(String::as_str)),
            };
            self.report(problem.help(help.unwrap_or_else(|| "name a point that stands after a `from` or `to`".into())));
        }
        found
    }

    /// An element, or `K2 coil`, `K2 contact`.
    fn spot(&mut self, circuit: &Circuit, name: &Name) -> Option<Spot> {
        let found = circuit.find_spot(&name.text);
        if found.is_none() {
            let problem =
                Problem::error("book/no-element", name.span, format!("this circuit has no element `{}`", name.text));
            let help = match circuit.find_point(&name.text) {
                Some(_) => Some("that is a point; name the element beside it".to_string()),
                None => circuit.nearest_element(&name.text),
            };
            self.report(
                problem.help(help.unwrap_or_else(|| "name an element that is declared in this circuit".into())),
            );
        }
        found
    }

    /// `fault F …`
    pub(super) fn circuit_fault(&mut self, circuit: &mut Circuit, fault: &Name, effect: &CircuitFault, span: Span) {
        let faults = self.fault_ids(std::slice::from_ref(fault));
        let does = self.does(circuit, effect);
        let ([fault], Some(does)) = (faults.as_slice(), does) else { return };
        circuit.effects.push(Effect { fault: *fault, does, span });
    }

    /// `fault F, G changes nothing`
    pub(super) fn untouched(&mut self, circuit: &mut Circuit, faults: &[Name], span: Span) {
        let ids = self.fault_ids(faults);
        circuit.effects.extend(ids.into_iter().map(|fault| Effect { fault, does: Does::Nothing, span }));
    }

    /// `other faults change nothing`
    pub(super) fn others_untouched(&mut self, circuit: &mut Circuit, span: Span) {
        let named = circuit.faults();
        let others = (0..self.book.faults.len()).map(FaultId::at).filter(|fault| !named.contains(fault));
        circuit.effects.extend(others.map(|fault| Effect { fault, does: Does::Nothing, span }));
    }

    /// A fault can't both change nothing and do something.
    pub(super) fn quarrels(&mut self, circuit: &Circuit) {
        let nothing = circuit.effects.iter().filter(|effect| effect.does == Does::Nothing);
        for effect in nothing {
            let other = circuit.effects.iter().find(|other| other.fault == effect.fault && other.does != Does::Nothing);
            if let Some(other) = other {
                let name = &self.book.fault(effect.fault).name;
                let message = format!("`{name}` changes nothing here, and elsewhere in this circuit it does something");
                let problem = Problem::error("book/circuit-fault", effect.span, message);
                self.report(problem.also(other.span, "it does something here").help("take it out of one of the two"));
            }
        }
    }

    fn does(&mut self, circuit: &Circuit, effect: &CircuitFault) -> Option<Does> {
        match effect {
            CircuitFault::Opens(name) => self.spot(circuit, name).map(Does::Opens),
            CircuitFault::MayOpen(name) => match self.spot(circuit, name)? {
                Spot::Main(element) => Some(Does::MayOpen(element)),
                Spot::Coil(_) => self.cannot(name, "is but a part of a relay", "name the whole element"),
            },
            CircuitFault::Shorts(from, to) => {
                let (one, other) = (self.point(circuit, from), self.point(circuit, to));
                let (one, other) = (one?, other?);
                if one == other {
                    return self.cannot(from, "is one point", "name the two points that touch");
                }
                Some(Does::Shorts(one, other))
            }
            CircuitFault::Adds(spread, name) => {
                let (ohms, spot) = (self.quantity(spread, &[Dimension::RESISTANCE]), self.spot(circuit, name));
                Some(Does::Adds(spot?, ohms?.quantity))
            }
            CircuitFault::Sticks(name, closed) => self.sticks(circuit, name, *closed),
            CircuitFault::Weakens(name, emf, behind) => {
                let spot = self.spot(circuit, name);
                let volts = self.quantity(emf, &[Dimension::VOLTAGE]);
                let ohms = behind.as_ref().map(|spread| self.quantity(spread, &[Dimension::RESISTANCE]));
                let (Spot::Main(at), volts) = (spot?, volts?) else {
                    return self.cannot(name, "is no battery", "name the battery");
                };
                match circuit.kind(at) {
                    Some(ElementKind::Battery { .. }) => Some(Does::Weakens(
                        at,
                        volts.quantity,
                        ohms.map_or(Some(None), |o| o.map(|o| Some(o.quantity)))?,
                    )),
                    _ => self.cannot(name, "is no battery", "name the battery"),
                }
            }
            CircuitFault::Fits(spread, name) => self.fits(circuit, spread, name),
        }
    }

    fn sticks(&mut self, circuit: &Circuit, name: &Name, closed: Option<bool>) -> Option<Does> {
        let at = self.spot(circuit, name)?.element();
        let stalls = |loads: &[Load]| loads.iter().any(|load| load.stalled);
        match (circuit.kind(at)?, closed) {
            (ElementKind::Load { loads, .. }, None) if stalls(loads) => Some(Does::Sticks(at, Stuck::Fast)),
            (ElementKind::Load { .. }, None) => {
                self.cannot(name, "has no stalled current", "add `stalled 30 A to 45 A at 26 V` to it")
            }
            (ElementKind::Switch { .. } | ElementKind::Relay(_), Some(false)) => Some(Does::Sticks(at, Stuck::Open)),
            (ElementKind::Switch { .. } | ElementKind::Relay(_) | ElementKind::Fuse { .. }, Some(true)) => {
                Some(Does::Sticks(at, Stuck::Closed))
            }
            (ElementKind::Switch { .. } | ElementKind::Relay(_), None) => self.cannot(
                name,
                "sticks in one of two ways",
                &format!("write `sticks {0} open` or `sticks {0} closed`", name.text),
            ),
            _ => self.cannot(
                name,
                "can't stick that way",
                "a switch or relay sticks open or closed, a motor just sticks; write `opens …` for a break",
            ),
        }
    }

    /// `fits 30 A at F3`: another fuse, another load, another resistance.
    fn fits(&mut self, circuit: &Circuit, spread: &Spread, name: &Name) -> Option<Does> {
        let wanted = [Dimension::CURRENT, Dimension::RESISTANCE, Dimension::POWER];
        let (value, spot) = (self.quantity(spread, &wanted), self.spot(circuit, name));
        let (value, spot) = (value?, spot?);
        match (circuit.kind(spot.element())?, value.dimension) {
            (ElementKind::Battery { .. }, _) => self.cannot(name, "is a battery", "write `weakens BATTERY to … V`"),
            (_, Dimension::RESISTANCE) => Some(Does::Becomes(spot, value.quantity)),
            (ElementKind::Fuse { .. }, Dimension::CURRENT)
                if !value.quantity.ranged && !value.quantity.nominal.is_zero() =>
            {
                Some(Does::Rates(spot.element(), value.quantity.nominal))
            }
            (ElementKind::Load { .. }, _) => self.taken(spread).map(|taken| Does::Takes(spot.element(), taken)),
            _ => self.cannot(
                name,
                "can't take that",
                "a fuse takes one rating, a motor or lamp a current or power, anything else a resistance",
            ),
        }
    }

    fn cannot<T>(&mut self, name: &Name, what: &str, fix: &str) -> Option<T> {
        self.report(Problem::error("book/circuit-fault", name.span, format!("`{}` {what}", name.text)).help(fix));
        None
    }
}

impl Circuit {
    fn kind(&self, element: ElementIx) -> Option<&ElementKind> {
        self.element(element).map(|element| &element.kind)
    }

    fn find_element(&self, name: &str) -> Option<ElementIx> {
        self.elements.iter().position(|element| is_alike(&element.name, name)).map(ElementIx::at)
    }

    fn find_spot(&self, name: &str) -> Option<Spot> {
        if let Some(element) = self.find_element(name) {
            return Some(Spot::Main(element));
        }
        let folded = fold(name);
        let relay = |end: &str| {
            let element = folded.strip_suffix(end).and_then(|relay| self.find_element(relay))?;
            matches!(self.kind(element), Some(ElementKind::Relay(_))).then_some(element)
        };
        relay(" coil").map(Spot::Coil).or_else(|| relay(" contact").map(Spot::Main))
    }

    /// The battery whose EMF this probe reads elsewhere than at its posts.
    fn elsewhere(&self, probe: &Probe) -> Option<&str> {
        let battery = self.elements.iter().find(|element| {
            matches!(&element.kind, ElementKind::Battery { emf: Emf::Read(reading), share: None, .. } if *reading == probe.reading)
        })?;
        let (minus, plus) = battery.ends;
        (probe.at != ProbeAt::Volts(plus, minus)).then_some(battery.name.as_str())
    }
}
