//! Lines of a circuit that say what no element says: faults that change nothing or open at times, batteries read as a whole, instruments
//! that load the circuit, readings near nought, and circuits that can't be reckoned.
//!
//! Outside source: Ohm's law, worked out beside each check.

mod support;

use std::path::Path;

use ruleout::book::{Book, CircuitId, FaultId, load};
use ruleout::circuit::{Foretold, Known, Stand, foretell};
use ruleout::output::words::Wording;
use ruleout::problem::{Problem, Severity};
use ruleout::reasoning::Verdict;

use support::{Text, fault, job, judged};

const HEAD: &str = r#"rulebook "One lamp"
  language 1

reading supply
  unit V
  from 0 V to 16 V
  tolerance 12.0 V to 13.0 V
  meter 0.5 % + 2 digits of 0.01 V
reading volts
  unit V
  from -1 V to 16 V
  meter 0.5 % + 2 digits of 0.01 V
reading current
  unit mA
  from -50 mA to 20 A
  meter 2 % + 3 digits of 1 mA
fault open wire
fault bad joint
fault loose plug
fault dusty lens
"#;

fn resolved(circuit: &str) -> (Book, Vec<Problem>) {
    load(&Text(format!("{HEAD}\n{circuit}")), Path::new("test.rulebook")).unwrap().resolve(None)
}

fn whole(circuit: &str) -> Book {
    let (book, problems) = resolved(circuit);
    let errors: Vec<&Problem> = problems.iter().filter(|problem| problem.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    book
}

/// What `volts` would show, by the book alone.
fn told(book: &Book, faults: &[FaultId]) -> std::sync::Arc<Foretold> {
    let circuit = book.circuit(CircuitId::at(0));
    let setup = job(book, "").setup;
    let at = circuit.probes_of(book.find_indication("volts").unwrap()).next().unwrap().1.at;
    let stand = Stand { book, circuit, setup: &setup, faults, warmth: None };
    foretell(&stand, Known::default(), at.into()).unwrap()
}

/// The faults that a job leaves.
fn left(book: &Book, lines: &str) -> Vec<String> {
    let (_, judgement) = judged(book, lines);
    let open = judgement.verdicts.iter().filter(|verdict| verdict.verdict != Verdict::RuledOut);
    open.map(|verdict| book.fault(verdict.fault).name.clone()).collect()
}

/// Battery, wire and a lamp of 12 ohm: 1 A at 12 V.
const LAMP: &str = "circuit lamp
  battery from ground to post, EMF supply, behind 10 mohm to 20 mohm
  wire feed from post to plug in, 50 mohm to 100 mohm
  connector plug from plug in to lamp plus, at most 5 mohm
  resistor bulb from lamp plus to ground, 11 ohm to 13 ohm
  fault open wire opens feed
  fault bad joint adds 0.5 ohm to 5 ohm at feed
";

#[test]
fn a_fault_that_changes_nothing_falls_with_what_it_cannot_give() {
    let reading = "  reading volts across plug in and ground\n";
    // A fault that the circuit doesn't know may do anything.
    let silent = whole(&format!("{LAMP}{reading}"));
    assert_eq!(left(&silent, "supply = 12.60 V\nvolts = 10.10 V"), ["bad joint", "loose plug", "dusty lens"]);
    for said in ["  fault loose plug, dusty lens changes nothing\n", "  other faults change nothing\n"] {
        let book = whole(&format!("{LAMP}{reading}{said}"));
        assert_eq!(left(&book, "supply = 12.60 V\nvolts = 10.10 V"), ["bad joint"], "{said}");
    }
}

#[test]
fn a_fault_cannot_change_nothing_and_something() {
    let (_, problems) =
        resolved(&format!("{LAMP}  reading volts across plug in and ground\n  fault bad joint changes nothing\n"));
    assert_eq!(problems.iter().filter(|problem| problem.code == "book/circuit-fault").count(), 1, "{problems:#?}");
}

#[test]
fn what_opens_at_times_is_there_or_not_and_nothing_between() {
    let book = whole(&format!("{LAMP}  reading volts across lamp plus and ground\n  fault loose plug may open plug\n"));
    // Whole: 12.6 V less at most 0.1 ohm and 5 mohm of 11.1 ohm. Open: dead.
    assert!(left(&book, "supply = 12.60 V\nvolts = 12.52 V").contains(&"loose plug".to_owned()));
    assert!(left(&book, "supply = 12.60 V\nvolts = 0.00 V").contains(&"loose plug".to_owned()));
    assert_eq!(left(&book, "supply = 12.60 V\nvolts = 9.80 V"), ["bad joint", "dusty lens"]);
    let text = told(&book, &[fault(&book, "loose plug")]);
    assert!(text.outcomes.iter().any(|outcome| outcome.how == ["`plug` open"]), "{text:?}");
}

#[test]
fn two_batteries_share_what_is_read_of_both() {
    let book = whole(
        "circuit pair
  battery lower from ground to link, EMF 49 % to 51 % of supply, behind 2 mohm to 10 mohm
  battery upper from link to post, EMF 49 % to 51 % of supply, behind 2 mohm to 10 mohm
  reading supply across post and ground
  reading volts across link and ground
  fault bad joint weakens lower to 2 V to 6.5 V behind 2 mohm to 500 mohm
  fault bad joint weakens upper to 2 V to 6.5 V behind 2 mohm to 500 mohm
  other faults change nothing
",
    );
    // Half of 12 V is 6 V, 1 % of 12 V either way; 5.1 V is a weak half.
    assert_eq!(left(&book, "supply = 12.00 V\nvolts = 6.05 V").len(), 4);
    assert_eq!(left(&book, "supply = 12.00 V\nvolts = 5.10 V"), ["bad joint"]);
}

#[test]
fn an_instrument_loads_what_it_reads() {
    let behind = |with: &str| {
        let book = whole(&format!(
            "circuit probe
  battery from ground to post, EMF 12.0 V to 12.0 V, behind 10 mohm to 10 mohm
  resistor corrosion from post to probe, 1 kohm to 1 kohm
  reading volts across probe and ground{with}
"
        ));
        told(&book, &[]).hull()
    };
    // 12 V through 1 kohm into 10 Mohm: 11.999 V; into a lamp of 24 ohm (6 W at 12 V), cold a tenth of it: below 12·26.4/1026 = 0.31 V.
    assert!((behind("").low - 11.9988).abs() < 1e-4, "{:?}", behind(""));
    let lamp = behind(", test lamp 6 W at 12 V");
    assert!(lamp.low > 0.02 && lamp.high < 0.32, "{lamp:?}");
    // 400 kohm ± 20 %: 12·320/321 to 12·480/481.
    let meter = behind(", low-impedance meter of 400 kohm");
    assert!(
        (meter.low - 12.0 * 320.0 / 321.0).abs() < 1e-3 && (meter.high - 12.0 * 480.0 / 481.0).abs() < 1e-3,
        "{meter:?}"
    );
}

#[test]
fn a_test_lamp_shows_no_ghost() {
    let book = |instrument: &str| {
        whole(&format!(
            "{LAMP}  wire stub from stub end to far end, 1 ohm to 2 ohm\n  reading volts across far end and ground{instrument}\n  other faults change nothing\n"
        ))
    };
    // The stub hangs free: an ordinary meter may pick something up there, so it only speaks against; with the lamp 5 V can't be.
    let ordinary = told(&book(""), &[]);
    assert!(!ordinary.floating.is_empty() && !ordinary.is_exact());
    let lamp = told(&book(", test lamp 5 W at 12 V"), &[]);
    assert!(lamp.floating.is_empty() && lamp.is_exact() && !lamp.allows(5.0, 5.0));
    let (job, judgement) = judged(&book(""), "supply = 12.60 V\nvolts = 3.10 V");
    let plain = book("");
    let wording = Wording { book: &plain, job: &job };
    let said = wording
        .why_not(&judgement, fault(&plain, "dusty lens"))
        .lines()
        .iter()
        .map(|line| format!("{line:?}"))
        .collect::<String>();
    assert!(said.contains("ghost voltage"), "{said}");
}

#[test]
fn a_few_counts_at_a_dead_point_are_no_contradiction() {
    let book = whole(&format!("{LAMP}  reading volts across plug in and ground\n  reading current through bulb\n"));
    assert!(left(&book, "supply = 12.60 V\nvolts = 0.02 V\ncurrent = 2 mA").contains(&"open wire".to_owned()));
    // 40 mA are more than the drift of a clamp whose last digits are worth 3 mA.
    assert!(!left(&book, "supply = 12.60 V\ncurrent = 40 mA").contains(&"open wire".to_owned()));
}

#[test]
fn a_circuit_that_cannot_be_reckoned_says_so() {
    let book = whole(
        "circuit loop
  battery one from ground to post, EMF 12.0 V to 12.6 V, behind 0 mohm
  battery two from ground to post, EMF 12.0 V to 12.6 V, behind 0 mohm
  resistor bulb from post to ground, 11 ohm to 13 ohm
  reading volts across post and ground
  fault bad joint adds 1 ohm to 2 ohm at bulb
",
    );
    let (job, judgement) = judged(&book, "volts = 12.30 V");
    assert!(!judgement.evidence.silent_circuits.is_empty());
    let wording = Wording { book: &book, job: &job };
    let said = wording.silent(&judgement.evidence.silent_circuits[0]);
    assert!(said.contains("circuit `loop`") && said.contains("says nothing of `volts`"), "{said}");
}
