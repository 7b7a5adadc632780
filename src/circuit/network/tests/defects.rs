//! Faults as changes of the sound network, and what each instrument makes of them.

use super::super::{Ammeter, Defect, GROUND, Meter, Part, Position, Reading, Spread};
use super::{Bench, between, exactly, is_near};

/// 12 V, a feed of 0.1 ohm, a lamp of 5.9 ohm: 2 A.
fn lamp() -> Bench {
    let mut bench = Bench::twelve_volts();
    bench.ohm("feed", "post", "lamp plus", exactly(0.1));
    bench.ohm("lamp", "lamp plus", "ground", exactly(5.9));
    bench
}

#[test]
fn added_resistance_drops_volts_only_under_load() {
    let bench = lamp();
    let feed = bench.network.find_part("feed").unwrap();
    let faulty = bench.network.with(&[Defect::Adds { at: feed.into(), ohm: between(0.2, 5.0) }]).unwrap();
    let expected = faulty.expected(&bench.reading("lamp plus")).unwrap();
    // 12 · 5.9 / (6 + 0.2 … 5), the meter's 10 Mohm aside
    assert!((expected.range().high - 12.0 * 5.9 / 6.2).abs() < 1e-5, "{:?}", expected.range());
    assert!((expected.range().low - 12.0 * 5.9 / 11.0).abs() < 1e-5, "{:?}", expected.range());
    assert!(expected.is_exact() && expected.floating.is_empty());
    let unplugged = faulty.with(&[Defect::Open(bench.network.find_part("lamp").unwrap().into())]).unwrap();
    let expected = unplugged.expected(&bench.reading("lamp plus")).unwrap();
    assert!(expected.range().low > 11.9999, "{:?}", expected.range());
}

#[test]
fn a_test_lamp_finds_what_a_voltmeter_does_not() {
    let bench = lamp();
    let [feed, lamp] = ["feed", "lamp"].map(|name| bench.network.find_part(name).unwrap());
    let faults = [Defect::Adds { at: feed.into(), ohm: exactly(1000.0) }, Defect::Open(lamp.into())];
    let faulty = bench.network.with(&faults).unwrap();
    let plus = bench.network.find_point("lamp plus").unwrap();
    let shown = |meter| faulty.expected(&Reading::Voltage { plus, minus: GROUND, meter }).unwrap().range().high;
    assert!(shown(Meter::Voltmeter) > 11.99);
    assert!((shown(Meter::LowImpedance) - 12.0 * 3000.0 / 4000.1).abs() < 1e-9);
    // 5 W lamp at 12 V: 28.8 ohm
    let five_watts = Meter::TestLamp(Spread::from_power(12.0, 5.0).unwrap());
    assert!((shown(five_watts) - 12.0 * 28.8 / (28.8 + 1000.1)).abs() < 1e-9);
}

#[test]
fn a_floating_point_reads_nothing_and_is_named() {
    let bench = lamp();
    let [feed, lamp] = ["feed", "lamp"].map(|name| bench.network.find_part(name).unwrap());
    let faulty = bench.network.with(&[Defect::Open(feed.into()), Defect::Open(lamp.into())]).unwrap();
    let plus = bench.network.find_point("lamp plus").unwrap();
    let expected = faulty.expected(&bench.reading("lamp plus")).unwrap();
    assert_eq!((expected.range().low, expected.range().high), (0.0, 0.0));
    assert_eq!(expected.floating, [plus]);
    let solution = &faulty.solve().unwrap()[0];
    assert_eq!((solution.voltage(plus), solution.floating()), (None, &[plus][..]));
}

#[test]
fn an_open_ground_shows_the_feed_at_the_low_side() {
    let mut bench = Bench::twelve_volts();
    bench.ohm("motor", "post", "motor minus", exactly(3.0));
    let ground = bench.ohm("ground lead", "motor minus", "ground", exactly(0.02));
    let faulty = bench.network.with(&[Defect::Open(ground.into())]).unwrap();
    let expected = faulty.expected(&bench.reading("motor minus")).unwrap();
    assert!(expected.range().low > 11.99999);
}

#[test]
fn a_weak_battery_sags() {
    let mut bench = Bench::new(exactly(12.6), exactly(0.02));
    bench.ohm("load", "post", "ground", exactly(1.0));
    let battery = bench.network.find_part("battery").unwrap();
    let weak = Defect::Weak { battery, emf: Some(between(11.5, 12.0)), internal: Some(between(0.1, 0.5)) };
    let expected = bench.network.with(&[weak]).unwrap().expected(&bench.reading("post")).unwrap();
    assert!((expected.range().low - 11.5 / 1.5).abs() < 1e-5 && (expected.range().high - 12.0 / 1.1).abs() < 1e-5);
    let tired = Defect::Weak { battery, emf: None, internal: Some(exactly(1.0)) };
    let solution = &bench.network.with(&[tired]).unwrap().solve().unwrap()[0];
    assert!(is_near(solution.voltage(bench.network.find_point("post").unwrap()), 6.3));
}

#[test]
fn a_fuse_of_the_wrong_rating_opens_or_never_does() {
    let mut bench = Bench::twelve_volts();
    let fuse = bench.fuse("F1", "post", "load", 20.0);
    bench.ohm("load", "load", "ground", exactly(0.799)); // 15 A
    assert!(bench.solved().outcome.blown.is_empty());
    let small = bench.network.with(&[Defect::Rating { fuse, ampere: 10.0 }]).unwrap();
    assert_eq!(small.solve().unwrap()[0].outcome.blown.len(), 1);
    let short = Defect::short(bench.network.find_point("load").unwrap(), GROUND);
    let bridged = Defect::Sticks { part: fuse, position: Position::Closed };
    let burning = bench.network.with(&[short, bridged]).unwrap();
    let solution = &burning.solve().unwrap()[0];
    assert!(solution.outcome.blown.is_empty() && solution.current(fuse).unwrap() > 1000.0);
}

#[test]
fn a_stalled_motor_takes_its_stalled_current() {
    let mut bench = Bench::twelve_volts();
    let (from, to) = (bench.point("post"), GROUND);
    let running = Spread::from_current(12.0, 6.0, 9.0).unwrap();
    let stalled = Some(Spread::from_current(12.0, 25.0, 40.0).unwrap());
    let motor = bench.network.add("M1", Part::Motor { from, to, running, stalled }).unwrap();
    let expected = bench.network.expected(&Reading::current(motor)).unwrap().range();
    assert!((expected.low - 6.0).abs() < 1e-9 && (expected.high - 9.0).abs() < 1e-9);
    let held = bench.network.with(&[Defect::Stalls(motor)]).unwrap();
    let expected = held.expected(&Reading::current(motor)).unwrap().range();
    assert!((expected.low - 25.0).abs() < 1e-9 && (expected.high - 40.0).abs() < 1e-9);
}

#[test]
fn a_pulsed_fan_sees_the_mean_voltage() {
    let emf = exactly(24.0).scaled_by(between(0.5, 0.6)).unwrap();
    let mut bench = Bench::new(emf, exactly(0.0));
    let fan = bench.ohm("fan", "post", "ground", exactly(3.0));
    let expected = bench.network.expected(&Reading::current(fan)).unwrap().range();
    assert!((expected.low - 4.0).abs() < 1e-9 && (expected.high - 4.8).abs() < 1e-9);
}

#[test]
fn corrosion_at_a_coil_terminal_keeps_the_relay_out() {
    // 85 ohm coil with 85 ohm of corrosion: 6 V on the coil, short of 8 V
    let mut bench = Bench::twelve_volts();
    let relay = bench.relay("K1", ("post", "ground"), "post", Some("87"), None);
    let faulty = bench.network.with(&[Defect::Adds { at: relay.coil(), ohm: exactly(600.0) }]).unwrap();
    assert!(faulty.solve().unwrap().iter().all(|solution| solution.outcome.pulled_in.is_empty()));
    // and 6 V is between the limits: either way
    let faulty = bench.network.with(&[Defect::Adds { at: relay.coil(), ohm: exactly(85.0) }]).unwrap();
    assert_eq!(faulty.solve().unwrap().len(), 2);
}

#[test]
fn an_ammeter_in_series_has_a_burden_and_a_clamp_has_none() {
    let bench = lamp();
    let through = bench.network.find_part("lamp").unwrap();
    let shown = |meter| bench.network.expected(&Reading::Current { through: through.into(), meter }).unwrap().range();
    assert!(shown(Ammeter::Clamp).contains(2.0) && shown(Ammeter::Clamp).width() < 1e-12);
    assert!(shown(Ammeter::InSeries(exactly(6.0))).contains(1.0));
}

#[test]
fn resistance_is_read_with_the_supplies_off() {
    let mut bench = Bench::twelve_volts();
    let feed = bench.ohm("feed", "post", "out", between(0.9, 1.1));
    bench.switch("switch", "out", "lamp plus", Position::Closed);
    bench.ohm("lamp", "lamp plus", "ground", exactly(8.0));
    bench.diode("D1", "out", "ground");
    let [post, out] = ["post", "out"].map(|name| bench.network.find_point(name).unwrap());
    let ohm = |network: &super::super::Network, from, to| {
        network.expected(&Reading::Resistance { from, to }).unwrap().range()
    };
    // the battery is off, so it is no path; the conducting diode blocks the ohmmeter
    let whole = ohm(&bench.network, post, GROUND);
    assert!((whole.low - 8.901).abs() < 1e-9 && (whole.high - 9.101).abs() < 1e-9, "{whole:?}");
    let broken = bench.network.with(&[Defect::Open(feed.into())]).unwrap();
    assert_eq!(ohm(&broken, post, out).low, f64::INFINITY);
}

#[test]
fn continuity_fails_over_a_fuse_that_the_fault_has_blown() {
    let mut bench = Bench::new(exactly(12.0), exactly(0.01));
    bench.fuse("F1", "post", "load", 10.0);
    bench.ohm("load", "load", "ground", exactly(4.0));
    let [post, load] = ["post", "load"].map(|name| bench.network.find_point(name).unwrap());
    let reading = Reading::Resistance { from: post, to: load };
    let sound = bench.network.expected(&reading).unwrap().range();
    assert!(sound.contains(0.001) && sound.width() < 1e-9);
    let short = bench.network.with(&[Defect::short(load, GROUND)]).unwrap();
    assert_eq!(short.expected(&reading).unwrap().range().low, f64::INFINITY);
}

#[test]
fn a_relay_reads_through_87a_on_the_bench() {
    let mut bench = Bench::twelve_volts();
    bench.relay("K1", ("post", "ground"), "30", Some("87"), Some("87a"));
    let ohm = |from: &str, to: &str| {
        let [from, to] = [from, to].map(|name| bench.network.find_point(name).unwrap());
        bench.network.expected(&Reading::Resistance { from, to }).unwrap().range()
    };
    assert!(ohm("30", "87a").contains(0.01) && ohm("30", "87").low == f64::INFINITY);
    assert!(ohm("post", "ground").contains(85.0));
}
