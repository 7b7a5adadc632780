//! Relays, fuses and diodes: where they end up.

use super::super::{Defect, GROUND, Network, Position, Reading};
use super::{Bench, between, exactly, is_near};

/// A relay whose coil hangs on a resistance that sets its voltage; lamps on both contacts.
fn relay_at(coil_volts: f64) -> Bench {
    let mut bench = Bench::twelve_volts();
    // 85 ohm coil behind r: U = 12 · 85 / (85 + r)
    bench.ohm("series", "post", "86", exactly(85.0 * (12.0 / coil_volts - 1.0)));
    bench.relay("K1", ("86", "ground"), "post", Some("87"), Some("87a"));
    bench.ohm("lamp 87", "87", "ground", exactly(100.0));
    bench.ohm("lamp 87a", "87a", "ground", exactly(100.0));
    bench
}

#[test]
fn a_relay_follows_its_coil_voltage() {
    // mini ISO 12 V relay: pull-in at most 8.0 V, drop-out at least 1.5 V (data sheet, check-values.md section 3)
    let lit = 12.0 * 100.0 / 100.01;
    let sure = relay_at(8.0);
    assert!(is_near(sure.volts("87"), lit) && is_near(sure.volts("87a"), 0.0));
    let out = relay_at(1.5);
    assert!(is_near(out.volts("87"), 0.0) && is_near(out.volts("87a"), lit));
    // between the two a data sheet leaves it open: both are kept
    let either = relay_at(5.0);
    let solutions = either.network.solve().unwrap();
    let pulled: Vec<usize> = solutions.iter().map(|solution| solution.outcome.pulled_in.len()).collect();
    assert_eq!(pulled, [0, 1]);
    let expected = either.network.expected(&either.reading("87")).unwrap();
    assert!(expected.range().low == 0.0 && (expected.range().high - lit).abs() < 1e-6);
    assert_eq!(expected.outcomes.len(), 2);
    // a reading between the outcomes fits neither
    assert!(!expected.allows(super::super::Range::between(3.0, 9.0)));
}

#[test]
fn coil_polarity_does_not_matter_without_a_diode() {
    let mut bench = Bench::twelve_volts();
    bench.relay("K1", ("ground", "post"), "post", Some("87"), None);
    bench.ohm("lamp", "87", "ground", exactly(100.0));
    assert_eq!(bench.solved().outcome.pulled_in.len(), 1);
}

#[test]
fn two_outcomes_when_the_supply_range_straddles_pull_in() {
    let mut bench = Bench::new(between(1.0, 12.0), exactly(0.02));
    bench.relay("K1", ("post", "ground"), "post", Some("87"), None);
    bench.ohm("lamp", "87", "ground", exactly(100.0));
    let expected = bench.network.expected(&bench.reading("87")).unwrap();
    assert_eq!(expected.outcomes.len(), 2);
    assert!(expected.range().low == 0.0 && expected.range().high > 11.9 && expected.range().high < 12.0);
}

#[test]
fn a_relay_that_cuts_its_own_coil_chatters() {
    let mut bench = Bench::twelve_volts();
    let relay = bench.relay("K1", ("87a", "ground"), "post", None, Some("87a"));
    let solutions = bench.network.solve().unwrap();
    assert_eq!(solutions.len(), 2);
    assert!(solutions.iter().all(|solution| solution.outcome.chattering == [relay]));
    assert!(solutions[0].outcome.words(&bench.network).contains(&"relay `K1` chatters, while it is out".to_owned()));
    let expected = bench.network.expected(&bench.reading("87a")).unwrap();
    assert!(!expected.is_exact() && expected.range().contains(0.0) && expected.range().contains(11.99));
}

#[test]
fn a_sagging_battery_makes_a_relay_chatter_until_the_fuse_opens() {
    // 12 V behind 1 ohm: pulled in, the short drags the post to 0.13 V and the relay lets go
    let mut bench = Bench::new(exactly(12.0), exactly(1.0));
    let relay = bench.relay("K1", ("post", "ground"), "post", Some("87"), None);
    let fuse = bench.fuse("F1", "87", "load", 5.0);
    bench.ohm("short", "load", "ground", exactly(0.001));
    let solutions = bench.network.solve().unwrap();
    let chattering = solutions.iter().filter(|solution| solution.outcome.chattering == [relay]).count();
    assert_eq!(chattering, 2);
    let blown: Vec<_> = solutions.iter().filter(|solution| !solution.outcome.blown.is_empty()).collect();
    assert_eq!(blown.len(), 1);
    assert_eq!(blown[0].outcome.blown[0].fuse, fuse);
    assert_eq!(blown[0].outcome.pulled_in, [relay]);
}

#[test]
fn a_race_of_two_relays_has_two_winners() {
    // each coil is fed through the other's break contact
    let mut bench = Bench::twelve_volts();
    let first = bench.relay("K1", ("a", "ground"), "post", None, Some("b"));
    let second = bench.relay("K2", ("b", "ground"), "post", None, Some("a"));
    let solutions = bench.network.solve().unwrap();
    let winners: Vec<_> = solutions.iter().map(|solution| solution.outcome.pulled_in.clone()).collect();
    assert_eq!(winners, [vec![first], vec![second]]);
}

#[test]
fn a_relay_chain_settles_one_after_the_other() {
    let mut bench = Bench::twelve_volts();
    bench.relay("K1", ("post", "ground"), "post", Some("one"), None);
    bench.relay("K2", ("one", "ground"), "post", Some("two"), None);
    bench.relay("K3", ("two", "ground"), "post", Some("three"), None);
    bench.ohm("lamp", "three", "ground", exactly(10.0));
    assert!(is_near(bench.volts("three"), 12.0 * 10.0 / 10.01));
    assert_eq!(bench.solved().outcome.pulled_in.len(), 3);
}

#[test]
fn the_weakest_fuse_opens_and_spares_the_rest() {
    // 30 A through a 20 A and a 10 A fuse in line: 150 % and 300 %; the 10 A fuse opens, the other never does
    let mut bench = Bench::twelve_volts();
    bench.fuse("main", "post", "box", 20.0);
    let branch = bench.fuse("branch", "box", "load", 10.0);
    bench.ohm("load", "load", "ground", exactly(0.398));
    let outcome = bench.solved().outcome;
    let blown: Vec<_> = outcome.blown.iter().map(|blown| blown.fuse).collect();
    assert_eq!(blown, [branch]);
    assert!((outcome.blown[0].share.low - 3.0).abs() < 1e-9);
    // ISO 8820-3: between the gates of 200 % and 350 % within 5 s
    assert_eq!(outcome.words(&bench.network), ["fuse `branch` opens, at 300 % of its rating or more, within 5 s"]);
}

#[test]
fn fuses_side_by_side_open_in_turn() {
    // 30 A shared by 10 A and 15 A: 15 A each; 150 % and 100 %; then 30 A on the other: 200 %
    let mut bench = Bench::twelve_volts();
    let small = bench.fuse("small", "post", "load", 10.0);
    let large = bench.fuse("large", "post", "load", 15.0);
    bench.ohm("load", "load", "ground", exactly(0.4));
    let blown: Vec<_> = bench.solved().outcome.blown.iter().map(|blown| blown.fuse).collect();
    assert_eq!(blown, [small, large]);
    assert!(is_near(bench.volts("load"), 0.0));
}

#[test]
fn a_fuse_range_over_the_gates_keeps_both_outcomes() {
    // 20 A fuse, 12 V over 0.5 to 0.7 ohm: 17 A to 24 A, 86 % to 120 %
    let mut bench = Bench::twelve_volts();
    bench.fuse("F1", "post", "load", 20.0);
    bench.ohm("load", "load", "ground", between(0.5, 0.7));
    let expected = bench.network.expected(&bench.reading("load")).unwrap();
    assert_eq!(expected.outcomes.len(), 2);
    let ranges: Vec<_> = expected.outcomes.iter().map(|outcome| outcome.range).collect();
    assert!(ranges[0].low > 11.9 && ranges[1].high == 0.0);
}

#[test]
fn a_diode_conducts_one_way() {
    let mut bench = Bench::twelve_volts();
    bench.diode("D1", "post", "forward");
    bench.ohm("lamp 1", "forward", "ground", exactly(10.0));
    bench.diode("D2", "backward", "post");
    bench.ohm("lamp 2", "backward", "ground", exactly(10.0));
    assert!(is_near(bench.volts("forward"), 11.3 * 10.0 / 10.01));
    assert!(is_near(bench.volts("backward"), 0.0));
}

#[test]
fn a_suppression_diode_the_wrong_way_round_shorts_the_coil() {
    let mut bench = Bench::new(exactly(12.0), exactly(0.02));
    let fuse = bench.fuse("F1", "post", "86", 5.0);
    bench.relay("K1", ("86", "ground"), "post", Some("87"), None);
    bench.diode("D1", "86", "ground");
    let outcomes = bench.network.solve().unwrap();
    assert!(outcomes.iter().all(|solution| { solution.outcome.blown.iter().any(|blown| blown.fuse == fuse) }));
    // the right way round it only blocks
    let mut bench = Bench::new(exactly(12.0), exactly(0.02));
    bench.fuse("F1", "post", "86", 5.0);
    bench.relay("K1", ("86", "ground"), "post", Some("87"), None);
    bench.diode("D1", "ground", "86");
    let outcome = bench.solved().outcome;
    assert!(outcome.blown.is_empty() && outcome.pulled_in.len() == 1 && outcome.conducting.is_empty());
}

#[test]
fn two_batteries_in_line_and_diodes_that_choose_the_higher() {
    let mut network = Network::new();
    let [middle, post, bus] = ["middle", "post", "bus"].map(|name| network.point(name));
    let battery =
        |minus, plus, emf: f64| super::super::Part::Battery { minus, plus, emf: exactly(emf), internal: exactly(0.01) };
    network.add("lower", battery(GROUND, middle, 12.4)).unwrap();
    network.add("upper", battery(middle, post, 12.6)).unwrap();
    let diode = |anode| super::super::Part::Diode { anode, cathode: bus, drop: exactly(0.7), ohm: exactly(0.01) };
    network.add("D1", diode(middle)).unwrap();
    network.add("D2", diode(post)).unwrap();
    network.add("load", super::super::Part::Conductor { from: bus, to: GROUND, ohm: exactly(10.0) }).unwrap();
    let solution = &network.solve().unwrap()[0];
    assert!(is_near(solution.voltage(bus), (25.0 - 0.7) * 10.0 / 10.03));
    assert_eq!(solution.outcome.conducting, [network.find_part("D2").unwrap()]);
    let current = Reading::current(network.find_part("upper").unwrap());
    assert!(network.expected(&current).unwrap().range().contains((25.0 - 0.7) / 10.03));
}

#[test]
fn a_stuck_relay_ignores_its_coil() {
    let mut bench = relay_at(12.0);
    let relay = bench.network.find_part("K1").unwrap();
    let stuck = |position| bench.network.with(&[Defect::Sticks { part: relay, position }]).unwrap();
    let welded = stuck(Position::Closed).with(&[Defect::Open(relay.coil())]).unwrap();
    let lamp = bench.network.find_point("87").unwrap();
    assert!(welded.solve().unwrap()[0].voltage(lamp).unwrap() > 11.9);
    assert!(is_near(stuck(Position::Open).solve().unwrap()[0].voltage(lamp), 0.0));
    bench.point("unused");
}
