//! Times of the engines by themselves: the circuit solver and the planner. `cargo bench --bench engines`
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::time::Instant;

use ruleout::advice::planner::{Budget, Problem, Test, myopic, plan};
use ruleout::circuit::network::{GROUND, Network, Part, PointId, Spread};

/// Best time of one call, seconds, over five rounds.
fn best_time(calls: u32, call: impl Fn()) -> f64 {
    let round = |_| {
        let start = std::time::Instant::now();
        (0..calls).for_each(|_| call());
        start.elapsed().as_secs_f64() / f64::from(calls)
    };
    (0..5).map(round).fold(f64::INFINITY, f64::min)
}

fn exactly(value: f64) -> Spread {
    Spread::exactly(value).unwrap()
}

fn conductor(from: PointId, to: PointId, ohm: f64) -> Part {
    Part::Conductor { from, to, ohm: exactly(ohm) }
}

fn battery(plus: PointId, emf: f64, internal: f64) -> Part {
    Part::Battery { minus: GROUND, plus, emf: exactly(emf), internal: exactly(internal) }
}

/// A grid of 5 by 6 points, 49 resistances, one battery.
fn grid() -> Network {
    let mut network = Network::new();
    let mut points = vec![GROUND];
    points.extend((1..30).map(|number| network.point(&format!("point {number}"))));
    for (number, ohm) in (0..30).zip(1_i32..) {
        let ohm = f64::from(ohm);
        if number % 6 < 5 {
            network.add(&format!("across {number}"), conductor(points[number], points[number + 1], ohm)).unwrap();
        }
        if number < 24 {
            network.add(&format!("down {number}"), conductor(points[number], points[number + 6], ohm)).unwrap();
        }
    }
    network.add("battery", battery(points[29], 12.0, 0.02)).unwrap();
    network
}

/// `SplitMix64` (Steele, Lea & Flood 2014): the same instances on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let once = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((twice ^ (twice >> 31)) % sides as u64).unwrap()
    }

    fn number(&mut self, sides: usize) -> f64 {
        f64::from(u32::try_from(self.below(sides)).unwrap())
    }
}

fn planner(size: usize, touched: usize) {
    let mut dice = Dice(200);
    let mut row = || (0..size).map(|_| usize::from(dice.below(size) < touched)).collect::<Vec<_>>();
    let splits: Vec<Vec<usize>> = (0..size).map(|_| row()).collect();
    let tests = splits.iter().map(|split| Test::decided(1.0 + dice.number(10), split)).collect();
    let problem = Problem { weights: (0..size).map(|_| 1.0 + dice.number(20)).collect(), tests };
    let start = Instant::now();
    let plan = plan(&problem, Budget::for_problem(&problem)).unwrap();
    let order = start.elapsed().as_secs_f64();
    let gap = plan.gap().unwrap_or_default() * 100.0;
    let next = best_time(3, || drop(myopic(&problem).unwrap()));
    println!(
        "{size} faults x {size} tests, about {touched} a test: order {order:5.2} s, gap {gap:5.1} %; next {:6.1} ms",
        next * 1e3
    );
}

pub(crate) fn main() {
    let network = grid();
    let seconds = best_time(500, || assert_eq!(network.solve().unwrap().len(), 1));
    println!("one solve of a 30-point network: {:.1} µs", seconds * 1e6);
    for (size, touched) in [(200, 100), (200, 40), (200, 10), (200, 3), (500, 100)] {
        planner(size, touched);
    }
}
