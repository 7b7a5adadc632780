//! Each kind of element and fault of a circuit as a book writes it, held to Ohm's and Kirchhoff's laws worked out by hand beside each check.

mod support;

use ruleout::book::{Book, CircuitId, FaultId};
use ruleout::circuit::network::Range;
use ruleout::circuit::{Foretold, Known, Stand, Supply, foretell};
use ruleout::reasoning::Verdict;

use support::{book, fault, job, judged};

const HEAD: &str = r#"
state ignition on
  normally on
state speed
  one of low, high
change plug pulled
change rotor blocked
reading volts
  unit V
  from 0 V to 40 V
reading amps
  unit A
reading ohms
  unit ohm
  from 0 ohm to 40 Mohm
fault broken wire
fault bad joint
fault touching wires
fault stuck thing
fault tired battery
fault wrong part
"#;

fn with(lines: &str) -> Book {
    book(&format!("{HEAD}\ncircuit test\n{lines}"))
}

fn told(book: &Book, reading: &str, words: &str, faults: &[&str]) -> std::sync::Arc<Foretold> {
    let faults: Vec<FaultId> = faults.iter().map(|name| fault(book, name)).collect();
    let job = job(book, words);
    let circuit = book.circuit(CircuitId::at(0));
    let (_, probe) = circuit.probes_of(book.find_indication(reading).unwrap()).next().unwrap();
    let warmth = job.ambient.as_ref().map(|kelvin| kelvin.to_f64());
    let stand = Stand { book, circuit, setup: &job.setup, faults: &faults, warmth };
    foretell(&stand, Known::default(), probe.at.into()).unwrap()
}

/// Asserts that a reading lies within these ends and no wider than a thousandth more.
#[track_caller]
fn shows(book: &Book, reading: &str, words: &str, faults: &[&str], low: f64, high: f64) {
    let Range { low: found_low, high: found_high } = told(book, reading, words, faults).hull();
    let near =
        |found: f64, expected: f64| found == expected || (found - expected).abs() <= 1e-3 * expected.abs().max(1e-3);
    assert!(
        near(found_low, low) && near(found_high, high),
        "found {found_low} to {found_high}, expected {low} to {high}"
    );
}

#[test]
fn a_divider_of_ranges() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  resistor upper from plus to tap, 100 ohm ± 10 %
  resistor lower from tap to ground, 200 ohm to 200 ohm
  reading volts across tap and ground
  reading amps through upper
  fault bad joint adds 100 ohm to 200 ohm at upper
  fault broken wire opens lower
  fault wrong part fits 50 ohm to 60 ohm at lower
"#,
    );
    // 12·200/(200+110) to 12·200/(200+90)
    shows(&book, "volts", "", &[], 7.741_935, 8.275_862);
    shows(&book, "amps", "", &[], 12.0 / 310.0, 12.0 / 290.0);
    shows(&book, "volts", "", &["bad joint"], 2400.0 / 510.0, 2400.0 / 390.0);
    shows(&book, "volts", "", &["wrong part"], 600.0 / 160.0, 720.0 / 150.0);
    // Behind 100 ohm a 10 Mohm meter sees all but 0.12 mV.
    shows(&book, "volts", "", &["broken wire"], 11.9998, 12.0);
    // Two faults on one network.
    shows(&book, "volts", "", &["bad joint", "wrong part"], 600.0 / 360.0, 720.0 / 250.0);
}

#[test]
fn loads_are_what_they_take_at_their_voltage() {
    let lamp = with(
        r#"
  battery from ground to plus, EMF 24 V to 24 V, behind 0 ohm
  lamp L1 from plus to ground, 20 W to 24 W at 24 V
  reading amps through L1
"#,
    );
    shows(&lamp, "amps", "", &[], 20.0 / 24.0, 1.0);
    let motor = with(
        r#"
  battery from ground to plus, EMF 24 V to 24 V, behind 0 ohm
  motor M1 from plus to ground, 2 A to 3 A at 24 V, 6 A to 8 A at 24 V with speed is high, stalled 20 A to 30 A at 24 V with rotor blocked
  reading amps through M1
  fault stuck thing sticks M1
  fault wrong part fits 10 A to 12 A at M1
  reading volts across plus and ground
"#,
    );
    shows(&motor, "amps", "", &[], 2.0, 3.0);
    shows(&motor, "amps", "with speed is high", &[], 6.0, 8.0);
    shows(&motor, "amps", "with rotor blocked", &[], 20.0, 30.0);
    shows(&motor, "amps", "", &["stuck thing"], 20.0, 30.0);
    shows(&motor, "amps", "with speed is high", &["wrong part"], 10.0, 12.0);
    // Half the time at 24 V is half the mean current.
    let pulsed = with(
        r#"
  battery from ground to plus, EMF 24 V to 24 V, behind 0 ohm
  motor M1 from plus to ground, 8 A to 8 A at 24 V, driven at 40 % to 60 %
  reading amps through M1
"#,
    );
    shows(&pulsed, "amps", "", &[], 3.2, 4.8);
    let mean = with(
        r#"
  battery driver from ground to plus, EMF 24 V to 24 V, behind 0 ohm, driven at 50 % to 50 %
  resistor R1 from plus to ground, 12 ohm to 12 ohm
  reading volts across plus and ground
"#,
    );
    shows(&mean, "volts", "", &[], 12.0, 12.0);
}

// Source: IEC 60028:1925, 1/58 ohm mm²/m at 20 degC, 0.00393 per K: 10 m of 2.5 mm² have 68.966 mohm, at 60 degC 79.807 mohm.
#[test]
fn a_wire_is_copper_of_its_length_section_and_warmth() {
    let book = with(
        r#"
  battery from ground to plus, EMF 10 V to 10 V, behind 0 ohm
  wire W1 from plus to far, 10 m of 2.5 mm²
  resistor R1 from far to ground, 1 ohm to 1 ohm
  reading volts across plus and far
"#,
    );
    let drop = |ohm: f64| 10.0 * ohm / (1.0 + ohm);
    shows(&book, "volts", "", &[], drop(0.068_966 * 0.95), drop(0.068_966 * 1.32));
    shows(&book, "volts", "ambient 60 degC", &[], drop(0.079_807 * 0.95), drop(0.079_807 * 1.32));
    // 14 AWG has 2.081 mm² (ASTM B258).
    let awg = with(
        r#"
  battery from ground to plus, EMF 10 V to 10 V, behind 0 ohm
  wire W1 from plus to far, 10 m of 14 AWG
  resistor R1 from far to ground, 1 ohm to 1 ohm
  reading volts across plus and far
"#,
    );
    shows(&awg, "volts", "", &[], drop(0.082_850 * 0.95), drop(0.082_850 * 1.32));
}

#[test]
fn switches_follow_the_setup_and_may_stick() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  switch S1 from plus to lead, closed with ignition on, open with plug pulled, 0 ohm
  pressure switch P1 from lead to load, closed with speed is high, closed with rotor blocked, 0 ohm
  resistor R1 from load to ground, 6 ohm to 6 ohm
  reading amps through R1
  fault stuck thing sticks P1 closed
  fault broken wire sticks S1 open
  reading volts across lead and ground
"#,
    );
    shows(&book, "amps", "", &[], 0.0, 0.0);
    shows(&book, "amps", "with speed is high", &[], 2.0, 2.0);
    shows(&book, "amps", "with rotor blocked", &[], 2.0, 2.0);
    shows(&book, "amps", "with speed is high, plug pulled", &[], 0.0, 0.0);
    shows(&book, "amps", "without ignition on, with speed is high", &[], 0.0, 0.0);
    shows(&book, "amps", "", &["stuck thing"], 2.0, 2.0);
    shows(&book, "amps", "with speed is high", &["broken wire"], 0.0, 0.0);
}

const RELAY: &str = r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  switch S1 from plus to 86, closed with speed is high, 0 ohm
  relay K1 coil from 86 to ground, 90 ohm to 90 ohm, contact from plus to 87, 0 ohm, break contact from plus to 87a, pulls in at 8 V, drops out at 1.5 V
  resistor R1 from 87 to ground, 6 ohm to 6 ohm
  resistor R2 from 87a to ground, 12 ohm to 12 ohm
"#;

#[test]
fn a_relay_has_a_coil_and_two_contacts() {
    let on_make = with(&format!(
        r#"
{RELAY}  reading amps through R1
  reading volts across 87a and ground
  fault stuck thing sticks K1 closed
  fault broken wire opens K1 coil
  fault bad joint adds 6 ohm to 6 ohm at K1 contact
"#
    ));
    shows(&on_make, "amps", "", &[], 0.0, 0.0);
    shows(&on_make, "volts", "", &[], 12.0, 12.0);
    shows(&on_make, "amps", "with speed is high", &[], 2.0, 2.0);
    shows(&on_make, "volts", "with speed is high", &[], 0.0, 0.0);
    shows(&on_make, "amps", "", &["stuck thing"], 2.0, 2.0);
    shows(&on_make, "amps", "with speed is high", &["broken wire"], 0.0, 0.0);
    shows(&on_make, "amps", "with speed is high", &["bad joint"], 1.0, 1.0);
    let coil =
        with(&format!("{RELAY}  reading amps through K1 coil\n  fault wrong part fits 45 ohm to 45 ohm at K1 coil\n"));
    shows(&coil, "amps", "with speed is high", &[], 12.0 / 90.0, 12.0 / 90.0);
    shows(&coil, "amps", "with speed is high", &["wrong part"], 12.0 / 45.0, 12.0 / 45.0);
}

#[test]
fn a_relay_between_its_two_voltages_may_do_either() {
    // 5 V at the coil: above 1.5 V, below 8 V.
    let weak = RELAY.replace("closed with speed is high, 0 ohm", "closed with speed is high, 126 ohm to 126 ohm");
    let book = with(&format!("{weak}  reading amps through R1\n"));
    let told = told(&book, "amps", "with speed is high", &[]);
    assert_eq!(told.outcomes.len(), 2);
    assert!(told.allows(0.0, 0.0) && told.allows(2.0, 2.0) && !told.allows(1.0, 1.0));
}

#[test]
fn fuses_blow_by_their_gate_and_a_wrong_one_holds() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 100 mohm to 100 mohm
  fuse F1 from plus to load, 10 A, 0 ohm
  resistor R1 from load to ground, 1.2 ohm to 1.2 ohm
  reading volts across load and ground
  reading amps through R1
  fault touching wires shorts load to ground
  fault wrong part fits 300 A at F1
  fault stuck thing sticks F1 closed
"#,
    );
    shows(&book, "amps", "", &[], 12.0 / 1.3, 12.0 / 1.3);
    // Shorted, over 60 A flow through 10 A: it opens.
    shows(&book, "volts", "", &["touching wires"], 0.0, 0.0);
    assert!(told(&book, "volts", "", &["touching wires"]).outcomes[0].how[0].starts_with("fuse `F1` opens"));
    // Bridged or far too large it holds, and the short (up to 0.1 ohm) takes the voltage: 12·(0.1‖1.2)/(0.1+0.1‖1.2).
    let parallel = 0.1 * 1.2 / 1.3;
    for hold in ["wrong part", "stuck thing"] {
        shows(&book, "volts", "", &["touching wires", hold], 12.0 * 1e-6 / 0.1, 12.0 * parallel / (0.1 + parallel));
    }
}

#[test]
fn a_tired_battery_has_volts_of_its_own() {
    let book = with(
        r#"
  battery from ground to plus, EMF volts, behind 10 mohm to 20 mohm
  resistor R1 from plus to ground, 1 ohm to 1 ohm
  reading amps through R1
  fault tired battery weakens battery to 9 V to 10 V behind 1 ohm to 1 ohm
"#,
    );
    shows(&book, "amps", "", &["tired battery"], 4.5, 5.0);
    // Its reading is taken at its posts, without a line that says so.
    shows(&book, "volts", "", &["tired battery"], 4.5, 5.0);
    let judgement = judged(&book, "volts = 12.00 V ± 0.01 V\namps = 12.00 A ± 0.01 A").1;
    assert_eq!(judgement.of(fault(&book, "tired battery")).unwrap().verdict, Verdict::RuledOut);
    assert!(judgement.no_fault_stands(), "{:?}", judgement.disturbed);
}

// Read at the posts while 12 V / 1.1 ohm flow through 0.1 ohm, the battery has 13.0909 V without load; read with nothing on it has what was read.
#[test]
fn a_battery_gives_what_was_read_and_what_it_lost_inside() {
    let book = with(
        r#"
  battery from ground to plus, EMF volts, behind 0.1 ohm to 0.1 ohm
  switch S1 from plus to load, closed with speed is high, 0 ohm
  resistor R1 from load to ground, 1.1 ohm to 1.1 ohm
  reading amps through R1
"#,
    );
    let volts = book.find_indication("volts").unwrap();
    let circuit = book.circuit(CircuitId::at(0));
    let (high, low) = (job(&book, "with speed is high").setup, job(&book, "").setup);
    let posts = circuit.probes_of(volts).next().unwrap().1.at;
    for (taken, expected) in [(&high, 12.0 + 0.1 * 12.0 / 1.1), (&low, 12.0)] {
        let supplies = [Supply { reading: volts, taken: vec![(Range::exactly(12.0), taken.clone())] }];
        let stand = Stand { book: &book, circuit, setup: &low, faults: &[], warmth: None };
        let known = Known { supplies: &supplies, before: &[] };
        let Range { low, high } = foretell(&stand, known, posts.into()).unwrap().hull();
        assert!((low - expected).abs() < 1e-5 && (high - expected).abs() < 1e-5, "{low} to {high}, not {expected}");
    }
    // In a job: 12 V at the posts drive 10.91 A.
    let loaded = "with speed is high\nvolts = 12.00 V ± 0.01 V\namps = 10.91 A ± 0.01 A";
    assert!(judged(&book, loaded).1.no_fault_stands());
}

#[test]
fn a_diode_drops_its_voltage_one_way_and_blocks_the_other() {
    let book = |ends: &str| {
        with(&format!(
            r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  diode D1 {ends}, 0.6 V to 0.8 V, 0 ohm
  resistor R1 from load to ground, 10 ohm to 10 ohm
  reading volts across load and ground
"#
        ))
    };
    shows(&book("from plus to load"), "volts", "", &[], 11.2, 11.4);
    shows(&book("from load to plus"), "volts", "", &[], 0.0, 0.0);
}

// Ohms are taken with the supply off; leads have up to 0.5 ohm, and above 1 Mohm dirt is no connection.
#[test]
fn ohms_are_read_with_the_supply_off() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  switch S1 from plus to lead, open with plug pulled, 0 ohm
  resistor R1 from lead to ground, 250 ohm to 260 ohm
  reading ohms across lead and ground
  fault broken wire opens R1
  fault wrong part fits 80 ohm to 90 ohm at R1
"#,
    );
    shows(&book, "ohms", "with plug pulled", &[], 250.0, 260.0);
    assert_eq!(told(&book, "ohms", "with plug pulled", &["broken wire"]).hull().low, f64::INFINITY);
    let verdict = |said: &str, name: &str| {
        judged(&book, &format!("with plug pulled\nohms = {said}")).1.of(fault(&book, name)).unwrap().verdict
    };
    assert_eq!(verdict("OL", "wrong part"), Verdict::RuledOut);
    assert_eq!(verdict("3.2 Mohm", "broken wire"), Verdict::Open);
    assert_eq!(verdict("85.4 ohm", "broken wire"), Verdict::RuledOut);
    assert_eq!(verdict("90.4 ohm", "wrong part"), Verdict::Open);
    assert_eq!(verdict("91.0 ohm", "wrong part"), Verdict::RuledOut);
}

#[test]
fn usual_ranges_are_taken_where_the_book_says_nothing() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12 V
  fuse F1 from plus to a, 20 A
  connector C1 from a to b
  switch S1 from b to c, closed with ignition on
  motor M1 from c to ground, 6 A to 6 A at 12 V
  reading volts across c and ground
"#,
    );
    // 2 ohm behind 5 + 1.5 mohm at least and 50 + 10 + 10 + 50 mohm at most.
    shows(&book, "volts", "", &[], 24.0 / 2.12, 24.0 / 2.0065);
    assert!(told(&book, "volts", "", &[]).is_exact());
}

#[test]
fn elements_of_one_value_are_named_where_they_matter() {
    let book = with(
        r#"
  battery from ground to plus, EMF 12 V to 12.6 V, behind 10 mohm to 20 mohm
  resistor R1 from plus to tap, 10 ohm
  resistor R2 from tap to ground, 10 ohm to 11 ohm
  resistor R3 from plus to ground, 1 kohm
  reading volts across tap and ground
"#,
    );
    let told = told(&book, "volts", "", &[]);
    assert_eq!((told.is_exact(), told.unranged.as_slice()), (false, &["R1".to_owned()][..]));
}

#[test]
fn a_circuit_that_nothing_limits_says_nothing() {
    let book = with(
        r#"
  battery one from ground to plus, EMF 12 V to 12 V, behind 0 ohm
  battery two from ground to plus, EMF 13 V to 13 V, behind 0 ohm
  reading volts across plus and ground
  resistor R1 from plus to ground, 1 ohm to 1 ohm
  fault broken wire opens R1
"#,
    );
    let judgement = judged(&book, "volts = 5.0 V").1;
    assert_eq!(judgement.of(fault(&book, "broken wire")).unwrap().verdict, Verdict::Open);
    assert!(judgement.no_fault_stands());
}
