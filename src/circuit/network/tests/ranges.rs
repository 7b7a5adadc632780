//! How tight the ranges are, and which parts have to have one.

use super::super::{Defect, Method, Network, Part, PartId, Place, Range, Reading, Spread, fuse};
use super::random::{Dice, Plan, build};
use super::{Bench, between, exactly};

/// The hull of a reading over every corner of the network's own ranges, each solved alone.
fn brute_force(network: &Network, reading: &Reading, plan: Plan, seed: u64) -> Range {
    let count = ranges(network);
    let mut hull: Option<Range> = None;
    for corner in 0..1_u64 << count {
        let mut bit = 0;
        let at_corner = build(seed, plan, &mut |low, high| {
            let is_high = high > low && {
                bit += 1;
                (corner >> (bit - 1)) & 1 == 1
            };
            exactly(if is_high { high } else { low })
        });
        let fitted = at_corner.with_instrument(reading).unwrap();
        let found = fitted.read(reading, &fitted.solve().unwrap()[0]).unwrap_or(0.0);
        hull = Some(hull.map_or(Range::exactly(found), |hull| hull.hull(Range::exactly(found))));
    }
    hull.unwrap()
}

fn ranges(network: &Network) -> usize {
    let spreads = network.parts.iter().flat_map(|fitted| {
        let mut part = fitted.part.clone();
        part.spreads().into_iter().map(|spread| spread.high() > spread.low()).collect::<Vec<_>>()
    });
    spreads.filter(|is_wide| *is_wide).count()
}

#[test]
fn corners_of_the_reduced_network_are_those_of_the_whole() {
    let plan = Plan { points: 5, conductors: 2, batteries: 1, fuses: 0, relays: 0, diodes: 0 };
    let mut checked = 0;
    for seed in 0..60 {
        let network = build(seed, plan, &mut |low, high| Spread::between(low, high).unwrap());
        if ranges(&network) > 7 {
            continue;
        }
        let mut dice = Dice(seed);
        let points: Vec<_> = network.points.all_named().collect();
        let (plus, minus) = super::random::two(&mut dice, &points);
        let part = PartId(dice.below(network.parts.len()));
        for reading in
            [Reading::voltage(plus, minus), Reading::current(part), Reading::Resistance { from: plus, to: minus }]
        {
            let expected = network.expected(&reading).unwrap();
            let hull = brute_force(&network, &reading, plan, seed);
            let range = expected.range();
            assert_eq!(expected.outcomes[0].method, Method::EveryCorner);
            for (found, wanted) in [(range.low, hull.low), (range.high, hull.high)] {
                let slack = 1e-9 * wanted.abs().max(1.0);
                assert!(found == wanted || (found - wanted).abs() < slack, "seed {seed}: {range:?} against {hull:?}");
            }
            checked += 1;
        }
    }
    assert!(checked > 90, "{checked}");
}

/// A ladder with a tap at every step, so that nothing is in series or parallel.
fn ladder(steps: usize) -> Bench {
    let mut bench = Bench::new(between(12.0, 14.0), between(0.01, 0.02));
    let name = |step: usize| {
        if step == 0 { "post".to_owned() } else { format!("step {step}") }
    };
    for step in 0..steps {
        bench.ohm(&format!("wire {step}"), &name(step), &name(step + 1), between(0.10, 0.12));
        bench.ohm(&format!("load {step}"), &name(step + 1), "ground", between(4.0, 5.0));
    }
    bench
}

#[test]
fn too_many_ranges_are_still_enclosed_and_not_much_wider() {
    let bench = ladder(9);
    let reading = bench.reading("step 9");
    let expected = bench.network.expected(&reading).unwrap();
    assert_eq!(expected.outcomes[0].method, Method::StarMesh);
    // every load pulls the far end down and every wire too, so its extremes are known
    let solved = |emf, internal, wire, load| {
        let mut extreme = Bench::new(exactly(emf), exactly(internal));
        let name = |step: usize| {
            if step == 0 { "post".to_owned() } else { format!("step {step}") }
        };
        for step in 0..9 {
            extreme.ohm(&format!("wire {step}"), &name(step), &name(step + 1), exactly(wire));
            extreme.ohm(&format!("load {step}"), &name(step + 1), "ground", exactly(load));
        }
        let fitted = extreme.network.with_instrument(&reading).unwrap();
        fitted.read(&reading, &fitted.solve().unwrap()[0]).unwrap()
    };
    let (low, high) = (solved(12.0, 0.02, 0.12, 4.0), solved(14.0, 0.01, 0.10, 5.0));
    let range = expected.range();
    assert!(range.low <= low && high <= range.high, "{range:?} against {low} to {high}");
    assert!(range.width() < 1.5 * (high - low), "{range:?} against {low} to {high}");
}

#[test]
fn a_joint_of_at_most_some_ohm_may_be_perfect() {
    let mut bench = Bench::twelve_volts();
    bench.ohm("joint", "post", "out", between(0.0, 1.0));
    bench.ohm("load", "out", "ground", exactly(1.0));
    let range = bench.network.expected(&bench.reading("out")).unwrap().range();
    assert!((range.high - 12.0).abs() < 2e-5 && (range.low - 6.0).abs() < 1e-5, "{range:?}");
}

#[test]
fn an_ideal_source_with_a_range_keeps_its_loads_together() {
    // the bridge is balanced at every source voltage, so the range must not open it
    let mut bench = Bench::new(between(10.0, 14.0), exactly(0.0));
    for (name, from, to) in
        [("R1", "post", "left"), ("R2", "left", "ground"), ("R3", "post", "right"), ("R4", "right", "ground")]
    {
        bench.ohm(name, from, to, exactly(100.0));
    }
    let [left, right] = ["left", "right"].map(|name| bench.network.find_point(name).unwrap());
    let range = bench.network.expected(&Reading::voltage(left, right)).unwrap().range();
    assert!(range.contains(0.0) && range.width() < 1e-12, "{range:?}");
    let post = bench.network.find_part("battery").unwrap();
    let range = bench.network.expected(&Reading::current(post)).unwrap().range();
    assert!((range.low - 0.1).abs() < 1e-12 && (range.high - 0.14).abs() < 1e-12, "{range:?}");
}

#[test]
fn a_presumed_value_counts_only_where_it_shows() {
    let mut bench = Bench::new(between(12.0, 12.6), between(0.01, 0.03));
    let (from, to) = (bench.point("post"), bench.point("load"));
    let part = Part::Fuse { from, to, rating: 20.0, ohm: fuse::usual_resistance(20.0).unwrap() };
    let fuse = bench.network.add("F1", part).unwrap();
    let load = bench.ohm("load", "load", "ground", between(0.9, 1.1));
    let reading = bench.reading("load");
    // 12 A through about 5 mohm: 60 mV, seen
    let loaded = bench.network.expected(&reading).unwrap();
    assert_eq!((loaded.is_exact(), loaded.unranged.as_slice()), (false, &[fuse][..]));
    // unplugged, only the meter's current flows: not seen
    let unplugged = bench.network.with(&[Defect::Open(load.into())]).unwrap();
    assert!(unplugged.expected(&reading).unwrap().is_exact());
    // upstream of the fuse it matters little enough
    let at: Place = fuse.into();
    let ranged = bench.network.with(&[Defect::Becomes { at, ohm: between(0.002, 0.008) }]).unwrap();
    assert!(ranged.expected(&reading).unwrap().is_exact());
}

#[test]
fn a_conductor_with_a_range_on_a_dead_branch_does_not_widen_anything() {
    let mut bench = Bench::twelve_volts();
    bench.ohm("feed", "post", "out", exactly(1.0));
    bench.ohm("load", "out", "ground", exactly(5.0));
    bench.ohm("stub", "out", "nowhere", between(0.1, 100.0));
    bench.ohm("elsewhere", "post", "ground", between(0.1, 100.0));
    let range = bench.network.expected(&bench.reading("out")).unwrap().range();
    assert!(range.width() < 1e-12 && (range.low - 10.0).abs() < 1e-5, "{range:?}");
}
