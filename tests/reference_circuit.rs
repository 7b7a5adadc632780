//! The network engine against published and independent values.
//!
//! `dc_circuits.csv` and `dc_netlists.json`: own modified nodal analysis (numpy) and ngspice 39.3, DC operating point, 10 Mohm meter from the
//! probe to battery negative. `fuse_gates.csv`: ISO 8820-3 (maxima at 135, 200, 350, 600 % seen, the rest from memory).
//! Closed forms are worked beside their checks.

use std::collections::{BTreeMap, BTreeSet};

use ruleout::circuit::network::fuse::{FuseAnswer, fuse_answer, opening_time};
use ruleout::circuit::network::{
    Defect, GROUND, Method, Network, Part, PointId, Position, Range, Reading, Relay, Solution,
    Spread,
};

const ROWS: &str = include_str!("reference/dc_circuits.csv");
const NETLISTS: &str = include_str!("reference/dc_netlists.json");
const GATES: &str = include_str!("reference/fuse_gates.csv");

/// Largest difference allowed: volts.
const VOLTS: f64 = 1e-6;
/// Largest difference allowed: ampere.
const AMPERE: f64 = 1e-6;

struct Row {
    fault: String,
    state: String,
    probe: String,
    volts: [f64; 2],
    ampere: [f64; 2],
    floating: Vec<String>,
}

fn rows() -> Vec<Row> {
    let lines = ROWS.lines().filter(|line| !line.starts_with('#')).skip(1);
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |place: usize| cells[place].parse::<f64>().unwrap();
        Row {
            fault: cells[0].to_owned(),
            state: cells[1].to_owned(),
            probe: cells[2].to_owned(),
            volts: [number(3), number(4)],
            ampere: [number(5), number(6)],
            floating: cells[7].split_whitespace().map(str::to_owned).collect(),
        }
    };
    lines.map(row).collect()
}

fn exactly(value: f64) -> Spread {
    Spread::exactly(value).unwrap()
}

fn conductor(from: PointId, to: PointId, ohm: f64) -> Part {
    Part::Conductor {
        from,
        to,
        ohm: exactly(ohm),
    }
}

fn battery(plus: PointId, emf: f64, internal: f64) -> Part {
    Part::Battery {
        minus: GROUND,
        plus,
        emf: exactly(emf),
        internal: exactly(internal),
    }
}

/// The only outcome of a network.
fn solved(network: &Network) -> Solution {
    let mut solutions = network.solve().unwrap();
    assert_eq!(solutions.len(), 1, "one outcome");
    solutions.remove(0)
}

/// The circuit of algorithms.md section 7, of real parts.
fn fan_feed() -> Network {
    let mut network = Network::new();
    let [bpos, fo, k85, k87, w, c, m] =
        ["bpos", "fo", "k85", "k87", "w", "c", "m"].map(|name| network.point(name));
    let parts = [
        ("battery", battery(bpos, 12.6, 0.02)),
        (
            "fuse",
            Part::Fuse {
                from: bpos,
                to: fo,
                rating: 20.0,
                ohm: exactly(0.005),
            },
        ),
        (
            "switch",
            Part::Switch {
                from: k85,
                to: GROUND,
                position: Position::Closed,
                ohm: exactly(0.05),
            },
        ),
        ("wire", conductor(k87, w, 0.05)),
        ("connector", conductor(w, c, 0.005)),
        (
            "motor",
            Part::Motor {
                from: c,
                to: m,
                running: exactly(3.0),
                stalled: Some(exactly(0.3)),
            },
        ),
        ("ground wire", conductor(m, GROUND, 0.02)),
        (
            "relay",
            Part::Relay(Relay {
                coil: (fo, k85),
                coil_ohm: exactly(90.0),
                common: fo,
                make: Some(k87),
                rest: None,
                contact_ohm: exactly(0.01),
                pull_in: 8.0,
                drop_out: 1.5,
            }),
        ),
    ];
    for (name, part) in parts {
        network.add(name, part).unwrap();
    }
    network
}

/// The faults of `dc_circuits.csv`, as defects of the parts. The short's 133 A would open any blade fuse, so there it is bridged.
fn defects(network: &Network, fault: &str, state: &str) -> Vec<Defect> {
    let part = |name: &str| network.find_part(name).unwrap();
    let open = |name: &str| Defect::Open(part(name).into());
    let becomes = |name: &str, ohm: f64| Defect::Becomes {
        at: part(name).into(),
        ohm: exactly(ohm),
    };
    let mut defects = match fault {
        "healthy" => vec![],
        // the table keeps the contact closed although the coil is dead
        "open_fuse" => vec![
            open("fuse"),
            Defect::Sticks {
                part: part("relay"),
                position: Position::Closed,
            },
        ],
        "open_ground" => vec![open("ground wire")],
        "corroded_connector_1ohm" => vec![becomes("connector", 1.0)],
        "wire_short_to_ground" => vec![
            Defect::short(network.find_point("w").unwrap(), GROUND),
            Defect::Sticks {
                part: part("fuse"),
                position: Position::Closed,
            },
        ],
        "relay_contact_2ohm" => vec![becomes("relay", 2.0)],
        "open_wire" => vec![open("wire")],
        "relay_not_closed" => vec![Defect::Sticks {
            part: part("switch"),
            position: Position::Open,
        }],
        "motor_open" => vec![open("motor")],
        other => panic!("fault {other} of the table is unknown here"),
    };
    if state == "unplugged" {
        defects.extend([open("connector"), open("motor")]);
    }
    defects
}

/// The netlists by `fault/state/probe`.
fn netlists() -> BTreeMap<String, String> {
    let json: serde_json::Value = serde_json::from_str(NETLISTS).unwrap();
    let netlists = json["netlists"].as_object().unwrap();
    netlists
        .iter()
        .map(|(name, text)| (name.clone(), text.as_str().unwrap().to_owned()))
        .collect()
}

/// The points that the table's own netlist has: not those whose every part is gone.
fn points_of(netlist: &str) -> BTreeSet<&str> {
    let lines = netlist.lines().filter(|line| line.starts_with(['V', 'R']));
    lines
        .flat_map(|line| line.split_whitespace().skip(1).take(2))
        .collect()
}

#[test]
fn all_rows_of_the_reference_circuit() {
    let sound = fan_feed();
    let (rows, netlists) = (rows(), netlists());
    assert_eq!(rows.len(), 117, "the file as delivered has 117 rows");
    for row in rows {
        let in_table = points_of(&netlists[&format!("{}/{}/{}", row.fault, row.state, row.probe)]);
        let what = format!("{} {} {}", row.fault, row.state, row.probe);
        let faulty = sound
            .with(&defects(&sound, &row.fault, &row.state))
            .unwrap();
        let reading = Reading::voltage(faulty.find_point(&row.probe).unwrap(), GROUND);
        let fitted = faulty.with_instrument(&reading).unwrap();
        let solution = solved(&fitted);
        let volts = fitted.read(&reading, &solution).unwrap();
        let ampere = solution
            .current(fitted.find_part("battery").unwrap())
            .unwrap();
        for oracle in row.volts {
            assert!(
                (volts - oracle).abs() < VOLTS,
                "{what}: {volts} V, expected {oracle} V"
            );
        }
        for oracle in row.ampere {
            assert!(
                (ampere - oracle).abs() < AMPERE,
                "{what}: {ampere} A, expected {oracle} A"
            );
        }
        let floating: Vec<&str> = solution
            .floating()
            .iter()
            .map(|point| fitted.point_name(*point))
            .filter(|name| in_table.contains(name))
            .collect();
        assert_eq!(floating, row.floating, "{what}: floating");
        let expected = faulty.expected(&reading).unwrap();
        assert!(
            expected.is_exact() && expected.outcomes.len() == 1,
            "{what}"
        );
        assert!(
            expected.range().contains(volts) && expected.range().width() < 1e-9,
            "{what}: {:?}",
            expected.range()
        );
    }
}

#[test]
fn a_fuse_in_place_opens_under_the_short() {
    let sound = fan_feed();
    let short = Defect::short(sound.find_point("w").unwrap(), GROUND);
    let faulty = sound.with(&[short]).unwrap();
    let solution = solved(&faulty);
    let fuse = sound.find_part("fuse").unwrap();
    assert_eq!(solution.outcome.blown.len(), 1);
    let blown = solution.outcome.blown[0];
    assert_eq!(blown.fuse, fuse);
    // 132.75 A through 20 A (algorithms.md section 7 gives the battery current with 0.103 A through the coil)
    assert!(
        (blown.share.low - (132.75 - 0.103) / 20.0).abs() < 0.01,
        "{blown:?}"
    );
    assert!(
        solution.outcome.words(&faulty)[0].contains("within 0.1 s"),
        "{:?}",
        solution.outcome.words(&faulty)
    );
    assert_eq!(solution.voltage(sound.find_point("w").unwrap()), Some(0.0));
}

/// Builds a network from the lines of a netlist: V and R elements only.
fn from_netlist(text: &str) -> Network {
    let mut network = Network::new();
    for line in text.lines().filter(|line| line.starts_with(['V', 'R'])) {
        let cells: Vec<&str> = line.split_whitespace().collect();
        let mut point = |name: &str| {
            if name == "0" {
                GROUND
            } else {
                network.point(name)
            }
        };
        let (from, to) = (point(cells[1]), point(cells[2]));
        let value: f64 = cells[3].parse().unwrap();
        let part = if line.starts_with('V') {
            Part::Battery {
                minus: to,
                plus: from,
                emf: exactly(value),
                internal: exactly(0.0),
            }
        } else {
            conductor(from, to, value)
        };
        network.add(cells[0], part).unwrap();
    }
    network
}

#[test]
fn all_netlists_with_an_ideal_source() {
    let netlists = netlists();
    let rows: BTreeMap<String, Row> = rows()
        .into_iter()
        .map(|row| (format!("{}/{}/{}", row.fault, row.state, row.probe), row))
        .collect();
    assert_eq!(netlists.len(), rows.len());
    for (name, text) in &netlists {
        let row = &rows[name];
        let network = from_netlist(text);
        let solution = solved(&network);
        let volts = solution
            .voltage(network.find_point(&row.probe).unwrap())
            .unwrap();
        let ampere = solution
            .current(network.find_part("Vemf").unwrap())
            .unwrap();
        assert!(
            (volts - row.volts[1]).abs() < VOLTS,
            "{name}: {volts} V, expected {} V",
            row.volts[1]
        );
        assert!(
            (ampere - row.ampere[1]).abs() < AMPERE,
            "{name}: {ampere} A, expected {} A",
            row.ampere[1]
        );
        let mut floating: Vec<&str> = solution
            .floating()
            .iter()
            .map(|point| network.point_name(*point))
            .collect();
        floating.sort_unstable();
        assert_eq!(floating, row.floating, "{name}: floating");
    }
}

#[test]
fn resistance_faults_are_invisible_unplugged() {
    // lesson of algorithms.md section 7: identical to 4 decimals
    let sound = fan_feed();
    let at_w = |fault: &str, state: &str| {
        let faulty = sound.with(&defects(&sound, fault, state)).unwrap();
        let reading = Reading::voltage(sound.find_point("w").unwrap(), GROUND);
        faulty.expected(&reading).unwrap().range().low
    };
    for fault in ["corroded_connector_1ohm", "relay_contact_2ohm"] {
        assert!(
            (at_w(fault, "unplugged") - at_w("healthy", "unplugged")).abs() < 5e-5,
            "{fault}"
        );
        assert!(
            (at_w(fault, "plugged") - at_w("healthy", "plugged")).abs() > 0.05,
            "{fault}"
        );
    }
}

/// A ladder of `sections` of series `series` and shunt `shunt` ohm, fed by an ideal source.
fn ladder(
    sections: usize,
    series: f64,
    shunt: f64,
    end: f64,
    volts: f64,
) -> (Network, Vec<PointId>) {
    let mut network = Network::new();
    let feed = network.point("feed");
    network.add("source", battery(feed, volts, 0.0)).unwrap();
    let mut points = vec![feed];
    for section in 0..sections {
        let next = network.point(&format!("step {section}"));
        network
            .add(
                &format!("series {section}"),
                conductor(points[section], next, series),
            )
            .unwrap();
        let ohm = if section + 1 == sections { end } else { shunt };
        network
            .add(&format!("shunt {section}"), conductor(next, GROUND, ohm))
            .unwrap();
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
        assert!(
            (solution.voltage(point).unwrap() - halved).abs() < 1e-12 * halved,
            "step {step}"
        );
    }
    // ladder of equal ohms: the source sees F(2n+1)/F(2n), Fibonacci numbers
    let (network, _) = ladder(15, 1.0, 1.0, 1.0, 1.0);
    let ampere = solved(&network)
        .current(network.find_part("source").unwrap())
        .unwrap();
    let (mut below, mut above) = (1.0, 1.0); // F(1), F(2)
    for _ in 0..29 {
        (below, above) = (above, below + above);
    }
    // now F(30), F(31)
    assert!(
        (ampere - below / above).abs() < 1e-14,
        "{ampere} against {}",
        below / above
    );
}

#[test]
fn bridge_has_a_closed_form() {
    // Wheatstone: U = E (R2/(R1+R2) − R4/(R3+R4)), source resistance R1R2/(R1+R2) + R3R4/(R3+R4)
    let (r1, r2, r3, r4, galvanometer, emf) = (100.0, 220.0, 330.0, 470.0, 50.0, 12.0);
    let mut network = Network::new();
    let [top, left, right] = ["top", "left", "right"].map(|name| network.point(name));
    network.add("source", battery(top, emf, 0.0)).unwrap();
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
    let balanced = network.with(&[Defect::Becomes {
        at: network.find_part("R4").unwrap().into(),
        ohm: exactly(r3 * r2 / r1),
    }]);
    assert!(solved(&balanced.unwrap()).current(through).unwrap().abs() < 1e-16);
}

#[test]
fn a_bridge_of_ranges_is_enclosed_at_its_corners() {
    // each arm 100 ohm ± 10 %, 10 V: the open bridge is extreme with diagonal arms high: ± 10 (0.55 − 0.45) = ± 1 V
    let mut network = Network::new();
    let [top, left, right] = ["top", "left", "right"].map(|name| network.point(name));
    network.add("source", battery(top, 10.0, 0.0)).unwrap();
    for (name, from, to) in [
        ("R1", top, left),
        ("R2", left, GROUND),
        ("R3", top, right),
        ("R4", right, GROUND),
    ] {
        network
            .add(
                name,
                Part::Conductor {
                    from,
                    to,
                    ohm: Spread::around(100.0, 0.1).unwrap(),
                },
            )
            .unwrap();
    }
    let expected = network.expected(&Reading::voltage(left, right)).unwrap();
    let meter_takes = 2.0 * 49.5 / 10e6; // both halves' source resistance against 10 Mohm
    assert_eq!(expected.outcomes[0].method, Method::EveryCorner);
    assert!(
        (expected.range().high - (1.0 - meter_takes)).abs() < 1e-9,
        "{:?}",
        expected.range()
    );
    assert!(
        (expected.range().low + (1.0 - meter_takes)).abs() < 1e-9,
        "{:?}",
        expected.range()
    );
}

#[test]
fn worked_values_of_the_voltage_drop_sheet() {
    // check-values.md section 2 [calc]
    let across_load = |feed_ohm: f64, load_ohm: f64| {
        let mut network = Network::new();
        let [post, load] = ["post", "load"].map(|name| network.point(name));
        network.add("source", battery(post, 12.6, 0.0)).unwrap();
        network
            .add("feed", conductor(post, load, feed_ohm))
            .unwrap();
        network
            .add("load", conductor(load, GROUND, load_ohm))
            .unwrap();
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

#[test]
fn fuses_open_by_the_gates() {
    // ISO 8820-3, fuse_gates.csv: a source drives each share of 20 A through a fuse; at 110 % it holds, from 135 % it opens
    let mut seen = 0;
    for line in GATES.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let share = cells[0].parse::<f64>().unwrap() / 100.0;
        let (least, most) = (
            cells[1].parse::<f64>().unwrap(),
            cells[2].parse::<f64>().ok(),
        );
        assert_eq!(opening_time(share), (least, most), "{line}");
        // between this gate and the next: no faster than the next gate's least, no slower than this one's most
        assert_eq!(opening_time(share + 0.01).1, most, "{line}");
        assert_eq!(opening_time(share - 0.01).0, least, "{line}");
        let expected = if most.is_some() {
            FuseAnswer::Opens
        } else {
            FuseAnswer::Holds
        };
        assert_eq!(fuse_answer(share), expected, "{line}");
        assert_eq!(
            outcomes_at(share),
            if most.is_some() {
                vec![true]
            } else {
                vec![false]
            },
            "{line}"
        );
        seen += 1;
    }
    assert_eq!(seen, 6);
    assert_eq!(opening_time(7.0).0, 0.0);
    assert_eq!(fuse_answer(1.2), FuseAnswer::Either);
    assert_eq!(outcomes_at(1.2), vec![false, true]);
    assert_eq!(outcomes_at(1.11), vec![false, true]);
    assert_eq!(outcomes_at(1.349), vec![false, true]);
    assert_eq!(outcomes_at(1.0), vec![false]);
}

/// For each outcome of a 20 A fuse under this share of its rating, whether it opens.
fn outcomes_at(share: f64) -> Vec<bool> {
    let mut network = Network::new();
    let [post, out] = ["post", "out"].map(|name| network.point(name));
    network
        .add("source", battery(post, 20.0 * share, 0.0))
        .unwrap();
    network
        .add(
            "fuse",
            Part::Fuse {
                from: post,
                to: out,
                rating: 20.0,
                ohm: exactly(0.0),
            },
        )
        .unwrap();
    network.add("load", conductor(out, GROUND, 1.0)).unwrap();
    let opens: Vec<bool> = network
        .solve()
        .unwrap()
        .iter()
        .map(|solution| !solution.outcome.blown.is_empty())
        .collect();
    let expected = network.expected(&Reading::voltage(out, GROUND)).unwrap();
    let ranges: Vec<Range> = expected
        .outcomes
        .iter()
        .map(|outcome| outcome.range)
        .collect();
    assert_eq!(ranges.len(), opens.len());
    for (range, &open) in ranges.iter().zip(&opens) {
        assert!(
            range.contains(if open { 0.0 } else { 20.0 * share }),
            "{range:?}"
        );
    }
    opens
}
