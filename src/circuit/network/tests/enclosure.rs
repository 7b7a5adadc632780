//! Whatever values the parts have within their ranges, the reading lies within what is expected, and the outcome is one of those foretold.

use super::super::{Expected, Meter, Method, Network, NetworkProblem, Outcome, Reading, Spread};
use super::random::{Dice, Plan, build, two};

/// A random reading of a network.
fn reading(dice: &mut Dice, network: &Network) -> Reading {
    let points: Vec<_> = network.points.all_named().collect();
    match dice.below(3) {
        0 => {
            let part = super::super::PartId(dice.below(network.parts.len()));
            Reading::current(part)
        }
        1 => {
            let (from, to) = two(dice, &points);
            Reading::Resistance { from, to }
        }
        _ => {
            let (plus, minus) = two(dice, &points);
            let meters = [Meter::Voltmeter, Meter::LowImpedance, Meter::TestLamp(Spread::between(20.0, 30.0).unwrap())];
            Reading::Voltage { plus, minus, meter: meters[dice.below(3)] }
        }
    }
}

fn is_same(one: &Outcome, other: &Outcome) -> bool {
    one.pulled_in == other.pulled_in && one.conducting == other.conducting && one.state == other.state
}

/// Checks samples of one network, in which one range of `thinning` stays and the others become exact; returns how many were checked.
fn check(seed: u64, plan: Plan, thinning: usize, samples: u64) -> (usize, Option<Expected>) {
    let mut thin = Dice(seed ^ 0x5151);
    let wide = build(seed, plan, &mut |low, high| {
        let high = if thin.below(thinning) == 0 { high } else { low };
        Spread::between(low, high).unwrap()
    });
    let mut dice = Dice(seed.wrapping_mul(77));
    let reading = reading(&mut dice, &wide);
    let expected = match wide.expected(&reading) {
        Ok(expected) => expected,
        Err(NetworkProblem::TooManyOutcomes { .. }) => return (0, None),
        Err(problem) => panic!("seed {seed}: {problem}"),
    };
    let mut checked = 0;
    for sample in 0..samples {
        let mut dice = Dice(seed ^ (sample << 32));
        let mut thin = Dice(seed ^ 0x5151);
        let narrow = build(seed, plan, &mut |low, high| {
            let high = if thin.below(thinning) == 0 { high } else { low };
            Spread::exactly(dice.within(low, high)).unwrap()
        });
        let fitted = narrow.with_instrument(&reading).unwrap();
        for solution in fitted.solve().unwrap() {
            let found = fitted.read(&reading, &solution).unwrap_or(0.0);
            let outcome = expected.outcomes.iter().find(|outcome| is_same(&outcome.outcome, &solution.outcome));
            let Some(outcome) = outcome else {
                panic!("seed {seed}: outcome {:?} was not foretold", solution.outcome.words(&fitted));
            };
            let range = outcome.range;
            let slack = 1e-9 * found.abs().max(1.0); // the sample's own rounding
            assert!(
                found == range.low || (range.low - slack <= found && found <= range.high + slack),
                "seed {seed}: {found} outside {range:?} by {reading:?}"
            );
            checked += 1;
        }
    }
    (checked, Some(expected))
}

#[test]
fn samples_lie_inside_without_devices() {
    let plan = Plan { points: 5, conductors: 3, batteries: 1, fuses: 0, relays: 0, diodes: 0 };
    let mut at_corners = 0;
    for seed in 0..150 {
        let (checked, expected) = check(seed, plan, 1, 20);
        assert_eq!(checked, 20);
        at_corners += usize::from(expected.unwrap().outcomes[0].method == Method::EveryCorner);
    }
    assert!(at_corners > 140, "corners in {at_corners} of 150");
}

#[test]
fn samples_lie_inside_with_devices() {
    let plan = Plan { points: 6, conductors: 2, batteries: 2, fuses: 2, relays: 2, diodes: 1 };
    let (mut given_up, mut checked, mut several) = (0, 0, 0);
    for seed in 1000..1120 {
        let (samples, expected) = check(seed, plan, 3, 12);
        checked += samples;
        match expected {
            None => given_up += 1,
            Some(expected) => several += usize::from(expected.outcomes.len() > 1),
        }
    }
    assert!(given_up < 5, "{given_up} given up");
    assert!(checked > 1300 && several > 20, "{checked} samples, {several} with several outcomes");
}

#[test]
fn samples_lie_inside_with_many_ranges() {
    let plan = Plan { points: 12, conductors: 14, batteries: 2, fuses: 0, relays: 0, diodes: 0 };
    let mut star_mesh = 0;
    for seed in 2000..2060 {
        let (_, expected) = check(seed, plan, 1, 12);
        star_mesh += usize::from(expected.unwrap().outcomes[0].method == Method::StarMesh);
    }
    assert!(star_mesh > 10, "star-mesh in {star_mesh} of 60");
}
