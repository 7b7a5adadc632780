//! Random networks, the same for the same seed.

use super::super::{GROUND, Network, Part, PointId, Position, Relay, Spread};

/// A small generator of even numbers (splitmix64, Steele, Lea & Flood 2014).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From 0 up to, not including, `sides`.
    pub(super) fn below(&mut self, sides: usize) -> usize {
        (self.next() % sides as u64) as usize
    }

    /// From 0 to 1.
    pub(super) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From `low` to `high`, often at an end.
    pub(super) fn within(&mut self, low: f64, high: f64) -> f64 {
        match self.below(3) {
            0 => low,
            1 => high,
            _ => low + (high - low) * self.share(),
        }
    }

    /// Ohms of any size that occurs in a vehicle, with a range or without.
    fn ohms(&mut self) -> (f64, f64) {
        let low = 10_f64.powf(-3.0 + 5.0 * self.share());
        (low, low * (1.0 + [0.0, 0.1, 2.0][self.below(3)]))
    }
}

/// What a random network may hold.
#[derive(Clone, Copy)]
pub(super) struct Plan {
    pub(super) points: usize,
    pub(super) conductors: usize,
    pub(super) batteries: usize,
    pub(super) fuses: usize,
    pub(super) relays: usize,
    pub(super) diodes: usize,
}

/// Builds the network of a seed; `value` turns the ends of each range into a spread.
pub(super) fn build(seed: u64, plan: Plan, value: &mut dyn FnMut(f64, f64) -> Spread) -> Network {
    let mut builder = Builder { network: Network::new(), dice: Dice(seed), points: vec![GROUND], value };
    for number in 1..plan.points {
        let point = builder.network.point(&format!("p{number}"));
        let near = builder.points[builder.dice.below(number)];
        builder.points.push(point);
        builder.conductor(&format!("tree {number}"), (near, point));
    }
    for number in 0..plan.conductors {
        let ends = builder.two();
        builder.conductor(&format!("wire {number}"), ends);
    }
    for number in 0..plan.batteries {
        builder.battery(number);
    }
    for number in 0..plan.fuses {
        builder.fuse(number);
    }
    for number in 0..plan.relays {
        builder.relay(number);
    }
    for number in 0..plan.diodes {
        builder.diode(number);
    }
    builder.network
}

struct Builder<'a> {
    network: Network,
    dice: Dice,
    points: Vec<PointId>,
    value: &'a mut dyn FnMut(f64, f64) -> Spread,
}

impl Builder<'_> {
    fn two(&mut self) -> (PointId, PointId) {
        two(&mut self.dice, &self.points)
    }

    fn value(&mut self, low: f64, high: f64) -> Spread {
        (self.value)(low, high)
    }

    fn add(&mut self, name: &str, part: Part) {
        self.network.add(name, part).unwrap();
    }

    fn conductor(&mut self, name: &str, (from, to): (PointId, PointId)) {
        let (low, high) = self.dice.ohms();
        let ohm = self.value(low, high);
        let part = match self.dice.below(4) {
            0 => Part::Switch { from, to, position: Position::Closed, ohm },
            1 => Part::Motor { from, to, running: ohm, stalled: None },
            _ => Part::Conductor { from, to, ohm },
        };
        self.add(name, part);
    }

    fn battery(&mut self, number: usize) {
        let (minus, plus) = if number == 0 { (GROUND, self.points[1]) } else { self.two() };
        let low = 6.0 + 8.0 * self.dice.share();
        let most = 0.01 + 0.2 * self.dice.share();
        let (emf, internal) = (self.value(low, low * 1.1), self.value(0.01, most));
        self.add(&format!("battery {number}"), Part::Battery { minus, plus, emf, internal });
    }

    fn fuse(&mut self, number: usize) {
        let (from, to) = self.two();
        let rating = 10_f64.powf(2.0 * self.dice.share());
        let ohm = self.value(0.001, 0.002);
        self.add(&format!("fuse {number}"), Part::Fuse { from, to, rating, ohm });
    }

    fn relay(&mut self, number: usize) {
        let (coil, (common, make)) = (self.two(), self.two());
        let other = self.points[self.dice.below(self.points.len())];
        let rest = Some(other).filter(|other| *other != common && self.dice.below(2) == 0);
        let pull_in = 1.0 + 7.0 * self.dice.share();
        let (coil_ohm, contact_ohm) = (self.value(76.5, 93.5), self.value(0.001, 0.02));
        let (make, drop_out) = (Some(make), pull_in * 0.2);
        let relay = Relay { coil, coil_ohm, common, make, rest, contact_ohm, pull_in, drop_out };
        self.add(&format!("relay {number}"), Part::Relay(relay));
    }

    fn diode(&mut self, number: usize) {
        let (anode, cathode) = self.two();
        let (drop, ohm) = (self.value(0.6, 0.8), self.value(0.01, 0.05));
        self.add(&format!("diode {number}"), Part::Diode { anode, cathode, drop, ohm });
    }
}

/// Two different points.
pub(super) fn two(dice: &mut Dice, points: &[PointId]) -> (PointId, PointId) {
    let one = dice.below(points.len());
    let other = (one + 1 + dice.below(points.len() - 1)) % points.len();
    (points[one], points[other])
}
