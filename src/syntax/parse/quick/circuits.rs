//! Lines of a circuit.

use crate::syntax::tree::{CircuitFault, CircuitLine, Element, Expr, Name, Number, Property, SetupItem, Spread};

use super::super::circuits::{KINDS, sticks};
use super::{Kind, Words};

/// What ends the name of an element or a fault.
const AFTER_NAME: &[&str] = &[
    "from", "to", "across", "opens", "shorts", "adds", "sticks", "weakens", "fits", "through", "changes", "may",
    "coil", "contact",
];

/// What ends the name of a point.
const AFTER_POINT: &[&str] = &["to", "and", "across", "from", "behind"];

/// Words that begin a property.
const PROPERTY_WORDS: &[&str] = &[
    "opens", "closed", "open", "pulls", "drops", "driven", "stalled", "running", "contact", "break", "coil", "EMF",
    "behind", "at",
];

impl Words<'_> {
    pub(super) fn circuit_line(&mut self) -> Option<CircuitLine> {
        let first = self.next()?;
        match self.text(first) {
            "reading" => self.circuit_reading(),
            "fault" => self.circuit_fault(),
            "other" => {
                for word in ["faults", "change", "nothing"] {
                    self.take(word)?;
                }
                Some(CircuitLine::OthersUntouched)
            }
            "pressure" => {
                let second = self.take("switch")?;
                self.is_close(first.end, second).then_some(())?;
                self.element(self.named(first.start, second.end))
            }
            kind if KINDS.contains(&kind) => self.element(self.named(first.start, first.end)),
            _ => None,
        }
    }

    fn element(&mut self, kind: Name) -> Option<CircuitLine> {
        let named = !matches!(self.ahead(0), "from" | "," | "") && !self.begins_relay_part();
        let name = if named { Some(self.circuit_name(AFTER_NAME)?) } else { None };
        let ends = if self.take("from").is_some() { Some(self.ends()?) } else { None };
        let mut properties = Vec::new();
        while !self.is_done() {
            // What follows without a comma and is no word known here could be one in capitals.
            if self.take(",").is_none() && !PROPERTY_WORDS.contains(&self.ahead(0)) {
                return None;
            }
            let property = self.property()?;
            // Most have one.
            if properties.is_empty() {
                properties.reserve_exact(1);
            }
            properties.push(property);
        }
        let span = self.span(0, self.end());
        Some(CircuitLine::Element(Element { kind, name, ends, properties, span }))
    }

    /// `coil from …`, `contact from …`
    fn begins_relay_part(&self) -> bool {
        matches!(self.ahead(0), "coil" | "contact") && self.ahead(1) == "from"
    }

    /// The words up to one of the `stops`, a comma or the end.
    fn circuit_name(&mut self, stops: &[&str]) -> Option<Name> {
        let start = self.peek()?.start;
        let mut end: Option<usize> = None;
        while let Some(word) = self.peek() {
            let said = self.text(word);
            if said == "," {
                break;
            }
            if self.stops(stops, said) {
                if stops.contains(&said) {
                    break;
                }
                return None;
            }
            let plain = said.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'\'' | b'_' | b'-'));
            if !plain || end.is_some_and(|end| !self.is_close(end, word)) {
                return None;
            }
            end = Some(word.end);
            self.next();
        }
        end.map(|end| self.named(start, end))
    }

    /// Whether a word ends a name, in capitals too; some do so only with what follows.
    fn stops(&self, stops: &[&str], said: &str) -> bool {
        let Some(stop) = stops.iter().find(|stop| stop.eq_ignore_ascii_case(said)) else { return false };
        match *stop {
            "coil" | "contact" => self.ahead(1).eq_ignore_ascii_case("from"),
            "may" => self.ahead(1).eq_ignore_ascii_case("open"),
            _ => true,
        }
    }

    fn point(&mut self) -> Option<Name> {
        self.circuit_name(AFTER_POINT)
    }

    /// After `from`.
    fn ends(&mut self) -> Option<(Name, Name)> {
        let from = self.point()?;
        self.take("to")?;
        Some((from, self.point()?))
    }

    fn property(&mut self) -> Option<Property> {
        let word = self.peek()?;
        let said = self.text(word);
        if !PROPERTY_WORDS.contains(&said) {
            let slip = PROPERTY_WORDS.iter().any(|known| known.eq_ignore_ascii_case(said));
            return if slip { None } else { self.value_property() };
        }
        self.next();
        Some(match said {
            "EMF" => self.emf()?,
            "behind" => Property::Behind(self.spread()?),
            "coil" => {
                self.take("from")?;
                let (from, to) = self.ends()?;
                Property::Coil(from, to)
            }
            "contact" | "break" => {
                let breaks = said == "break";
                if breaks {
                    self.take("contact")?;
                }
                self.take("from")?;
                let (from, to) = self.ends()?;
                Property::Contact(from, to, breaks)
            }
            "opens" => Property::OpensWith(self.worked()?),
            "closed" => Property::ClosedWith(self.worked()?),
            "open" => Property::OpenWith(self.worked()?),
            "pulls" => {
                self.take("in")?;
                self.take("at")?;
                Property::PullsIn(self.spread()?)
            }
            "drops" => {
                self.take("out")?;
                self.take("at").or_else(|| self.take("below"))?;
                Property::DropsOut(self.spread()?)
            }
            "driven" => {
                self.take("at")?;
                Property::Driven(self.spread()?)
            }
            "at" => {
                let most = self.take("most").is_some();
                if !most {
                    self.take("least")?;
                }
                Property::Limit(most, self.sum()?)
            }
            _ => {
                let current = self.spread()?;
                self.take("at")?;
                self.load(said == "stalled", current)?
            }
        })
    }

    fn emf(&mut self) -> Option<Property> {
        let spread = self.spread()?;
        if self.take("of").is_none() {
            return Some(Property::Emf(spread));
        }
        Some(Property::EmfShare(spread, self.name()?))
    }

    /// `6 m of 2.5 mm²`, `6 A to 9 A at 26 V`, `255 ohm ± 10 %`
    fn value_property(&mut self) -> Option<Property> {
        let low = self.sum()?;
        if self.take("of").is_some() {
            return Some(Property::Size(low, self.number()?));
        }
        let spread = self.spread_from(low)?;
        if self.take("at").is_some() { self.load(false, spread) } else { Some(Property::Value(spread)) }
    }

    fn load(&mut self, stalled: bool, current: Spread) -> Option<Property> {
        let voltage = self.number()?;
        let setup = if matches!(self.ahead(0), "with" | "without") { self.worked()? } else { Vec::new() };
        Some(Property::Load { stalled, current, voltage, setup })
    }

    /// As a setup, but a comma may also end it.
    fn worked(&mut self) -> Option<Vec<SetupItem>> {
        if !matches!(self.ahead(0), "with" | "without") {
            return None;
        }
        let mut items = Vec::new();
        loop {
            items.push(self.setup_item()?);
            let place = self.place();
            let comma = self.take(",").is_some();
            let said = self.ahead(0);
            let figure = self.peek().is_some_and(|word| matches!(word.kind, Kind::Whole | Kind::Decimal));
            let goes_on = comma && !said.is_empty() && !figure;
            let property = PROPERTY_WORDS.iter().any(|word| word.eq_ignore_ascii_case(said));
            if !matches!(said, "with" | "without") && (!goes_on || property) {
                self.back_to(place);
                return Some(items);
            }
        }
    }

    fn spread(&mut self) -> Option<Spread> {
        let low = self.sum()?;
        self.spread_from(low)
    }

    fn spread_from(&mut self, low: Expr) -> Option<Spread> {
        let mut spread = Spread { low, high: None, percent: None };
        if self.take("to").is_some() {
            spread.high = Some(self.sum()?);
        } else if self.take("±").is_some() {
            spread.percent = Some(self.percent()?);
        }
        Some(spread)
    }

    fn percent(&mut self) -> Option<Number> {
        let figure = self.figure()?;
        self.take("%")?;
        Some(figure)
    }

    fn circuit_reading(&mut self) -> Option<CircuitLine> {
        let reading = self.circuit_name(AFTER_NAME)?;
        if self.take("through").is_some() {
            return Some(CircuitLine::Through(reading, self.point()?));
        }
        self.take("across")?;
        let first = self.point()?;
        self.take("and")?;
        Some(CircuitLine::Across(reading, first, self.point()?, None))
    }

    fn circuit_fault(&mut self) -> Option<CircuitLine> {
        let fault = self.circuit_name(AFTER_NAME)?;
        if matches!(self.ahead(0), "," | "changes") {
            let mut untouched = vec![fault];
            while self.take(",").is_some() {
                untouched.push(self.circuit_name(AFTER_NAME)?);
            }
            self.take("changes")?;
            self.take("nothing")?;
            return Some(CircuitLine::Untouched(untouched));
        }
        let verb = self.next().filter(|word| word.kind != Kind::Mark)?;
        let effect = match self.text(verb) {
            "opens" => CircuitFault::Opens(self.point()?),
            "may" => {
                self.take("open")?;
                CircuitFault::MayOpen(self.point()?)
            }
            "shorts" => {
                let from = self.point()?;
                self.take("to")?;
                CircuitFault::Shorts(from, self.point()?)
            }
            "sticks" => sticks(self.point()?),
            "weakens" => {
                let element = self.point()?;
                self.take("to")?;
                let emf = self.spread()?;
                let behind = if self.take("behind").is_some() { Some(self.spread()?) } else { None };
                CircuitFault::Weakens(element, emf, behind)
            }
            "adds" | "fits" => {
                let spread = self.spread()?;
                self.take("at")?;
                let element = self.point()?;
                if self.text(verb) == "adds" {
                    CircuitFault::Adds(spread, element)
                } else {
                    CircuitFault::Fits(spread, element)
                }
            }
            _ => return None,
        };
        Some(CircuitLine::Fault(fault, effect))
    }
}
