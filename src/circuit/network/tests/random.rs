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
    let mut dice = Dice(seed);
    let mut network = Network::new();
    let mut points = vec![GROUND];
    for number in 1..plan.points {
        points.push(network.point(&format!("p{number}")));
        let ends = (points[dice.below(number)], points[number]);
        conductor(
            &mut network,
            &mut dice,
            &format!("tree {number}"),
            ends,
            value,
        );
    }
    for number in 0..plan.conductors {
        let ends = two(&mut dice, &points);
        conductor(
            &mut network,
            &mut dice,
            &format!("wire {number}"),
            ends,
            value,
        );
    }
    for number in 0..plan.batteries {
        let (minus, plus) = if number == 0 {
            (GROUND, points[1])
        } else {
            two(&mut dice, &points)
        };
        let low = 6.0 + 8.0 * dice.share();
        let (emf, internal) = (
            value(low, low * 1.1),
            value(0.01, 0.01 + 0.2 * dice.share()),
        );
        network
            .add(
                &format!("battery {number}"),
                Part::Battery {
                    minus,
                    plus,
                    emf,
                    internal,
                },
            )
            .unwrap();
    }
    for number in 0..plan.fuses {
        let (from, to) = two(&mut dice, &points);
        let rating = 10_f64.powf(2.0 * dice.share());
        let ohm = value(0.001, 0.002);
        network
            .add(
                &format!("fuse {number}"),
                Part::Fuse {
                    from,
                    to,
                    rating,
                    ohm,
                },
            )
            .unwrap();
    }
    for number in 0..plan.relays {
        relay(
            &mut network,
            &mut dice,
            &format!("relay {number}"),
            &points,
            value,
        );
    }
    for number in 0..plan.diodes {
        let (anode, cathode) = two(&mut dice, &points);
        let (drop, ohm) = (value(0.6, 0.8), value(0.01, 0.05));
        network
            .add(
                &format!("diode {number}"),
                Part::Diode {
                    anode,
                    cathode,
                    drop,
                    ohm,
                },
            )
            .unwrap();
    }
    network
}

fn conductor(
    network: &mut Network,
    dice: &mut Dice,
    name: &str,
    (from, to): (PointId, PointId),
    value: &mut dyn FnMut(f64, f64) -> Spread,
) {
    let (low, high) = dice.ohms();
    let ohm = value(low, high);
    let part = match dice.below(4) {
        0 => Part::Switch {
            from,
            to,
            position: Position::Closed,
            ohm,
        },
        1 => Part::Motor {
            from,
            to,
            running: ohm,
            stalled: None,
        },
        _ => Part::Conductor { from, to, ohm },
    };
    network.add(name, part).unwrap();
}

fn relay(
    network: &mut Network,
    dice: &mut Dice,
    name: &str,
    points: &[PointId],
    value: &mut dyn FnMut(f64, f64) -> Spread,
) {
    let coil = two(dice, points);
    let (common, make) = two(dice, points);
    let other = points[dice.below(points.len())];
    let rest = Some(other).filter(|other| *other != common && dice.below(2) == 0);
    let pull_in = 1.0 + 7.0 * dice.share();
    let part = Relay {
        coil,
        coil_ohm: value(76.5, 93.5),
        common,
        make: Some(make),
        rest,
        contact_ohm: value(0.001, 0.02),
        pull_in,
        drop_out: pull_in * 0.2,
    };
    network.add(name, Part::Relay(part)).unwrap();
}

/// Two different points.
pub(super) fn two(dice: &mut Dice, points: &[PointId]) -> (PointId, PointId) {
    let one = dice.below(points.len());
    let other = (one + 1 + dice.below(points.len() - 1)) % points.len();
    (points[one], points[other])
}
