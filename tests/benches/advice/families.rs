//! How long the exact order takes for families of random problems of the sizes that were published with the method:
//! five instances each, weights 1 to 20, as many tests as faults, every fault deciding every test.

use ruleout::advice::planner::{Budget, Problem, Test, plan};

use super::clock;
use super::world::Dice;

/// Which faults a test of a family touches: by fault number, test number and size.
type Touches = fn(&mut Dice, usize, usize) -> Vec<usize>;

struct Family {
    name: &'static str,
    size: usize,
    /// Costs 1 to 10, else all 1.
    costs: bool,
    touches: Touches,
}

fn dense(dice: &mut Dice, _: usize, size: usize) -> Vec<usize> {
    (0..size).map(|_| usize::from(dice.unit() < 0.5)).collect()
}

fn sparse(dice: &mut Dice, _: usize, size: usize) -> Vec<usize> {
    (0..size).map(|_| usize::from(dice.unit() < 0.2)).collect()
}

fn three(dice: &mut Dice, _: usize, size: usize) -> Vec<usize> {
    (0..size).map(|_| usize::from(dice.unit() * (size as f64) < 3.0)).collect()
}

fn band(dice: &mut Dice, _: usize, size: usize) -> Vec<usize> {
    let (a, b) = (dice.pick(&vec![1.0; size]), dice.pick(&vec![1.0; size]));
    (0..size).map(|n| usize::from(a.min(b) <= n && n <= a.max(b))).collect()
}

fn chain(_: &mut Dice, test: usize, size: usize) -> Vec<usize> {
    (0..size).map(|n| usize::from(n <= test)).collect()
}

fn single(_: &mut Dice, test: usize, size: usize) -> Vec<usize> {
    (0..size).map(|n| usize::from(n == test)).collect()
}

const FAMILIES: &[Family] = &[
    Family { name: "dense, half of the faults a test", size: 120, costs: false, touches: dense },
    Family { name: "dense, half of the faults a test", size: 120, costs: true, touches: dense },
    Family { name: "a fifth of the faults a test", size: 120, costs: false, touches: sparse },
    Family { name: "a fifth of the faults a test", size: 64, costs: true, touches: sparse },
    Family { name: "about 3 faults a test", size: 50, costs: false, touches: three },
    Family { name: "about 3 faults a test", size: 32, costs: true, touches: three },
    Family { name: "bands of neighbours", size: 120, costs: false, touches: band },
    Family { name: "bands of neighbours", size: 80, costs: true, touches: band },
    Family { name: "chain", size: 120, costs: true, touches: chain },
    Family { name: "one test a fault", size: 32, costs: true, touches: single },
    Family { name: "one test a fault", size: 40, costs: false, touches: single },
];

fn problem(family: &Family, seed: u64) -> Problem {
    let mut dice = Dice::new(seed);
    let mut whole = |most: usize| (1 + dice.pick(&vec![1.0; most])) as f64;
    let weights = (0..family.size).map(|_| whole(20)).collect();
    let costs: Vec<f64> = (0..family.size).map(|_| if family.costs { whole(10) } else { 1.0 }).collect();
    let tests = costs.into_iter().enumerate();
    let tests = tests.map(|(n, cost)| Test::decided(cost, &(family.touches)(&mut dice, n, family.size))).collect();
    Problem { weights, tests }
}

pub(crate) fn print() {
    println!("exact order, five instances a family: how many are proved, the most processor time, the most states");
    for family in FAMILIES {
        let (mut exact, mut longest, mut states) = (0, 0.0_f64, 0);
        for seed in 0..5 {
            let problem = problem(family, 1000 + seed);
            let start = clock::now();
            let found = plan(&problem, Budget { states: 100_000 }).unwrap();
            longest = longest.max(clock::now() - start);
            states = states.max(found.states);
            exact += usize::from(found.exact);
        }
        let costs = if family.costs { "costs 1 to 10" } else { "one cost" };
        println!(
            "  {:<34} {costs:<14} {:>4}: {exact} of 5, {longest:>6.2} s, {states} states",
            family.name, family.size
        );
    }
    println!();
}
