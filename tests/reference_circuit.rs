//! The network engine against published and independent values.
//!
//! `dc_circuits.csv` and `dc_netlists.json`: own modified nodal analysis (numpy) and ngspice 39.3, DC operating point, 10 Mohm meter from the
//! probe to battery negative.
//! Times: `cargo bench --bench engines`.

use std::collections::{BTreeMap, BTreeSet};

use ruleout::circuit::network::{Defect, GROUND, Network, Part, PointId, Position, Reading, Relay, Solution, Spread};

const ROWS: &str = include_str!("reference/dc_circuits.csv");
const NETLISTS: &str = include_str!("reference/dc_netlists.json");

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
    Part::Conductor { from, to, ohm: exactly(ohm) }
}

fn battery(plus: PointId, emf: f64, internal: f64) -> Part {
    Part::Battery { minus: GROUND, plus, emf: exactly(emf), internal: exactly(internal) }
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
    let [bpos, fo, k85, k87, w, c, m] = ["bpos", "fo", "k85", "k87", "w", "c", "m"].map(|name| network.point(name));
    let parts = [
        ("battery", battery(bpos, 12.6, 0.02)),
        ("fuse", Part::Fuse { from: bpos, to: fo, rating: 20.0, ohm: exactly(0.005) }),
        ("switch", Part::Switch { from: k85, to: GROUND, position: Position::Closed, ohm: exactly(0.05) }),
        ("wire", conductor(k87, w, 0.05)),
        ("connector", conductor(w, c, 0.005)),
        ("motor", Part::Motor { from: c, to: m, running: exactly(3.0), stalled: Some(exactly(0.3)) }),
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
    let becomes = |name: &str, ohm: f64| Defect::Becomes { at: part(name).into(), ohm: exactly(ohm) };
    let mut defects = match fault {
        "healthy" => vec![],
        // the table keeps the contact closed although the coil is dead
        "open_fuse" => vec![open("fuse"), Defect::Sticks { part: part("relay"), position: Position::Closed }],
        "open_ground" => vec![open("ground wire")],
        "corroded_connector_1ohm" => vec![becomes("connector", 1.0)],
        "wire_short_to_ground" => vec![
            Defect::short(network.find_point("w").unwrap(), GROUND),
            Defect::Sticks { part: part("fuse"), position: Position::Closed },
        ],
        "relay_contact_2ohm" => vec![becomes("relay", 2.0)],
        "open_wire" => vec![open("wire")],
        "relay_not_closed" => vec![Defect::Sticks { part: part("switch"), position: Position::Open }],
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
    netlists.iter().map(|(name, text)| (name.clone(), text.as_str().unwrap().to_owned())).collect()
}

/// The points that the table's own netlist has: not those whose every part is gone.
fn points_of(netlist: &str) -> BTreeSet<&str> {
    let lines = netlist.lines().filter(|line| line.starts_with(['V', 'R']));
    lines.flat_map(|line| line.split_whitespace().skip(1).take(2)).collect()
}

#[test]
fn all_rows_of_the_reference_circuit() {
    let sound = fan_feed();
    let (rows, netlists) = (rows(), netlists());
    assert_eq!(rows.len(), 117, "the file as delivered has 117 rows");
    for row in rows {
        let in_table = points_of(&netlists[&format!("{}/{}/{}", row.fault, row.state, row.probe)]);
        let what = format!("{} {} {}", row.fault, row.state, row.probe);
        let faulty = sound.with(&defects(&sound, &row.fault, &row.state)).unwrap();
        let reading = Reading::voltage(faulty.find_point(&row.probe).unwrap(), GROUND);
        let fitted = faulty.with_instrument(&reading).unwrap();
        let solution = solved(&fitted);
        let volts = fitted.read(&reading, &solution).unwrap();
        let ampere = solution.current(fitted.find_part("battery").unwrap()).unwrap();
        for oracle in row.volts {
            assert!((volts - oracle).abs() < VOLTS, "{what}: {volts} V, expected {oracle} V");
        }
        for oracle in row.ampere {
            assert!((ampere - oracle).abs() < AMPERE, "{what}: {ampere} A, expected {oracle} A");
        }
        let floating: Vec<&str> = solution
            .floating()
            .iter()
            .map(|point| fitted.point_name(*point))
            .filter(|name| in_table.contains(name))
            .collect();
        assert_eq!(floating, row.floating, "{what}: floating");
        let expected = faulty.expected(&reading).unwrap();
        assert!(expected.is_exact() && expected.outcomes.len() == 1, "{what}");
        assert!(expected.range().contains(volts) && expected.range().width() < 1e-9, "{what}: {:?}", expected.range());
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
    assert!((blown.share.low - (132.75 - 0.103) / 20.0).abs() < 0.01, "{blown:?}");
    assert!(solution.outcome.words(&faulty)[0].contains("within 0.1 s"), "{:?}", solution.outcome.words(&faulty));
    assert_eq!(solution.voltage(sound.find_point("w").unwrap()), Some(0.0));
}

/// Builds a network from the lines of a netlist: V and R elements only.
fn from_netlist(text: &str) -> Network {
    let mut network = Network::new();
    for line in text.lines().filter(|line| line.starts_with(['V', 'R'])) {
        let cells: Vec<&str> = line.split_whitespace().collect();
        let mut point = |name: &str| {
            if name == "0" { GROUND } else { network.point(name) }
        };
        let (from, to) = (point(cells[1]), point(cells[2]));
        let value: f64 = cells[3].parse().unwrap();
        let part = if line.starts_with('V') {
            Part::Battery { minus: to, plus: from, emf: exactly(value), internal: exactly(0.0) }
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
    let rows: BTreeMap<String, Row> =
        rows().into_iter().map(|row| (format!("{}/{}/{}", row.fault, row.state, row.probe), row)).collect();
    assert_eq!(netlists.len(), rows.len());
    for (name, text) in &netlists {
        let row = &rows[name];
        let network = from_netlist(text);
        let solution = solved(&network);
        let volts = solution.voltage(network.find_point(&row.probe).unwrap()).unwrap();
        let ampere = solution.current(network.find_part("Vemf").unwrap()).unwrap();
        assert!((volts - row.volts[1]).abs() < VOLTS, "{name}: {volts} V, expected {} V", row.volts[1]);
        assert!((ampere - row.ampere[1]).abs() < AMPERE, "{name}: {ampere} A, expected {} A", row.ampere[1]);
        let mut floating: Vec<&str> = solution.floating().iter().map(|point| network.point_name(*point)).collect();
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
        assert!((at_w(fault, "unplugged") - at_w("healthy", "unplugged")).abs() < 5e-5, "{fault}");
        assert!((at_w(fault, "plugged") - at_w("healthy", "plugged")).abs() > 0.05, "{fault}");
    }
}
