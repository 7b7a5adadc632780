//! A circuit solved for a drawing: the voltage of each point and the current through each path, every part at its nominal value.
//!
//! Why: a technician reads a circuit along its drawing, with the volts beside the points. It must not know how it is drawn.

use crate::book::circuits::{Does, Effect, ElementKind, Spot, Stuck};
use crate::book::{ElementIx, PointIx};

use super::build::{Built, Stand};
use super::network::{PartId, Solution};
use super::supply::{Supply, feeds};
use super::trouble::Trouble;

/// A point with its voltage.
#[derive(Clone, PartialEq, Debug)]
pub struct PointShown {
    /// As declared.
    pub name: String,
    /// Volts against ground; none where nothing joins it to ground.
    pub volts: Option<f64>,
}

/// Whether a path conducts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Look {
    /// It conducts.
    Closed,
    /// It does not.
    Open,
    /// A fuse that has opened.
    Blown,
}

/// One current path between two points.
#[derive(Clone, PartialEq, Debug)]
pub struct PathShown {
    /// The element's kind and name: `fuse F3`, `relay K2 coil`.
    pub name: String,
    /// Its first point.
    pub from: PointIx,
    /// Its second point.
    pub to: PointIx,
    /// Whether it conducts.
    pub look: Look,
    /// Ampere from the first point to the second (a battery's when it delivers); none where it can't be told.
    pub ampere: Option<f64>,
    /// The supposed faults that sit here, by their names.
    pub faults: Vec<String>,
}

/// A solved circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct Picture {
    /// By point of the circuit; ground first.
    pub points: Vec<PointShown>,
    /// In book order; what faults add comes last.
    pub paths: Vec<PathShown>,
    /// How relays, fuses and diodes have ended up.
    pub how: Vec<String>,
    /// In how many ways they may end up; this is the first.
    pub ways: usize,
}

/// Solves a circuit at the nominal values of its parts.
///
/// # Errors
/// Why it can't be reckoned.
pub fn picture(stand: &Stand<'_>, supplies: &[Supply]) -> Result<Picture, Trouble> {
    let fed = feeds(stand, supplies, &[])?;
    let built = stand.build(&fed.feeds, &[], &mut |spread| spread)?;
    let solutions = built.network.solve()?;
    let Some(solution) = solutions.first() else { return Err(super::network::NetworkProblem::NeverSettles.into()) };
    let points = stand.circuit.points.iter().enumerate().map(|(place, name)| PointShown {
        name: name.clone(),
        volts: solution.voltage(built.point(PointIx::at(place))),
    });
    let shown = Shown { stand, built: &built, solution, acting: stand.acting().map(|(_, effect)| effect).collect() };
    Ok(Picture {
        points: points.collect(),
        paths: shown.paths(),
        how: solution.outcome.words(&built.network),
        ways: solutions.len(),
    })
}

struct Shown<'s, 'a> {
    stand: &'s Stand<'a>,
    built: &'s Built,
    solution: &'s Solution,
    acting: Vec<&'a Effect>,
}

impl Shown<'_, '_> {
    fn paths(&self) -> Vec<PathShown> {
        let mut paths = Vec::new();
        for (place, element) in self.stand.circuit.elements.iter().enumerate() {
            let at = ElementIx::at(place);
            let name = if element.name == element.word {
                element.word.clone()
            } else {
                format!("{} {}", element.word, element.name)
            };
            let Some(&part) = self.built.parts.get(place) else { continue };
            if let ElementKind::Relay(relay) = &element.kind {
                let pulled_in = self.pulled_in(at, part);
                paths.push(self.path(format!("{name} coil"), relay.coil, Spot::Coil(at), true));
                for (other, closed, word) in
                    [(relay.make, pulled_in, "contact"), (relay.rest, !pulled_in, "break contact")]
                {
                    if let Some(other) = other {
                        let mut path =
                            self.path(format!("{name} {word}"), (relay.common, other), Spot::Main(at), closed);
                        path.ampere = path.ampere.filter(|_| closed).or(Some(0.0));
                        paths.push(path);
                    }
                }
            } else {
                let stuck = self.stuck(at);
                let switched = element.switching.conducts(self.stand.setup);
                let mut path = self.path(name, element.ends, Spot::Main(at), stuck.unwrap_or(switched));
                if self.solution.outcome.blown.iter().any(|blown| blown.fuse == part) {
                    path.look = Look::Blown;
                }
                if matches!(element.kind, ElementKind::Diode { .. })
                    && !self.solution.outcome.conducting.contains(&part)
                {
                    path.look = Look::Open;
                }
                paths.push(path);
            }
        }
        paths.extend(self.acting.iter().filter_map(|effect| self.short(effect)));
        paths
    }

    fn path(&self, name: String, (from, to): (PointIx, PointIx), spot: Spot, closed: bool) -> PathShown {
        let here = |effect: &&&Effect| match &effect.does {
            Does::Opens(at) | Does::Adds(at, _) | Does::Becomes(at, _) => *at == spot,
            other => other.element() == Some(spot.element()) && matches!(spot, Spot::Main(_)),
        };
        let faults: Vec<&&Effect> = self.acting.iter().filter(here).collect();
        let broken = faults.iter().any(|effect| matches!(effect.does, Does::Opens(_)));
        let look = if closed && !broken { Look::Closed } else { Look::Open };
        let ampere = self.built.place(spot).and_then(|place| self.solution.current(place));
        let faults = faults.iter().map(|effect| self.stand.book.fault(effect.fault).name.clone()).collect();
        PathShown { name, from, to, look, ampere, faults }
    }

    /// How a fault holds a contact, if one does.
    fn stuck(&self, element: ElementIx) -> Option<bool> {
        self.acting.iter().find_map(|effect| match effect.does {
            Does::Sticks(at, Stuck::Open) if at == element => Some(false),
            Does::Sticks(at, Stuck::Closed) if at == element => Some(true),
            _ => None,
        })
    }

    fn pulled_in(&self, element: ElementIx, part: PartId) -> bool {
        self.stuck(element).unwrap_or_else(|| self.solution.outcome.pulled_in.contains(&part))
    }

    fn short(&self, effect: &Effect) -> Option<PathShown> {
        let Does::Shorts(from, to) = effect.does else { return None };
        let fault = self.stand.book.fault(effect.fault).name.clone();
        let volts = |point: PointIx| self.solution.voltage(self.built.point(point)).unwrap_or(0.0);
        let ampere = (volts(from) - volts(to)) / super::values::SHORT_OHM.1;
        Some(PathShown {
            name: "short".into(),
            from,
            to,
            look: Look::Closed,
            ampere: Some(ampere),
            faults: vec![fault],
        })
    }
}
