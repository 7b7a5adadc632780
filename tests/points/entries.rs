//! What is said when something is set up or entered, and what is refused. Sources: the language's own page, "Setup",
//! "Three values" and points 3, 4, 5 and 7.

use super::bench::{Bench, Ran, verdict};

const BOOK: &str = "
state ignition on
state cooling demanded
  needs ignition on
state self-test
  excludes cooling demanded
state speed
  one of off, low, high
change relay swapped
  put back \"The relay to its own socket.\"
reading feed
  unit V
  from 0 V to 32 V
  needs cooling demanded
reading coil
  unit ohm
reading gap = feed - 1 V
  unit V
reading suction
  unit kPa gauge
  from -100 kPa gauge to 3000 kPa gauge
reading only running
  unit V
  tolerance 12 V to 14 V with ignition on
observation lamp lit
  answers yes, no
fault f
fault g
fault h
fault i
rule r: feed below 5 V rules out f
rule s: lamp lit is yes rules out f
rule t: coil below 5 ohm rules out f
rule u: suction below 100 kPa gauge rules out f
rule v: only running in tolerance implies g
rule w: coil below 7 ohm implies h
";

fn ask(input: &str) -> Ran {
    Bench::with(BOOK).ask(input)
}

fn refused(input: &str, words: &[&str]) {
    let ran = ask(input);
    assert_eq!(ran.status, 1, "{input}: {ran:?}");
    assert!(ran.says(words), "{input}: expected {words:?} in {ran:?}");
}

fn taken(input: &str, words: &[&str]) {
    let ran = ask(input);
    assert_eq!(ran.status, 0, "{input}: {ran:?}");
    assert!(ran.says(words), "{input}: expected {words:?} in {ran:?}");
}

#[test]
fn setting_up_says_what_it_brings_and_takes_away() {
    // "setting a state brings what it needs and says so; removing a needed state removes what needs it; `excludes`
    // works both ways and takes the other away"
    taken("with cooling demanded\n", &["ignition on"]);
    taken("with cooling demanded\nwithout ignition on\n", &["cooling demanded"]);
    taken("with cooling demanded\nwith self-test\n", &["self-test", "cooling demanded"]);
    let prompts = ask("with cooling demanded\nwith self-test\nfaults\n").out;
    let last = prompts.lines().rfind(|line| line.contains("> faults")).unwrap_or_default().to_string();
    assert!(last.contains("self-test") && !last.contains("cooling demanded"), "{last}");
}

#[test]
fn changes_still_in_place_are_shown_in_the_prompt_and_at_the_end() {
    let ran = ask("with relay swapped\nlamp lit is yes\n");
    let prompt = ran.out.lines().find(|line| line.contains("> lamp lit is yes")).unwrap_or_default().to_string();
    assert!(prompt.contains("relay swapped"), "{ran:?}");
    let end = ran.out.rsplit("lamp lit is yes").next().unwrap_or_default().to_string();
    assert!(end.contains("relay swapped: The relay to its own socket."), "{ran:?}");
    assert!(!ask("with relay swapped\nwithout relay swapped\n").out.contains("The relay to its own socket."));
}

#[test]
fn the_prompt_says_what_is_off() {
    let bench = Bench::with("state panel\n  normally on\nobservation a\n  answers yes, no\nfault f\n");
    let ran = bench.ask("without panel\nfaults\n");
    let prompt = ran.out.lines().find(|line| line.contains("> faults")).unwrap_or_default().to_string();
    assert!(prompt.contains("without panel"), "{prompt}");
}

#[test]
fn an_entry_whose_needs_do_not_hold_is_kept_and_said_to_decide_nothing() {
    taken("feed = 2 V\n", &["decides nothing", "cooling demanded"]);
    let answer = Bench::with(BOOK).answer("feed = 2 V\n");
    assert_eq!(verdict(&answer, "f"), "open");
    assert_eq!(answer["entries"].as_array().unwrap().len(), 1, "it is kept");
}

#[test]
fn an_entry_that_no_atom_can_match_is_said_to_decide_nothing() {
    taken("with relay swapped\nlamp lit is yes\n", &["decides nothing", "relay swapped"]);
    let nothing = ask("lamp lit is yes\n");
    assert!(!nothing.says(&["decides nothing"]), "{nothing:?}");
}

#[test]
fn entered_again_under_another_setup_both_count() {
    // "When a reading is entered again under another setup, the tool says that both count and offers `take back`."
    taken("coil = 50 ohm\nwith ignition on\ncoil = 2 ohm\n", &["both count", "take back"]);
    let same = ask("coil = 50 ohm\ncoil = 2 ohm\n");
    assert!(!same.says(&["both count"]), "{same:?}");
}

#[test]
fn no_tolerance_for_this_setup() {
    // "none: unknown, *no tolerance for this setup*"
    let ran = Bench::with(BOOK).ask("only running = 13 V\nwhy g\n");
    assert!(ran.says(&["no tolerance for this setup"]), "{ran:?}");
}

#[test]
fn too_close_to_call() {
    // "A comparison whose limit falls inside the interval is unknown with the reason *too close to call*"
    let ran = ask("coil = 7 ohm\nwhy h\n");
    assert!(ran.says(&["too close to call"]), "{ran:?}");
}

#[test]
fn what_would_rule_it_out_is_too_close_to_call() {
    let ran = ask("coil = 5 ohm\nwhat decides f\n");
    assert!(ran.says(&["too close to call"]), "{ran:?}");
}

#[test]
fn taken_under_different_setups() {
    // "else unknown: *taken under different setups, retake X with …*"
    let bench = Bench::with(
        "state lights on\nreading feed\n  unit V\nreading load\n  unit V\nfault f\nfault g\nrule r: feed - load above 1 V implies f\n",
    );
    let ran = bench.ask("feed = 10 V\nwith lights on\nload = 2 V\nwhy f\n");
    assert!(ran.says(&["different setups", "lights on"]), "{ran:?}");
}

#[test]
fn out_of_range_is_refused_with_the_range() {
    refused("feed = 99 V\n", &["job/outside-range", "`feed`", "0 V to 32 V"]);
    refused("feed = -1 V\n", &["job/outside-range"]);
    refused("feed = above 5 V with nonsense\n", &["nonsense"]);
    taken("feed = 31 to 33 V\n", &["entered"]);
    taken("feed = above 40 V\n", &["entered"]);
    taken("feed = below -1 V\n", &["entered"]);
    // One-sided ones that end inwards of nothing in the range are outside it as a whole: above 5 V reaches into it.
    taken("feed = above 5 V\n", &["entered"]);
}

#[test]
fn over_range_needs_a_range() {
    // "without a range it is an error that asks for one"
    refused("coil = OL\n", &["job/no-range", "range"]);
    taken("feed = OL\n", &["entered"]);
    taken("coil = above 40 Mohm\n", &["entered"]);
}

#[test]
fn units_of_an_entry() {
    // "A missing unit is an error; a unit of the same kind converts."
    refused("feed = 12\n", &["`12` has no unit", "`12 V`"]);
    refused("feed = 12 ohm\n", &["units/mismatch", "voltage", "resistance"]);
    refused("feed = 12 v\n", &["units/unknown", "`V`"]);
    taken("feed = 12000 mV\n", &["entered"]);
    taken("suction = 250 kPa absolute\n", &["101.325"]);
    refused("suction = 250 kPa\n", &["kPa gauge"]);
    // An observation takes no number, a reading no answer.
    refused("lamp lit = 3 V\n", &["`lamp lit`", "`yes`", "`no`"]);
    refused("feed is low\n", &["`feed`", "="]);
}

#[test]
fn equals_enters_readings_and_is_enters_answers() {
    // "the other way gets the fix"
    refused("lamp lit = yes\n", &["type `lamp lit is yes`"]);
    refused("feed is 12.5 V\n", &["type `feed = 12.5 V`"]);
}

#[test]
fn a_computed_reading_lists_its_parts() {
    // "entering one directly is an error that lists the parts"
    refused("gap = 3 V\n", &["`gap` is computed", "`feed`"]);
}

#[test]
fn a_state_with_values_lists_them() {
    refused("with speed\n", &["`speed`", "`off`", "`low`", "`high`"]);
    refused("with speed is fast\n", &["`fast`", "`low`"]);
    refused("with ignition on is high\n", &["`ignition on`"]);
}

#[test]
fn not_measured_replaces_nothing() {
    let answer = Bench::with(BOOK).answer("lamp lit is yes\nlamp lit is not measured\n");
    assert_eq!(verdict(&answer, "f"), "ruled_out");
}

#[test]
fn near_misses_get_the_nearest_name() {
    refused("fede = 3 V\n", &["did you mean `feed`"]);
    refused("lamp lit is yess\n", &["did you mean `yes`"]);
    refused("with ignition onn\n", &["did you mean `ignition on`"]);
    refused("repaired ff\n", &["did you mean `f`"]);
}

#[test]
fn take_back_with_nothing_to_take_back() {
    refused("take back\n", &["nothing to take back"]);
    refused("lamp lit is yes\ntake back\ntake back\n", &["nothing to take back"]);
}

#[test]
fn that_was_changes_the_setup_of_the_last_entry_only() {
    // "`that was with relay swapped` (restamping the last entry)"
    let bench = Bench::with(BOOK);
    let answer = bench.answer("feed = 2 V\nthat was with cooling demanded\n");
    assert_eq!(verdict(&answer, "f"), "ruled_out");
    let answer = bench.answer("feed = 2 V\nthat was with cooling demanded\nfeed = 2 V\nthat was with relay swapped\n");
    assert_eq!(answer["entries"].as_array().unwrap().len(), 2, "{answer}");
    let answer = bench.answer("lamp lit is yes\nthat was with relay swapped\n");
    assert_eq!(verdict(&answer, "f"), "open");
    let answer = bench.answer("lamp lit is yes\nthat was with relay swapped\ntake back\n");
    assert_eq!(verdict(&answer, "f"), "ruled_out", "`that was` is a line that can be taken back");
}
