//! Circuits of a book: what they foretell, and what they make of entries.
//!
//! Outside source: `tests/reference/dc_circuits.csv` (own modified nodal analysis and ngspice 39.3, see its first lines). All else is held to what
//! language.md says of circuits, with the physics worked out beside each check.

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use ruleout::book::circuits::ProbeAt;
use ruleout::book::{Book, CircuitId, FaultId, Library, Setup, load};
use ruleout::circuit::picture::picture;
use ruleout::circuit::{Ask, Foretold, Stand, foretell};
use ruleout::job::Job;
use ruleout::output::judgement_json::json_judgement;
use ruleout::output::words::Wording;
use ruleout::reasoning::conflict::ConflictKind;
use ruleout::reasoning::{Disturbed, Judgement, Outcome, Verdict, judge};

use support::{fault, job, judged};

const ROWS: &str = include_str!("reference/dc_circuits.csv");
const CHECK: &str = include_str!("corpus/circuits/reference.rulebook");
const FAN: &str = include_str!("corpus/circuits/fan-feed.rulebook");

struct Text(String);

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// A whole book from its text, without any problem.
fn whole(text: &str) -> Book {
    let (book, problems) = load(&Text(text.to_owned()), Path::new("test.rulebook")).unwrap().resolve(None);
    assert!(problems.is_empty(), "{problems:#?}");
    book
}

fn setup(book: &Book, words: &str) -> Setup {
    job(book, words).setup
}

/// Where a reading of the book's only circuit is taken.
fn at(book: &Book, reading: &str) -> ProbeAt {
    let id = book.find_indication(reading).unwrap();
    book.circuit(CircuitId::at(0)).probes_of(id).next().unwrap().1.at
}

/// What a reading would show, by the book alone.
fn told(book: &Book, reading: &str, words: &str, faults: &[FaultId]) -> std::sync::Arc<Foretold> {
    let setup = setup(book, words);
    let stand = Stand { book, circuit: book.circuit(CircuitId::at(0)), setup: &setup, faults, warmth: None };
    foretell(&stand, &[], at(book, reading).into()).unwrap()
}

fn faults_of(book: &Book, row: &str) -> Vec<FaultId> {
    let name = match row {
        "healthy" | "relay_not_closed" => return Vec::new(),
        "open_fuse" => "open fuse",
        "open_ground" => "open ground",
        "corroded_connector_1ohm" => "corroded connector",
        "wire_short_to_ground" => "shorted wire",
        "relay_contact_2ohm" => "burnt contact",
        "open_wire" => "open wire",
        "motor_open" => "dead motor",
        other => panic!("no fault for {other}"),
    };
    vec![fault(book, name)]
}

// Source: dc_circuits.csv, ngspice 39.3 and own modified nodal analysis.
#[test]
fn the_check_circuit_gives_the_published_node_voltages() {
    let book = whole(CHECK);
    let mut seen = 0;
    for line in ROWS.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (row, probe, volts, floating) = (cells[0], cells[2], cells[4].parse::<f64>().unwrap(), cells[7]);
        let plugged = if cells[1] == "plugged" { "" } else { "with fan unplugged" };
        let words = format!("{plugged}\n{}", if row == "relay_not_closed" { "with relay off" } else { "" });
        let faults = faults_of(&book, row);
        let told = told(&book, &format!("volts at {probe}"), &words, &faults);
        assert_eq!(told.outcomes.len(), 1, "{line}");
        let range = told.hull();
        // The book's short has 1 µohm to 0.1 ohm, the published one 0.01 ohm.
        let spread = if row == "wire_short_to_ground" { 0.0 } else { 1e-6 };
        assert!(range.low - 1e-6 <= volts && volts <= range.high + 1e-6, "{line}: {range:?}");
        assert!(spread == 0.0 || range.width() <= spread, "{line}: {range:?}");
        let hangs = floating.split_whitespace().any(|node| node == probe);
        assert_eq!(!told.floating.is_empty(), hangs, "{line}");
        seen += 1;
    }
    assert_eq!(seen, 117);
}

// Source: dc_circuits.csv; there the 10 Mohm meter stands at the point, which moves it by less than 0.1 mV.
#[test]
fn the_drawing_shows_the_published_node_voltages() {
    let book = whole(CHECK);
    let (circuit, normal) = (book.circuit(CircuitId::at(0)), setup(&book, ""));
    let published: BTreeMap<(String, String), f64> = ROWS
        .lines()
        .filter(|line| !line.starts_with('#') && line.contains(",plugged,"))
        .map(|line| line.split(',').collect::<Vec<_>>())
        .map(|cells| ((cells[0].to_owned(), cells[2].to_owned()), cells[4].parse().unwrap()))
        .collect();
    for row in ["healthy", "open_ground", "corroded_connector_1ohm", "wire_short_to_ground", "relay_contact_2ohm"] {
        let faults = faults_of(&book, row);
        let stand = Stand { book: &book, circuit, setup: &normal, faults: &faults, warmth: None };
        let picture = picture(&stand, &[]).unwrap();
        for point in picture.points.iter().filter(|point| point.name != "ground") {
            let expected = published[&(row.to_owned(), point.name.clone())];
            let found = point.volts.unwrap();
            assert!((found - expected).abs() < 1e-3, "{row} {}: {found} against {expected}", point.name);
        }
    }
}

/// The faults that a job leaves, by name.
fn left(book: &Book, lines: &str) -> Vec<String> {
    let (_, judgement) = judged(book, lines);
    let open = judgement.verdicts.iter().filter(|v| v.verdict != Verdict::RuledOut);
    open.map(|v| book.fault(v.fault).name.clone()).collect()
}

// Each job is one that a technician would record for that fault; the readings follow from the circuit by Ohm's law. No rule, no
// `shows` in the book.
#[test]
fn a_book_with_nothing_but_its_circuit_ends_each_job_with_the_right_fault() {
    let book = whole(FAN);
    assert!(book.rules.is_empty() && book.faults.iter().all(|fault| fault.shows.is_empty()));
    let jobs: &[(&str, &str, &[&str])] = &[
        ("25 V before the fuse, nothing behind, coil fed", "supply at relay socket = 0.00 V\ncoil supply = 25.00 V\nfan current = 0.0 A", &["blown fan fuse", "chafed feed wire"]),
        ("volts lost before the relay", "supply at relay socket = 19.60 V", &["corroded fuse holder"]),
        ("volts lost in the relay", "supply at relay socket = 25.02 V\nrelay output = 17.40 V\ncoil supply = 25.00 V", &["burnt relay contact"]),
        ("no volts at the coil, line dead", "coil supply = 0.00 V\ncontrol line = 0.01 V", &["blown control fuse"]),
        ("no volts at the coil, line live", "coil supply = 0.02 V\ncontrol line = 25.10 V", &["open control wire"]),
        ("coil fed, relay stays", "coil supply = 25.15 V\nsupply at relay socket = 25.18 V\nrelay output = 0.00 V\nwith relay swapped\nrelay output = 25.04 V\nwithout relay swapped", &["open relay coil"]),
        ("volts lost in the wire", "relay output = 25.02 V\nsupply at fan connector = 18.20 V", &["corroded feed joint"]),
        ("volts lost in the plug", "supply at fan connector = 24.95 V\nvoltage at motor = 17.80 V\nfan ground drop = 0.030 V", &["melted fan plug"]),
        ("volts on the ground side", "supply at fan connector = 24.95 V\nfan ground drop = 6.200 V", &["bad fan ground"]),
        ("full volts, little current", "voltage at motor = 25.00 V\nfan current = 2.0 A\nfan ground drop = 0.020 V", &["worn brushes"]),
        ("full volts, a stalled current", "fan current = 31.0 A", &["seized motor"]),
        ("dead at the plug, live at the relay", "relay output = 25.15 V\nsupply at fan connector = 0.00 V\nfan current = 0.0 A\nwith fan unplugged\nrelay output = 25.15 V\nwithout fan unplugged", &["open feed wire", "seized motor"]),
    ];
    for (name, lines, right) in jobs {
        let found = left(&book, &format!("battery voltage = 25.20 V\nwith cooling demanded\nfan runs is no\n{lines}"));
        assert_eq!(&found, right, "{name}");
    }
    assert_eq!(left(&book, "battery voltage = 22.10 V\nwith cooling demanded\nsupply at relay socket = 21.90 V\nfan current = 6.2 A"), ["flat batteries"]);
    let idle = "battery voltage = 25.20 V\nwith ignition on\nidle supply = 25.01 V";
    assert_eq!(left(&book, idle), ["welded relay contact"]);
}
