//! Circuits: the lines of a declaration to elements, readings and faults. Elements come first, so that lines may stand in any order.

mod draft;
mod elements;
mod quantities;
mod readings;

use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::tree::{CircuitLine, Declaration, FieldBody};
use crate::syntax::words::DeclarationWord as D;

use super::super::circuits::{Circuit, ElementKind, Emf, Probe, ProbeAt};
use super::super::ids::{PartId, PointIx, SettingId};
use super::Resolver;

impl<'t> Resolver<'t> {
    pub(super) fn circuits(&mut self) {
        let mut names: Vec<(String, Span)> = Vec::new();
        for declaration in self.of(D::Circuit) {
            if let Some((_, first)) = names.iter().find(|(key, _)| *key == declaration.name.key()) {
                let first = *first;
                self.report(super::names::twice(&declaration.name, first));
                continue;
            }
            names.push((declaration.name.key(), declaration.name.span));
            self.circuit(declaration);
        }
    }

    fn circuit(&mut self, declaration: &'t Declaration) {
        let before = self.problems.len();
        let mut circuit = Circuit {
            name: declaration.name.text.as_str().to_string(),
            points: vec!["ground".into()],
            digest: self.book.digest.part(format!("{:?}|{}", self.book.profile, declaration.name.text)),
            span: declaration.name.span,
            ..Circuit::default()
        };
        let lines: Vec<(&'t CircuitLine, Span)> = declaration
            .fields
            .iter()
            .filter_map(
                |field| if let FieldBody::Circuit(line) = &field.body { Some((&**line, field.span)) } else { None },
            )
            .collect();
        for (line, _) in &lines {
            if let CircuitLine::Element(element) = line {
                self.element(&mut circuit, element);
            }
        }
        let elements_right = !self.has_error_since(before);
        let mut others = None;
        for (line, span) in &lines {
            match line {
                CircuitLine::Element(_) => {}
                // With an element missing every line about it would be reported again.
                _ if !elements_right => {}
                CircuitLine::Across(reading, from, to, with) => {
                    self.across(&mut circuit, reading, (from, to), with.as_ref());
                }
                CircuitLine::Through(reading, element) => self.through(&mut circuit, reading, element),
                CircuitLine::Fault(fault, effect) => self.circuit_fault(&mut circuit, fault, effect, *span),
                CircuitLine::Untouched(faults) => self.untouched(&mut circuit, faults, *span),
                CircuitLine::OthersUntouched => others = Some(*span),
            }
        }
        if let Some(span) = others {
            self.others_untouched(&mut circuit, span);
        }
        if elements_right {
            self.quarrels(&circuit);
            self.grounded(&circuit);
            self.dead_ends(&circuit);
        }
        self.posts(&mut circuit);
        circuit.knows = self.known_settings(&circuit);
        self.book.circuits.push(circuit);
    }

    /// Without a ground every voltage hangs in the air.
    fn grounded(&mut self, circuit: &Circuit) {
        if !circuit.elements.is_empty() && !circuit.touches().contains(&PointIx(0)) {
            let problem = Problem::error(
                "book/no-ground",
                circuit.span,
                format!("nothing in circuit `{}` touches `ground`", circuit.name),
            );
            self.report(
                problem.help("call the battery's minus post `ground`: `battery from ground to battery post, EMF …`"),
            );
        }
    }

    /// A point that one element alone touches is most often a slip of the pen.
    fn dead_ends(&mut self, circuit: &Circuit) {
        let touches = circuit.touches();
        for (place, name) in circuit.points.iter().enumerate().skip(1) {
            let point = PointIx::at(place);
            let probed = circuit.probes.iter().any(
                |probe| matches!(probe.at, ProbeAt::Volts(a, b) | ProbeAt::Loaded(a, b, _) | ProbeAt::Ohms(a, b) if a == point || b == point),
            );
            if probed || touches.iter().filter(|touched| **touched == point).count() != 1 {
                continue;
            }
            let element = circuit.elements.iter().find(|element| element.points().contains(&point));
            let span = element.map_or(circuit.span, |element| element.span);
            let others = circuit.points.iter().filter(|other| *other != name).map(String::as_str);
            let problem =
                Problem::warning("book/dead-end", span, format!("only one element touches the point `{name}`"));
            self.report(
                problem.help(
                    did_you_mean(name, others)
                        .unwrap_or_else(|| "join another element to it, or read something there".into()),
                ),
            );
        }
    }

    /// A battery's own reading is read at its posts, said or not.
    fn posts(&mut self, circuit: &mut Circuit) {
        for element in &circuit.elements {
            let ElementKind::Battery { emf: Emf::Read(reading), share: None, .. } = element.kind else { continue };
            if circuit.probes.iter().all(|probe| probe.reading != reading) {
                let (minus, plus) = element.ends;
                circuit.probes.push(Probe { reading, at: ProbeAt::Volts(plus, minus), span: element.span });
            }
        }
    }

    /// The settings that the circuit names, and the changes that swap a part of it.
    fn known_settings(&self, circuit: &Circuit) -> Vec<SettingId> {
        let mut known: Vec<SettingId> = Vec::new();
        for element in &circuit.elements {
            known.extend(element.switching.terms().map(|term| term.setting));
            if let ElementKind::Load { loads, .. } = &element.kind {
                known.extend(loads.iter().flat_map(|load| &load.setup).map(|term| term.setting));
            }
        }
        let mut parts: Vec<PartId> = circuit.elements.iter().filter_map(|element| element.part).collect();
        parts.extend(circuit.effects.iter().filter_map(|effect| self.book.fault(effect.fault).part));
        let swaps = |id: &SettingId| self.book.setting(*id).swaps.is_some_and(|part| parts.contains(&part));
        known.extend(self.book.setting_ids().filter(swaps));
        known.sort_unstable();
        known.dedup();
        known
    }
}

impl super::super::circuits::Element {
    /// Every point that it touches, once for each of its paths.
    pub fn points(&self) -> Vec<PointIx> {
        let mut points = vec![self.ends.0, self.ends.1];
        if let ElementKind::Relay(relay) = &self.kind {
            points.push(relay.common);
            points.extend(relay.make.into_iter().chain(relay.rest));
        }
        points
    }
}

impl Circuit {
    /// The points of all elements.
    fn touches(&self) -> Vec<PointIx> {
        self.elements.iter().flat_map(super::super::circuits::Element::points).collect()
    }
}
