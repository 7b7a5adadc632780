//! Networks whose voltages and currents have a closed form, worked beside each check.

use super::super::{Defect, GROUND, Method, Network, Part, PointId, Reading, Solution, Spread};
use super::{exactly, source};

fn conductor(from: PointId, to: PointId, ohm: f64) -> Part {
    Part::Conductor { from, to, ohm: exactly(ohm) }
}

fn solved(network: &Network) -> Solution {
    network.solve().unwrap().remove(0)
}

/// A ladder of `sections` of series `series` and shunt `shunt` ohm, fed by an ideal source.
fn ladder(sections: usize, series: f64, shunt: f64, end: f64, volts: f64) -> (Network, Vec<PointId>) {
    let mut network = Network::new();
    let feed = network.point("feed");
    network.add("source", source(feed, volts)).unwrap();
    let mut points = vec![feed];
    for section in 0..sections {
        let next = network.point(&format!("step {section}"));
        network.add(&format!("series {section}"), conductor(points[section], next, series)).unwrap();
        let ohm = if section + 1 == sections { end } else { shunt };
        network.add(&format!("shunt {section}"), conductor(next, GROUND, ohm)).unwrap();
        points.push(next);
    }
    (network, points)
}

#[test]
fn ladders_have_closed_forms() {
    // R-2R ladder ended by R: every step halves the voltage
    let (network, points) = ladder(20, 1.0, 2.0, 1.0, 1024.0);
    let solution = solved(&network);
    for (step, &point) in points.iter().enumerate() {
        let halved = 1024.0 / f64::from(1_u32 << step);
        assert!((solution.voltage(point).unwrap() - halved).abs() < 1e-12 * halved, "step {step}");
    }
    // ladder of equal ohms: the source sees F(2n+1)/F(2n), Fibonacci numbers
    let (network, _) = ladder(15, 1.0, 1.0, 1.0, 1.0);
    let ampere = solved(&network).current(network.find_part("source").unwrap()).unwrap();
    let (mut below, mut above) = (1.0, 1.0); // F(1), F(2)
    for _ in 0..29 {
        (below, above) = (above, below + above);
    }
    // now F(30), F(31)
    assert!((ampere - below / above).abs() < 1e-14, "{ampere} against {}", below / above);
}

#[test]
fn bridge_has_a_closed_form() {
    // Wheatstone: U = E (R2/(R1+R2) − R4/(R3+R4)), source resistance R1R2/(R1+R2) + R3R4/(R3+R4)
    let (r1, r2, r3, r4, galvanometer, emf) = (100.0, 220.0, 330.0, 470.0, 50.0, 12.0);
    let mut network = Network::new();
    let [top, left, right] = ["top", "left", "right"].map(|name| network.point(name));
    network.add("source", source(top, emf)).unwrap();
    for (name, from, to, ohm) in [
        ("R1", top, left, r1),
        ("R2", left, GROUND, r2),
        ("R3", top, right, r3),
        ("R4", right, GROUND, r4),
        ("galvanometer", left, right, galvanometer),
    ] {
        network.add(name, conductor(from, to, ohm)).unwrap();
    }
    let open = emf * (r2 / (r1 + r2) - r4 / (r3 + r4));
    let inner = r1 * r2 / (r1 + r2) + r3 * r4 / (r3 + r4);
    let through = network.find_part("galvanometer").unwrap();
    let ampere = solved(&network).current(through).unwrap();
    assert!((ampere - open / (inner + galvanometer)).abs() < 1e-15);
    let expected = network.expected(&Reading::current(through)).unwrap();
    assert!(expected.range().contains(open / (inner + galvanometer)));
    let balanced =
        network.with(&[Defect::Becomes { at: network.find_part("R4").unwrap().into(), ohm: exactly(r3 * r2 / r1) }]);
    assert!(solved(&balanced.unwrap()).current(through).unwrap().abs() < 1e-16);
}

#[test]
fn a_bridge_of_ranges_is_enclosed_at_its_corners() {
    // each arm 100 ohm ± 10 %, 10 V: the open bridge is extreme with diagonal arms high: ± 10 (0.55 − 0.45) = ± 1 V
    let mut network = Network::new();
    let [top, left, right] = ["top", "left", "right"].map(|name| network.point(name));
    network.add("source", source(top, 10.0)).unwrap();
    for (name, from, to) in [("R1", top, left), ("R2", left, GROUND), ("R3", top, right), ("R4", right, GROUND)] {
        network.add(name, Part::Conductor { from, to, ohm: Spread::around(100.0, 0.1).unwrap() }).unwrap();
    }
    let expected = network.expected(&Reading::voltage(left, right)).unwrap();
    let meter_takes = 2.0 * 49.5 / 10e6; // both halves' source resistance against 10 Mohm
    assert_eq!(expected.outcomes[0].method, Method::EveryCorner);
    assert!((expected.range().high - (1.0 - meter_takes)).abs() < 1e-9, "{:?}", expected.range());
    assert!((expected.range().low + (1.0 - meter_takes)).abs() < 1e-9, "{:?}", expected.range());
}

#[test]
fn worked_values_of_the_voltage_drop_sheet() {
    // check-values.md section 2 [calc]
    let across_load = |feed_ohm: f64, load_ohm: f64| {
        let mut network = Network::new();
        let [post, load] = ["post", "load"].map(|name| network.point(name));
        network.add("source", source(post, 12.6)).unwrap();
        network.add("feed", conductor(post, load, feed_ohm)).unwrap();
        network.add("load", conductor(load, GROUND, load_ohm)).unwrap();
        solved(&network).voltage(load).unwrap()
    };
    // a 10 Mohm meter behind 1 kohm of corrosion
    assert!((across_load(1000.0, 10e6) - 12.599).abs() < 5e-4);
    // a 25 A fan (0.504 ohm) behind 0.1 ohm loses 2.09 V
    assert!((12.6 - across_load(0.1, 0.504) - 2.09).abs() < 5e-3);
    // a 21 W lamp (7.6 ohm) through 1 ohm still gets 11.1 V
    assert!((across_load(1.0, 7.6) - 11.1).abs() < 5e-2);
    // ground of 0.1 ohm at 20 A: 2.0 V
    assert!((12.6 - across_load(0.1, 0.53) - 2.0).abs() < 1e-9);
}
