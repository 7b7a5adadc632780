//! What is said of an element, gathered before its kind takes what it can use; what is left over does not belong to it.
//!
//! Why: every property is resolved in one way whatever the kind, and each kind is then a short list of what it takes.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{self, Expr, Name, Property};
use crate::units::{Dimension, Exact};

use super::super::super::circuits::{Emf, Load, Ohms, Quantity, Switching};
use super::super::super::ids::IndicationId;
use super::super::super::names::Symbol;
use super::super::super::setup::Term;
use super::super::{Resolver, entries};
use super::quantities::Valued;

/// What a value of an element belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Beside {
    /// The element, or a relay's coil before its contact is named.
    Element,
    /// A relay's contact, whose points stand before the value.
    Contact,
}

/// A contact's points as written.
pub(super) type Ends = (Name, Name);

/// All that is said of one element. Each kind takes its own.
#[derive(Default)]
pub(super) struct Draft {
    pub(super) emf: Option<(Emf, Span)>,
    pub(super) share: Option<Quantity>,
    pub(super) behind: Option<(Quantity, Span)>,
    pub(super) coil: Option<Ends>,
    pub(super) make: Option<Ends>,
    pub(super) rest: Option<Ends>,
    pub(super) pulls_in: Option<(Exact, Span)>,
    pub(super) drops_out: Option<(Exact, Span)>,
    pub(super) duty: Option<(Quantity, Span)>,
    pub(super) copper: Option<(Ohms, Span)>,
    pub(super) loads: Vec<(Load, Span)>,
    pub(super) values: Vec<(Valued, Beside)>,
    pub(super) switching: Switching,
}

impl Draft {
    /// Takes the first value of a dimension that stands beside something.
    pub(super) fn value(&mut self, dimension: Dimension, beside: Beside) -> Option<Quantity> {
        let place = self.values.iter().position(|(value, at)| value.dimension == dimension && *at == beside)?;
        Some(self.values.remove(place).0.quantity)
    }

    /// What no kind has taken: what it is, and where.
    pub(super) fn left(self) -> Vec<(&'static str, Span)> {
        let ends = |ends: Option<Ends>| ends.map(|(from, to)| from.span.to(to.span));
        let single = [
            ("`EMF`", self.emf.map(|(_, span)| span)),
            ("`behind`", self.behind.map(|(_, span)| span)),
            ("`coil`", ends(self.coil)),
            ("`contact`", ends(self.make)),
            ("`break contact`", ends(self.rest)),
            ("`pulls in at`", self.pulls_in.map(|(_, span)| span)),
            ("`drops out at`", self.drops_out.map(|(_, span)| span)),
            ("`driven at`", self.duty.map(|(_, span)| span)),
            ("a length and section", self.copper.map(|(_, span)| span)),
        ];
        let mut left: Vec<(&'static str, Span)> =
            single.into_iter().filter_map(|(word, span)| Some((word, span?))).collect();
        left.extend(self.loads.into_iter().map(|(_, span)| ("a load at a voltage", span)));
        left.extend(self.values.into_iter().map(|(value, _)| ("this value", value.span)));
        left
    }
}

const OHMS: &[Dimension] = &[Dimension::RESISTANCE];
const VALUES: &[Dimension] = &[Dimension::RESISTANCE, Dimension::CURRENT, Dimension::VOLTAGE, Dimension::POWER];

impl Resolver<'_> {
    /// Resolves all that is said of an element; `None` where something of it is reported as wrong.
    pub(super) fn draft(&mut self, properties: &[Property]) -> Option<Draft> {
        let mut draft = Draft::default();
        let mut beside = Beside::Element;
        let mut right = true;
        for property in properties {
            right &= self.property(property, &mut draft, &mut beside).is_some();
        }
        right.then_some(draft)
    }

    fn property(&mut self, property: &Property, draft: &mut Draft, beside: &mut Beside) -> Option<()> {
        match property {
            Property::Emf(spread) => {
                let emf = self.emf(spread)?;
                self.once(&mut draft.emf, emf, "EMF", spread.low.span())
            }
            Property::EmfShare(share, reading) => {
                draft.share = Some(
                    self.share(
                        share,
                        "a battery's share of a voltage lies above 0 % and is at most 100 %",
                        "write for example `EMF 49 % to 51 % of battery voltage`",
                    )?
                    .quantity,
                );
                let emf = Emf::Read(self.battery_reading(reading)?);
                self.once(&mut draft.emf, emf, "EMF", reading.span)
            }
            Property::Behind(spread) => {
                let value = self.quantity(spread, OHMS)?;
                self.once(&mut draft.behind, value.quantity, "behind", value.span)
            }
            Property::PullsIn(spread) => {
                let value = self.quantity(spread, &[Dimension::VOLTAGE])?;
                self.once(&mut draft.pulls_in, value.quantity.high, "pulls in at", value.span)
            }
            Property::DropsOut(spread) => {
                let value = self.quantity(spread, &[Dimension::VOLTAGE])?;
                self.once(&mut draft.drops_out, value.quantity.low, "drops out at", value.span)
            }
            Property::Driven(spread) => {
                let duty = self.duty(spread)?;
                self.once(&mut draft.duty, duty.quantity, "driven at", duty.span)
            }
            Property::Coil(from, to) => {
                *beside = Beside::Element;
                self.contact(&mut draft.coil, from, to, "coil")
            }
            Property::Contact(from, to, breaks) => {
                *beside = Beside::Contact;
                let (slot, word) =
                    if *breaks { (&mut draft.rest, "break contact") } else { (&mut draft.make, "contact") };
                self.contact(slot, from, to, word)
            }
            Property::Size(length, section) => {
                let (length_m, area) = (self.one_of(length, Dimension::LENGTH), self.one(section, Dimension::AREA));
                let copper = Ohms::Copper { length: length_m?, area: area? };
                self.once(&mut draft.copper, copper, "a length and section", length.span().to(section.span))
            }
            Property::Limit(true, expr) => {
                let value = self.at_most(expr, OHMS)?;
                draft.values.push((value, *beside));
                Some(())
            }
            Property::Limit(false, expr) => self.no_upper_end(expr),
            Property::Value(spread) => {
                let value = self.quantity(spread, VALUES)?;
                draft.values.push((value, *beside));
                Some(())
            }
            Property::Load { .. } | Property::OpensWith(_) | Property::ClosedWith(_) | Property::OpenWith(_) => {
                self.with_setup(property, draft)
            }
        }
    }

    /// The properties that name a setup.
    fn with_setup(&mut self, property: &Property, draft: &mut Draft) -> Option<()> {
        match property {
            Property::OpensWith(items) | Property::OpenWith(items) => {
                let terms = self.circuit_setup(items)?;
                draft.switching.open.push(terms);
            }
            Property::ClosedWith(items) => {
                let terms = self.circuit_setup(items)?;
                draft.switching.closed.push(terms);
            }
            Property::Load { stalled, current, voltage, setup } => {
                let (takes, volts, terms) =
                    (self.taken(current), self.one(voltage, Dimension::VOLTAGE), self.circuit_setup(setup));
                let load = Load { stalled: *stalled, takes: takes?, volts: volts?, setup: terms? };
                draft.loads.push((load, current.low.span().to(voltage.span)));
            }
            _ => {}
        }
        Some(())
    }

    fn no_upper_end(&mut self, expr: &Expr) -> Option<()> {
        let problem = Problem::error("book/no-upper-end", expr.span(), "`at least` leaves the other end open");
        self.report(problem.help("write both ends: `0.2 ohm to 5 ohm`"));
        None
    }

    fn once<T>(&mut self, slot: &mut Option<(T, Span)>, value: T, word: &str, span: Span) -> Option<()> {
        if let Some((_, first)) = slot {
            let problem = Problem::error("book/element-twice", span, format!("`{word}` stands twice in one element"));
            let first = *first;
            self.report(problem.also(first, "here first").help("keep one of them"));
            return None;
        }
        *slot = Some((value, span));
        Some(())
    }

    fn contact(&mut self, slot: &mut Option<Ends>, from: &Name, to: &Name, word: &str) -> Option<()> {
        if slot.is_some() {
            let problem =
                Problem::error("book/element-twice", from.span, format!("`{word}` stands twice in one relay"));
            self.report(
                problem
                    .help("one relay has one contact of a kind; draw the second as a relay with the same coil points"),
            );
            return None;
        }
        *slot = Some((from.clone(), to.clone()));
        Some(())
    }

    /// A battery's EMF: a reading by itself, or volts.
    fn emf(&mut self, spread: &tree::Spread) -> Option<Emf> {
        if let (Expr::Name(name), None, None) = (&spread.low, &spread.high, &spread.percent)
            && let Some(Symbol::Indication(_)) = self.book.symbol(&name.text)
        {
            return self.battery_reading(name).map(Emf::Read);
        }
        self.quantity(spread, &[Dimension::VOLTAGE]).map(|value| Emf::Given(value.quantity))
    }

    /// The reading at a battery's posts.
    fn battery_reading(&mut self, name: &Name) -> Option<IndicationId> {
        if let Some(Symbol::Indication(id)) = self.book.symbol(&name.text)
            && let Some(found) = self.book.indication(id).reading()
            && found.computed.is_none()
            && found.dimension == Dimension::VOLTAGE
        {
            return Some(id);
        }
        let problem =
            Problem::error("book/wrong-kind", name.span, format!("`{}` is no voltage that is measured", name.text));
        self.report(problem.help("name a reading in V that is entered itself, or write volts: `EMF 25.0 V to 25.6 V`"));
        None
    }

    fn duty(&mut self, spread: &tree::Spread) -> Option<Valued> {
        let fix = "write for example `driven at 40 % to 60 %`; `open with …` says when it is off";
        self.share(spread, "a share of time lies above 0 % and is at most 100 %", fix)
    }

    /// A share above 0 % and up to 100 %.
    fn share(&mut self, spread: &tree::Spread, wrong: &str, fix: &str) -> Option<Valued> {
        let share = self.quantity(spread, &[Dimension::NONE])?;
        if share.quantity.low.is_zero() || share.quantity.high > Exact::one() {
            self.report(Problem::error("book/duty", share.span, wrong).help(fix));
            return None;
        }
        Some(share)
    }

    /// The setup words of an element.
    pub(super) fn circuit_setup(&mut self, items: &[tree::SetupItem]) -> Option<Vec<Term>> {
        match entries::resolve_items(&self.book, items) {
            Ok(terms) => Some(terms),
            Err(problems) => {
                self.problems.extend(problems);
                None
            }
        }
    }
}
