//! The bare sentence of the language's own page: a legal rule that says too little.

use crate::shelf::{ask, assert_witnessed};

const HEAD: &str = r#"rulebook "Fan feed"
  language 1
part fan relay
  kind "mini relay"
part fan fuse
  kind "blade fuse"
part fan switch
  kind "switch"
part battery
  kind "battery"
part feed wire
  kind "wire"
state cooling demanded
change relay swapped
  swaps fan relay
reading supply at fan connector
  unit V
  from 0 V to 32 V
  needs cooling demanded
"#;

const RULE: &str = "rule bare:\n  supply at fan connector below 11.5 V with relay swapped implies wiring fault\n";

const BY_SHOWS: &str = r#"fault wiring fault
  of part feed wire
  shows supply at fan connector below 11.5 V
fault blown fuse
  of part fan fuse
  shows supply at fan connector below 0.5 V
fault no command
  of part fan switch
  shows supply at fan connector below 0.5 V
fault flat battery
  of part battery
  shows supply at fan connector below 11 V
fault burnt relay contact
  of part fan relay
  shows supply at fan connector below 11 V
"#;

const BY_CIRCUIT: &str = r#"fault wiring fault
fault blown fuse
fault no command
fault flat battery
circuit fan feed
  battery batteries from ground to post, EMF 12.4 V to 14.8 V, behind 10 mohm to 30 mohm
  fuse F3 from post to relay 30, 1 mohm to 5 mohm, 20 A
  fuse F5 from post to coil feed, 1 mohm to 5 mohm, 5 A
  relay fan relay coil from coil feed to relay 85, 80 ohm to 100 ohm, contact from relay 30 to relay 87
  switch fan demand from relay 85 to ground, closed with cooling demanded
  wire fan feed from relay 87 to harness plug, 10 mohm to 40 mohm
  motor M1 from harness plug to ground, 3 ohm to 4 ohm
  reading supply at fan connector across harness plug and ground
  fault wiring fault opens fan feed
  fault blown fuse opens F3
  fault no command opens fan demand
  fault flat battery weakens batteries to 4 V to 8 V
"#;

fn others(said: &[&str]) -> Vec<String> {
    said.iter().map(|text| text.split('`').nth(5).unwrap().to_string()).collect()
}

#[test]
fn what_other_faults_show_is_found_for_each_of_them() {
    let asked = ask(&format!("{HEAD}{BY_SHOWS}{RULE}"));
    // A burnt relay contact is mended by the swap: it is no rival.
    assert_eq!(
        others(&asked.said("proof-fits-other-fault")),
        ["blown fuse", "flat battery", "no command"],
        "{}",
        asked.told()
    );
    assert_witnessed(&asked);
}

#[test]
fn what_the_circuit_shows_is_found_for_each_of_them() {
    let asked = ask(&format!("{HEAD}{BY_CIRCUIT}{RULE}"));
    assert_eq!(
        others(&asked.said("proof-fits-other-fault")),
        ["blown fuse", "flat battery", "no command"],
        "{}",
        asked.told()
    );
    assert_witnessed(&asked);
}

#[test]
fn a_rule_that_asks_for_the_rest_too_is_not_found() {
    // The near-miss: fuse, command and battery are cleared by readings of their own.
    let cleared = "reading supply at relay socket\n  unit V\n  from 0 V to 32 V\n  needs cooling demanded\n\
                   observation relay clicks\n  answers yes, no\n  needs cooling demanded\n\
                   rule whole:\n  supply at fan connector below 11.5 V with relay swapped\n  and supply at relay socket at least 12 V\n  \
                   and relay clicks is yes\n  implies wiring fault\n\
                   rule feed:\n  supply at relay socket at least 12 V\n  rules out blown fuse, flat battery\n\
                   rule click:\n  relay clicks is yes\n  rules out no command\n";
    let asked = ask(&format!("{HEAD}{BY_SHOWS}{cleared}"));
    assert_eq!(asked.said("proof-fits-other-fault"), Vec::<&str>::new(), "{}", asked.told());
}
