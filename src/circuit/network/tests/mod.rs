//! Checks of the network engine by itself: devices, defects, problems in words, and properties over random networks.
//!
//! Values without a source beside them are worked by Ohm's and Kirchhoff's laws in the line itself.

mod closed_forms;
mod defects;
mod devices;
mod enclosure;
mod extremes;
mod fuses;
mod kirchhoff;
mod problems;
mod random;
mod range;
mod ranges;

use super::{GROUND, Network, Part, PartId, PointId, Position, Reading, Relay, Solution, Spread};

fn exactly(value: f64) -> Spread {
    Spread::exactly(value).unwrap()
}

fn between(low: f64, high: f64) -> Spread {
    Spread::between(low, high).unwrap()
}

/// An ideal source against ground.
fn source(plus: PointId, emf: f64) -> Part {
    Part::Battery { minus: GROUND, plus, emf: exactly(emf), internal: exactly(0.0) }
}

/// A network with a battery of 12 V from ground to `post`.
struct Bench {
    network: Network,
}

impl Bench {
    fn new(emf: Spread, internal: Spread) -> Bench {
        let mut network = Network::new();
        let plus = network.point("post");
        network.add("battery", Part::Battery { minus: GROUND, plus, emf, internal }).unwrap();
        Bench { network }
    }

    fn twelve_volts() -> Bench {
        Bench::new(exactly(12.0), exactly(0.0))
    }

    fn point(&mut self, name: &str) -> PointId {
        self.network.point(name)
    }

    fn ohm(&mut self, name: &str, from: &str, to: &str, ohm: Spread) -> PartId {
        let (from, to) = (self.point(from), self.point(to));
        self.network.add(name, Part::Conductor { from, to, ohm }).unwrap()
    }

    fn fuse(&mut self, name: &str, from: &str, to: &str, rating: f64) -> PartId {
        let (from, to) = (self.point(from), self.point(to));
        self.network.add(name, Part::Fuse { from, to, rating, ohm: exactly(0.001) }).unwrap()
    }

    fn switch(&mut self, name: &str, from: &str, to: &str, position: Position) -> PartId {
        let (from, to) = (self.point(from), self.point(to));
        self.network.add(name, Part::Switch { from, to, position, ohm: exactly(0.001) }).unwrap()
    }

    fn diode(&mut self, name: &str, anode: &str, cathode: &str) -> PartId {
        let (anode, cathode) = (self.point(anode), self.point(cathode));
        self.network.add(name, Part::Diode { anode, cathode, drop: exactly(0.7), ohm: exactly(0.01) }).unwrap()
    }

    /// A 12 V relay: 85 ohm, in from 8 V, out up to 1.5 V (mini ISO relay data sheet).
    fn relay(
        &mut self,
        name: &str,
        coil: (&str, &str),
        common: &str,
        make: Option<&str>,
        rest: Option<&str>,
    ) -> PartId {
        let relay = Relay {
            coil: (self.point(coil.0), self.point(coil.1)),
            coil_ohm: exactly(85.0),
            common: self.point(common),
            make: make.map(|name| self.network.point(name)),
            rest: rest.map(|name| self.network.point(name)),
            contact_ohm: exactly(0.01),
            pull_in: 8.0,
            drop_out: 1.5,
        };
        self.network.add(name, Part::Relay(relay)).unwrap()
    }

    fn solved(&self) -> Solution {
        let mut solutions = self.network.solve().unwrap();
        assert_eq!(solutions.len(), 1, "one outcome");
        solutions.remove(0)
    }

    fn volts(&self, point: &str) -> Option<f64> {
        self.solved().voltage(self.network.find_point(point).unwrap())
    }

    fn reading(&self, point: &str) -> Reading {
        Reading::voltage(self.network.find_point(point).unwrap(), GROUND)
    }
}

fn is_near(found: Option<f64>, expected: f64) -> bool {
    found.is_some_and(|found| (found - expected).abs() < 1e-9)
}
