//! Elements of a circuit: what each kind takes of what is said of it.

use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::tree::{self, is_alike};
use crate::units::Dimension;

use super::super::super::circuits::{Circuit, Element, ElementKind, Ohms, Quantity, RelayWords};
use super::super::super::ids::{PartId, PointIx};
use super::super::Resolver;
use super::draft::{Beside, Draft};

impl Resolver<'_> {
    /// Adds an element to a circuit, unless something of it is reported as wrong.
    pub(super) fn element(&mut self, circuit: &mut Circuit, words: &tree::Element) {
        let draft = self.draft(&words.properties);
        let named = words.name.as_ref().unwrap_or(&words.kind);
        if let Some(first) = circuit.elements.iter().find(|element| is_alike(&element.name, &named.text)) {
            let message = format!("two elements of this circuit are called `{}`", named.text);
            let problem = Problem::error("book/name-twice", named.span, message).also(first.span, "here first");
            self.report(problem.help("give one of them a name of its own behind its kind"));
            return;
        }
        // The points are taken even where the rest is wrong, so that one slip isn't reported twice.
        let ends = words.ends.as_ref().map(|(from, to)| (circuit.take_point(from), circuit.take_point(to)));
        let Some(mut draft) = draft else { return };
        let switching = std::mem::take(&mut draft.switching);
        let kind = if &*words.kind.text == "relay" {
            self.relay(circuit, words, &mut draft)
        } else if ends.is_none() {
            self.lacks(words.kind.span, &format!("this {}", words.kind.text), "where it goes", "`from POINT to POINT`")
        } else {
            self.kind(words, &mut draft, switching.closed.len() + switching.open.len())
        };
        let Some(kind) = kind else { return };
        if !self.nothing_left(words, draft) {
            return;
        }
        let ends = match &kind {
            ElementKind::Relay(relay) => Some(relay.coil),
            _ => ends,
        };
        let Some(ends) = ends.filter(|ends| self.apart(*ends, words)) else { return };
        let name = named.text.as_str().to_string();
        let part = self.book.parts.iter().position(|part| is_alike(&part.name, &name)).map(PartId::at);
        circuit.elements.push(Element {
            word: words.kind.text.as_str().to_string(),
            name,
            kind,
            ends,
            switching,
            part,
            span: words.span,
        });
    }

    fn kind(&mut self, words: &tree::Element, draft: &mut Draft, switched: usize) -> Option<ElementKind> {
        let span = words.kind.span;
        let ohms = |draft: &mut Draft| draft.value(Dimension::RESISTANCE, Beside::Element);
        Some(match &*words.kind.text {
            "battery" => {
                let emf = match draft.emf.take() {
                    Some((emf, _)) => emf,
                    None => {
                        return self.lacks(
                            span,
                            "this battery",
                            "its voltage",
                            "`EMF battery voltage` or `EMF 25.0 V to 25.6 V`",
                        );
                    }
                };
                ElementKind::Battery {
                    emf,
                    share: draft.share.take().map(Box::new),
                    internal: quantity(draft.behind.take()),
                    duty: quantity(draft.duty.take()),
                }
            }
            "fuse" => match draft.value(Dimension::CURRENT, Beside::Element) {
                Some(rating) if !rating.ranged && !rating.nominal.is_zero() => {
                    ElementKind::Fuse { rating: rating.nominal, ohms: ohms(draft) }
                }
                Some(_) => return self.lacks(span, "this fuse", "one rating above 0", "its rating, such as `20 A`"),
                None => return self.lacks(span, "this fuse", "its rating", "its rating, such as `20 A`"),
            },
            "wire" => match draft.copper.take().map(|(copper, _)| copper).or_else(|| ohms(draft).map(Ohms::Given)) {
                Some(found) => ElementKind::Conductor(found),
                None => return self.lacks(span, "this wire", "its size", "`6 m of 2.5 mm²`, or its resistance"),
            },
            "connector" => ElementKind::Conductor(ohms(draft).map_or(Ohms::Usual, Ohms::Given)),
            "resistor" => match ohms(draft) {
                Some(found) => ElementKind::Conductor(Ohms::Given(found)),
                None => {
                    return self.lacks(
                        span,
                        "this resistor",
                        "its resistance",
                        "its resistance, such as `2.2 kohm ± 5 %`",
                    );
                }
            },
            "lamp" | "motor" => return self.load(words, draft),
            "switch" | "pressure switch" if switched == 0 => {
                return self.lacks(span, "this switch", "when it closes", "`closed with …` or `open with …`");
            }
            "switch" | "pressure switch" => ElementKind::Switch { ohms: ohms(draft) },
            "diode" => ElementKind::Diode { drop: draft.value(Dimension::VOLTAGE, Beside::Element), ohms: ohms(draft) },
            other => {
                return self.lacks(span, &format!("`{other}`"), "a kind that is known", "one of the kinds of elements");
            }
        })
    }

    fn load(&mut self, words: &tree::Element, draft: &mut Draft) -> Option<ElementKind> {
        let kind = &*words.kind.text;
        if let Some(ohms) = draft.value(Dimension::RESISTANCE, Beside::Element) {
            return Some(ElementKind::Conductor(Ohms::Given(ohms)));
        }
        let loads: Vec<_> = std::mem::take(&mut draft.loads).into_iter().map(|(load, _)| load).collect();
        if loads.iter().all(|load| load.stalled) {
            let example = if kind == "lamp" { "`21 W at 24 V`" } else { "`6 A to 9 A at 26 V`" };
            return self.lacks(words.kind.span, &format!("this {kind}"), "what it takes", example);
        }
        Some(ElementKind::Load { loads, duty: quantity(draft.duty.take()) })
    }

    fn relay(&mut self, circuit: &mut Circuit, words: &tree::Element, draft: &mut Draft) -> Option<ElementKind> {
        let span = words.kind.span;
        if words.ends.is_some() {
            return self.lacks(span, "a relay", "two paths, not one", "`coil from … to …` and `contact from … to …`");
        }
        let Some((coil_from, coil_to)) = draft.coil.take() else {
            return self.lacks(span, "this relay", "its coil", "`coil from POINT to POINT`");
        };
        let coil = (circuit.take_point(&coil_from), circuit.take_point(&coil_to));
        let mut contact = |ends: Option<(tree::Name, tree::Name)>| {
            ends.map(|(from, to)| (circuit.take_point(&from), circuit.take_point(&to), from.span))
        };
        let (make, rest) = (contact(draft.make.take()), contact(draft.rest.take()));
        let Some((common, _, _)) = make.or(rest) else {
            return self.lacks(
                span,
                "this relay",
                "a contact",
                "`contact from 30 to 87` or `break contact from 30 to 87a`",
            );
        };
        if let Some((_, _, at)) = rest.filter(|(other, _, _)| *other != common) {
            return self.lacks(at, "this relay", "one common contact", "both contacts from the same point, its 30");
        }
        let (pulls_in, drops_out) =
            (draft.pulls_in.take().map(|(volts, _)| volts), draft.drops_out.take().map(|(volts, _)| volts));
        if let (Some(above), Some(below)) = (&pulls_in, &drops_out)
            && below >= above
        {
            return self.lacks(
                span,
                "this relay",
                "a drop-out voltage below its pull-in voltage",
                "`pulls in at 16 V, drops out at 3 V`",
            );
        }
        let relay = RelayWords {
            coil,
            coil_ohms: draft.value(Dimension::RESISTANCE, Beside::Element),
            common,
            make: make.map(|(_, to, _)| to),
            rest: rest.map(|(_, to, _)| to),
            contact_ohms: draft.value(Dimension::RESISTANCE, Beside::Contact),
            pulls_in,
            drops_out,
        };
        let same = [relay.make, relay.rest].into_iter().flatten().any(|to| to == common);
        if same || !self.apart(coil, words) {
            return if same {
                self.lacks(span, "a contact", "two different points", "where its 30 and its 87 lead")
            } else {
                None
            };
        }
        Some(ElementKind::Relay(Box::new(relay)))
    }

    /// Whether an element ends where it doesn't begin.
    fn apart(&mut self, (from, to): (PointIx, PointIx), words: &tree::Element) -> bool {
        if from == to {
            let place = words.ends.as_ref().map_or(words.span, |(from, to)| from.span.to(to.span));
            let problem = Problem::error(
                "book/same-ends",
                place,
                format!("this {} begins and ends at one point", words.kind.text),
            );
            self.report(problem.help("name two different points"));
        }
        from != to
    }

    fn lacks<T>(&mut self, span: Span, what: &str, needs: &str, example: &str) -> Option<T> {
        self.report(
            Problem::error("book/element", span, format!("{what} needs {needs}")).help(format!("write {example}")),
        );
        None
    }

    fn nothing_left(&mut self, words: &tree::Element, draft: Draft) -> bool {
        let left = draft.left();
        for (what, span) in &left {
            let problem = Problem::error(
                "book/element-property",
                *span,
                format!("{what} doesn't belong to a {}", words.kind.text),
            );
            self.report(problem.help(format!("a {} takes {}", words.kind.text, takes(&words.kind.text))));
        }
        left.is_empty()
    }
}

fn quantity(found: Option<(Quantity, Span)>) -> Option<Quantity> {
    found.map(|(quantity, _)| quantity)
}

/// What a kind of element takes, for messages.
fn takes(kind: &str) -> &'static str {
    match kind {
        "battery" => "`EMF …`, `behind …`, `driven at …`",
        "fuse" => "its rating, and a resistance if it is known",
        "wire" => "`6 m of 2.5 mm²` or a resistance",
        "connector" | "resistor" => "one resistance",
        "lamp" | "motor" => "`… A at … V`, `… W at … V` or one resistance, `driven at …`",
        "switch" | "pressure switch" => "`closed with …`, `open with …`, one resistance",
        "relay" => {
            "`coil from … to …` and its resistance, `contact from … to …` and its resistance, `pulls in at …`, `drops out at …`"
        }
        _ => "a voltage and a resistance",
    }
}

impl Circuit {
    /// The point of a name, made if there is none yet.
    fn take_point(&mut self, name: &tree::Name) -> PointIx {
        self.find_point(&name.text).unwrap_or_else(|| {
            self.points.push(name.text.as_str().to_string());
            PointIx::at(self.points.len() - 1)
        })
    }

    /// The point of a name.
    pub(super) fn find_point(&self, name: &str) -> Option<PointIx> {
        self.points.iter().position(|point| is_alike(point, name)).map(PointIx::at)
    }

    /// The nearest element's name to one that is none.
    pub(super) fn nearest_element(&self, name: &str) -> Option<String> {
        did_you_mean(name, self.elements.iter().map(|element| element.name.as_str()))
    }
}
