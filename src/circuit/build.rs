//! The network of a circuit under one setup, with the faults that are supposed, its batteries fed from outside.
//!
//! Why: one element of the book is one part of the network, in the same order, so that places can be told apart afterwards. It must not know
//! where a battery's voltage comes from, or what is read.

use crate::book::circuits::{Does, Effect, Element, ElementKind, Load, RelayWords, Spot, Stuck, Taken, all_hold};
use crate::book::{Book, Circuit, ElementIx, FaultId, PointIx, Setup};
use crate::kept::Takes;

use super::network::{Defect, Network, Part, PartId, Place, PointId, Position, Range, Relay, Spread, SpreadProblem};
use super::trouble::Trouble;
use super::values;

/// The voltage of one battery.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Feed {
    /// Without load, volts, behind the battery's internal resistance.
    Emf(Range),
    /// At its posts, volts, whatever it is loaded with.
    Posts(Range),
}

/// A circuit under one setup with the faults that are supposed.
#[derive(Clone, Copy)]
pub struct Stand<'a> {
    /// The book.
    pub book: &'a Book,
    /// The circuit.
    pub circuit: &'a Circuit,
    /// The setup.
    pub setup: &'a Setup,
    /// The faults supposed; none for a sound vehicle. Those that the circuit doesn't know change nothing.
    pub faults: &'a [FaultId],
    /// Temperature of the air in K, if it is known; wires are at 20 degC if not.
    pub warmth: Option<f64>,
}

/// All that a setup can be to a circuit.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct Likeness {
    /// How it places each element.
    positions: Vec<u8>,
    /// By effect of a fault: whether the part is in its place.
    acts: Vec<bool>,
    /// By reading at a battery's posts: its tolerance.
    sound: Vec<Option<(u64, u64)>>,
}

impl Takes for Likeness {
    fn takes(&self) -> usize {
        let lists = size_of_val(self.positions.as_slice()) + size_of_val(self.acts.as_slice());
        size_of::<Self>() + lists + size_of_val(self.sound.as_slice())
    }
}

/// A network with the numbers of the circuit's points and elements in it.
pub struct Built {
    /// The network.
    pub network: Network,
    /// By point of the circuit.
    pub points: Vec<PointId>,
    /// By element of the circuit.
    pub parts: Vec<PartId>,
}

impl Built {
    /// The network's number of a point.
    pub fn point(&self, point: PointIx) -> PointId {
        self.points.get(point.place()).copied().unwrap_or(super::network::GROUND)
    }

    /// The network's number of a path.
    pub(super) fn place(&self, spot: Spot) -> Option<Place> {
        let part = *self.parts.get(spot.element().place())?;
        Some(match spot {
            Spot::Main(_) => part.into(),
            Spot::Coil(_) => part.coil(),
        })
    }
}

impl<'a> Stand<'a> {
    /// What the supposed faults do under this setup, with their places in the circuit's list.
    pub(super) fn acting(&self) -> impl Iterator<Item = (usize, &'a Effect)> + '_ {
        let effects = self.circuit.effects.iter().enumerate();
        effects.filter(|(_, effect)| {
            effect.does != Does::Nothing
                && self.faults.contains(&effect.fault)
                && self.circuit.acts(self.book, effect, self.setup)
        })
    }

    /// How the setup places each element: conducting or not, and which of its loads hold.
    pub(super) fn positions(&self) -> Vec<u8> {
        let mut positions = Vec::new();
        for element in &self.circuit.elements {
            positions.push(u8::from(element.switching.conducts(self.setup)));
            if let ElementKind::Load { loads, .. } = &element.kind {
                let (running, stalled) = self.loads(loads);
                let number =
                    |place: Option<usize>| place.map_or(u8::MAX, |place| u8::try_from(place).unwrap_or(u8::MAX));
                positions.extend([number(running), number(stalled), u8::from(self.is_stalled(loads))]);
            }
        }
        positions
    }

    /// What the setup is to the circuit: under two of the same likeness it is one circuit, whatever faults are supposed.
    pub(super) fn likeness(&self) -> Likeness {
        let effects = self.circuit.effects.iter();
        let acts = effects.map(|effect| self.circuit.acts(self.book, effect, self.setup)).collect();
        let bits = |range: Range| (range.low.to_bits(), range.high.to_bits());
        let sound =
            super::supply::readings(self.circuit).map(|reading| super::supply::tolerance(self, reading).map(bits));
        Likeness { positions: self.positions(), acts, sound: sound.collect() }
    }

    fn loads(&self, loads: &[Load]) -> (Option<usize>, Option<usize>) {
        let holds = |load: &Load| all_hold(&load.setup, self.setup);
        (values::chosen(loads, false, holds), values::chosen(loads, true, holds))
    }

    /// Whether the setup itself holds a motor fast.
    fn is_stalled(&self, loads: &[Load]) -> bool {
        loads.iter().any(|load| load.stalled && !load.setup.is_empty() && all_hold(&load.setup, self.setup))
    }

    /// The network; `feeds` by element, `opened` are fuses that have opened before, `pick` may narrow each value of it
    /// (a test puts a point of its range there).
    ///
    /// # Errors
    /// A value that no part has, or a network that can't be.
    pub fn build(
        &self,
        feeds: &[Option<Feed>],
        opened: &[ElementIx],
        pick: &mut dyn FnMut(Spread) -> Spread,
    ) -> Result<Built, Trouble> {
        let mut network = Network::new();
        let points: Vec<PointId> = self.circuit.points.iter().map(|name| network.point(&name.to_lowercase())).collect();
        let system = values::system_volts(self.book, self.circuit);
        let mut maker = Maker { stand: self, points: &points, system, pick };
        let mut parts = Vec::new();
        let mut defects = Vec::new();
        for (place, element) in self.circuit.elements.iter().enumerate() {
            let feed = feeds.get(place).copied().flatten();
            let made = maker.part(element, feed).map_err(|problem| Trouble::Value(element.name.clone(), problem))?;
            let part = network.add(&element.name, made)?;
            parts.push(part);
            let switched_off =
                !element.switching.conducts(self.setup) && !matches!(element.kind, ElementKind::Switch { .. });
            if switched_off || opened.contains(&ElementIx::at(place)) {
                defects.push(Defect::Open(part.into()));
                if matches!(element.kind, ElementKind::Relay(_)) {
                    defects.push(Defect::Open(part.coil()));
                }
            }
            if let ElementKind::Load { loads, .. } = &element.kind
                && self.is_stalled(loads)
            {
                defects.push(Defect::Stalls(part));
            }
        }
        let built = Built { network, points: points.clone(), parts };
        for (_, effect) in self.acting() {
            // What was read at the posts stands, however weak the battery is.
            let read = |at: &ElementIx| matches!(feeds.get(at.place()).copied().flatten(), Some(Feed::Posts(_)));
            if matches!(&effect.does, Does::Weakens(at, ..) if read(at)) {
                continue;
            }
            let name = effect
                .does
                .element()
                .and_then(|at| self.circuit.element(at))
                .map_or("short", |element| element.name.as_str());
            let made =
                maker.defect(&built, &effect.does).map_err(|problem| Trouble::Value(name.to_owned(), problem))?;
            defects.extend(made);
        }
        let network = built.network.with(&defects)?;
        Ok(Built { network, ..built })
    }
}

/// Makes parts and defects with their values.
struct Maker<'m, 'a> {
    stand: &'m Stand<'a>,
    points: &'m [PointId],
    system: Option<f64>,
    pick: &'m mut dyn FnMut(Spread) -> Spread,
}

type Made<T> = Result<T, SpreadProblem>;

impl Maker<'_, '_> {
    fn take(&mut self, spread: Made<Spread>) -> Made<Spread> {
        spread.map(|spread| (self.pick)(spread))
    }

    fn point(&self, point: PointIx) -> PointId {
        self.points.get(point.place()).copied().unwrap_or(super::network::GROUND)
    }

    fn part(&mut self, element: &Element, feed: Option<Feed>) -> Made<Part> {
        let (from, to) = (self.point(element.ends.0), self.point(element.ends.1));
        Ok(match &element.kind {
            ElementKind::Battery { internal, duty, .. } => {
                let (emf, internal) = match feed {
                    Some(Feed::Posts(range)) => (self.take(values::over(range))?, Spread::exactly(0.0)?),
                    Some(Feed::Emf(range)) => {
                        let emf = self.take(values::over(range))?;
                        (emf, self.take(values::or_usual(internal.as_ref(), values::USUAL_INTERNAL_OHM))?)
                    }
                    None => (
                        self.given(element)?,
                        self.take(values::or_usual(internal.as_ref(), values::USUAL_INTERNAL_OHM))?,
                    ),
                };
                let emf = match duty {
                    Some(duty) => emf.scaled_by((self.pick)(values::spread(duty)?))?,
                    None => emf,
                };
                Part::Battery { minus: from, plus: to, emf, internal }
            }
            ElementKind::Fuse { rating, ohms } => {
                let rating = rating.to_f64();
                Part::Fuse { from, to, rating, ohm: self.take(values::fuse(ohms.as_ref(), rating))? }
            }
            ElementKind::Conductor(ohms) => {
                Part::Conductor { from, to, ohm: self.take(values::ohms(ohms, self.stand.warmth))? }
            }
            ElementKind::Load { loads, duty } => {
                let (running, stalled) = self.stand.loads(loads);
                let mut ohm = |place: Option<usize>| {
                    let load = place.and_then(|place| loads.get(place));
                    load.map(|load| self.take(values::load(&load.takes, &load.volts, duty.as_ref()))).transpose()
                };
                let running = ohm(running)?.ok_or(SpreadProblem::NoLoad)?;
                Part::Motor { from, to, running, stalled: ohm(stalled)? }
            }
            ElementKind::Switch { ohms } => {
                let position =
                    if element.switching.conducts(self.stand.setup) { Position::Closed } else { Position::Open };
                Part::Switch {
                    from,
                    to,
                    position,
                    ohm: self.take(values::or_usual(ohms.as_ref(), values::USUAL_SWITCH_OHM))?,
                }
            }
            ElementKind::Relay(relay) => Part::Relay(self.relay(relay)?),
            ElementKind::Diode { drop, ohms } => Part::Diode {
                anode: from,
                cathode: to,
                drop: self.take(values::or_usual(drop.as_ref(), values::USUAL_DIODE_VOLTS))?,
                ohm: self.take(values::or_usual(ohms.as_ref(), values::USUAL_DIODE_OHM))?,
            },
        })
    }

    /// The EMF that stands in the book.
    fn given(&mut self, element: &Element) -> Made<Spread> {
        match &element.kind {
            ElementKind::Battery { emf: crate::book::circuits::Emf::Given(quantity), .. } => {
                self.take(values::spread(quantity))
            }
            _ => Err(SpreadProblem::NotAValue(f64::NAN)),
        }
    }

    fn relay(&mut self, words: &RelayWords) -> Made<Relay> {
        let (pull_in, drop_out) = values::relay_limits(self.system);
        let given =
            |volts: &Option<crate::units::Exact>, usual: f64| volts.as_ref().map_or(usual, crate::units::Exact::to_f64);
        let pull_in =
            given(&words.pulls_in, pull_in.max(words.drops_out.as_ref().map_or(0.0, |volts| volts.to_f64() * 2.0)));
        let drop_out = given(&words.drops_out, drop_out.min(pull_in / 2.0));
        let usual_coil = match self.system {
            Some(volts) if volts <= 12.0 => values::USUAL_COIL_12_OHM,
            Some(_) => values::USUAL_COIL_24_OHM,
            None => (values::USUAL_COIL_12_OHM.0, values::USUAL_COIL_24_OHM.1, values::USUAL_COIL_24_OHM.2),
        };
        let contact = words.contact_ohms.as_ref().map_or(Ok(Relay::usual_contact()), values::spread);
        Ok(Relay {
            coil: (self.point(words.coil.0), self.point(words.coil.1)),
            coil_ohm: self.take(values::or_usual(words.coil_ohms.as_ref(), usual_coil))?,
            common: self.point(words.common),
            make: words.make.map(|point| self.point(point)),
            rest: words.rest.map(|point| self.point(point)),
            contact_ohm: self.take(contact)?,
            pull_in,
            drop_out,
        })
    }

    fn defect(&mut self, built: &Built, does: &Does) -> Made<Vec<Defect>> {
        let foreign = SpreadProblem::NotAValue(f64::NAN);
        let place = |spot: Spot| built.place(spot).ok_or(foreign.clone());
        let part = |element: ElementIx| built.parts.get(element.place()).copied().ok_or(foreign.clone());
        Ok(vec![match does {
            Does::Nothing | Does::MayOpen(_) => return Ok(Vec::new()),
            Does::Opens(spot) => Defect::Open(place(*spot)?),
            Does::Shorts(from, to) => {
                let (least, usual, most) = values::SHORT_OHM;
                Defect::Short {
                    from: self.point(*from),
                    to: self.point(*to),
                    ohm: self.take(Spread::new(least, usual, most))?,
                }
            }
            Does::Adds(spot, ohms) => Defect::Adds { at: place(*spot)?, ohm: self.take(values::spread(ohms))? },
            Does::Sticks(element, Stuck::Fast) => Defect::Stalls(part(*element)?),
            Does::Sticks(element, stuck) => {
                let position = if *stuck == Stuck::Open { Position::Open } else { Position::Closed };
                Defect::Sticks { part: part(*element)?, position }
            }
            Does::Weakens(element, emf, internal) => {
                let internal = internal.as_ref().map(|ohms| self.take(values::spread(ohms))).transpose()?;
                Defect::Weak { battery: part(*element)?, emf: Some(self.take(values::spread(emf))?), internal }
            }
            Does::Rates(element, ampere) => Defect::Rating { fuse: part(*element)?, ampere: ampere.to_f64() },
            Does::Becomes(spot, ohms) => Defect::Becomes { at: place(*spot)?, ohm: self.take(values::spread(ohms))? },
            Does::Takes(element, taken) => {
                let ohm = self.other_load(*element, taken)?;
                Defect::Becomes { at: place(Spot::Main(*element))?, ohm: self.take(Ok(ohm))? }
            }
        }])
    }

    /// A load that takes something else at the voltage at which the book rates it.
    fn other_load(&self, element: ElementIx, taken: &Taken) -> Made<Spread> {
        match self.stand.circuit.element(element).map(|element| &element.kind) {
            Some(ElementKind::Load { loads, duty }) => {
                let running =
                    self.stand.loads(loads).0.and_then(|place| loads.get(place)).ok_or(SpreadProblem::NoLoad)?;
                values::load(taken, &running.volts, duty.as_ref())
            }
            _ => Err(SpreadProblem::NoLoad),
        }
    }
}
