//! What tests are worth where several belong together, where two readings stand under different setups, and what is said of
//! faults that the book is silent about.

mod support;

use support::{advice, book, close, fault, judged, names, text};

use ruleout::advice::Purpose;
use ruleout::book::Book;
use ruleout::output::words::about;

fn fans() -> Book {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks/roof-unit-fans.rulebook");
    let disk = ruleout::cli::Disk::of(&path, &ruleout::cli::ReadingArgs::default());
    ruleout::book::load(&disk, &path).unwrap().resolve(None).0
}

/// The plug's tolerance hangs on the battery's voltage; cooling pulls that down.
const PLUG: &str = "state resting\n  excludes cooling\nstate cooling\n  takes 2 min\n\
    reading battery\n  unit V\n  from 0 V to 32 V\n  takes 1 min\n\
    reading plug\n  unit V\n  from 0 V to 32 V\n  needs cooling\n  tolerance battery - 1 V to battery + 0.2 V\n  takes 3 min\n\
    observation hum\n  answers yes, no\n  takes 9 min\n\
    fault wire\n  shows plug below tolerance\nfault motor\n  shows plug in tolerance\n  shows hum is yes\n";

#[test]
fn a_reading_taken_under_another_setup_is_asked_for_again_with_the_reason() {
    let book = book(PLUG);
    let lines = "with resting\nbattery = 25.2 V\nwith cooling\nplug = 24.1 V";
    let advice = advice(&book, lines, 1);
    assert_eq!(names(&book, &advice), ["battery"]);
    let step = &advice.steps[0];
    assert!(matches!(step.purpose, Purpose::Beside(id) if id.place() == 1), "{:?}", step.purpose);
    assert!(step.gain_bits > 0.1, "{}", step.gain_bits);
    // taken so, it decides: 24.1 V is within 1 V of 24.4 V
    let (_, judgement) = judged(&book, &format!("{lines}\nbattery = 24.4 V"));
    assert_eq!(judgement.of(fault(&book, "wire")).unwrap().verdict, ruleout::reasoning::Verdict::RuledOut);
    let said = text(&book, lines, 1);
    assert!(said.contains("(again: it and entry 2, plug, were taken under different setups"), "{said}");
}

#[test]
fn what_stands_under_one_setup_is_not_asked_for_again() {
    let book = book(PLUG);
    let advice = advice(&book, "with cooling\nbattery = 25.2 V\nplug = 20 V", 9);
    assert!(advice.steps.iter().all(|step| !matches!(step.purpose, Purpose::Beside(_))));
}

#[test]
fn it_is_asked_for_under_the_setup_of_the_entry_wherever_the_vehicle_stands() {
    let book = book(PLUG);
    let advice = advice(&book, "with cooling\nplug = 24.1 V\nwith resting\nbattery = 25.2 V", 1);
    assert_eq!(names(&book, &advice), ["battery"]);
    // two minutes to set cooling again, one for the reading
    close(advice.steps[0].seconds, 180.0);
}

#[test]
fn a_chain_of_tests_is_worth_no_more_than_what_is_taken_of_it() {
    // x and y prove a together; after `x is no` y is left out, so y tells only where x is yes
    let text = "observation x\n  answers yes, no\n  takes 1 min\nobservation y\n  answers yes, no\n  takes 1 min\n\
        fault a\nfault b\nrule both:\n  x is yes and y is yes\n  implies a\n";
    let book = book(text);
    let step = &advice(&book, "", 1).steps[0];
    assert!(step.together.is_some());
    // a: each of four answers alike; b: all but yes, yes alike. After `no` the chain ends.
    let (a, b) = ([0.5, 0.25, 0.25], [2.0 / 3.0, 1.0 / 3.0, 0.0]);
    let entropy = |p: &[f64]| -> f64 { p.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum() };
    let mixed: Vec<f64> = a.iter().zip(&b).map(|(a, b)| (a + b) / 2.0).collect();
    close(step.gain_bits, entropy(&mixed) - (entropy(&a) + entropy(&b)) / 2.0);
}

#[test]
fn at_the_crux_comes_the_test_that_decides_the_rule() {
    // 24 V over the relay's contact: once it clicks and its coil is fed, the contact is burnt. By the rules alone: the
    // circuits foretell the fan's current too.
    let book = fans().without_circuits();
    let crux = "complaint one condenser fan does not run\nwith cooling demanded\nbattery voltage = 24.9 V\n\
        second fan runs is yes\nfan runs is no\nrelay contact drop = 24 V";
    // First two minutes at the plug: full voltage there would clear all that lies before it, however far off the battery's
    // voltage may be that it is held against.
    let first = advice(&book, crux, 1);
    assert_eq!(names(&book, &first), ["supply at fan connector"]);
    assert!(first.steps[0].answers.iter().any(|answer| answer.rules_out.len() >= 8), "{:?}", first.steps[0].answers);
    let dead = format!("{crux}\nsupply at fan connector = 0.3 V");
    assert_eq!(names(&book, &advice(&book, &dead, 1)), ["relay clicks"]);
    let clicks = format!("{dead}\nrelay clicks is yes");
    let next = advice(&book, &clicks, 1);
    assert_eq!(names(&book, &next), ["coil supply"]);
    let burnt = fault(&book, "burnt relay contact");
    assert!(next.steps[0].answers.iter().any(|answer| answer.proves == [burnt]));
}

#[test]
fn a_tolerance_that_hangs_on_an_entry_decides_beyond_what_that_may_be_off() {
    let book = book(PLUG);
    let step = &advice(&book, "with cooling\nbattery = 25 V ± 0.1 V", 1).steps[0];
    assert_eq!(book.indication(step.indication).name, "plug");
    let (wire, motor) = (fault(&book, "wire"), fault(&book, "motor"));
    let outcomes: Vec<_> = step.answers.iter().map(|answer| answer.rules_out.clone()).collect();
    assert_eq!(outcomes[..2], [vec![motor], vec![wire]], "{:?}", step.answers);
    // Within 0.1 V of the limits 24 V and 25.2 V nothing is decided. The wire shows 0 V to 24 V, the motor 24 V to 25.2 V.
    close(step.too_close, (0.1 / 24.0 + 0.2 / 1.2) / 2.0);
}

#[test]
fn faults_of_which_the_book_says_nothing_are_counted() {
    let text_of = "observation x\n  answers yes, no\nfault a\n  shows x is yes\nfault b\nfault c\n";
    let book = book(text_of);
    let step = &advice(&book, "", 1).steps[0];
    assert_eq!((step.silent, step.open), (2, 3));
    let said = text(&book, "", 1);
    assert!(said.contains("the book says nothing here of 2 of the 3 faults left"), "{said}");
    assert!(said.contains("no (about 4 in 10): rules out a; leaves 2"), "{said}");
}

#[test]
fn what_is_sound_is_expected_where_the_book_is_silent() {
    let text = "observation x\n  answers yes, no\n  sound yes\nfault a\n  shows x is no\nfault b\n";
    let book = book(text);
    let step = &advice(&book, "", 1).steps[0];
    // a: always no; b, and what isn't covered: yes in three of four. Shares 1, 1 and 5.
    close(step.answers[0].probability, 6.0 * 0.75 / 7.0);
}

#[test]
fn likelihoods_are_told_on_one_scale() {
    let told = [(1.0, "nearly certain"), (0.94, "about 9 in 10"), (0.1, "about 1 in 10"), (0.05, "less than 1 in 10")];
    for (weight, words) in told {
        assert_eq!(about(weight), words);
    }
    assert_eq!(about(0.002), "hardly");
}

/// Only the difference of two voltages tells: neither has a limit of its own.
const FEED: &str = "reading source\n  unit V\n  from 0 V to 32 V\n  takes 2 min\n\
    reading load\n  unit V\n  from 0 V to 32 V\n  takes 3 min\nreading lost = source - load\n\
    observation hum\n  answers yes, no\n  takes 60 min\n\
    fault wire\n  shows lost above 2 V\n  shows hum is no\nfault motor\n  shows lost at most 2 V\n  shows hum is yes\n";

#[test]
fn two_readings_that_tell_only_by_their_difference_are_offered_together() {
    let book = book(FEED);
    let found = advice(&book, "", 1);
    assert_eq!(names(&book, &found), ["source"]);
    let step = &found.steps[0];
    let (_, others) = step.together.clone().unwrap();
    assert_eq!(others.len(), 1);
    assert!(step.gain_bits > 0.5 && step.gain_bits <= 1.0 + 1e-9, "{}", step.gain_bits);
    assert!(text(&book, "", 1).contains("then load: only together they decide what `wire` shows"));
    // the first taken, the other one has its limit
    let then = advice(&book, "source = 24.5 V", 1);
    assert_eq!(names(&book, &then), ["load"]);
    assert!(then.steps[0].together.is_none() && then.steps[0].gain_bits > 0.5, "{}", then.steps[0].gain_bits);
}

#[test]
fn ranges_that_come_to_the_same_are_one_line() {
    let book = book(
        "reading v\n  unit V\n  from 0 V to 32 V\nfault a\n  shows v below 5 V in 8 of 10\nfault b\n  shows v at least 10 V\n\
        rule none:\n  v between 20 V and 25 V\n  rules out a, b\nrule none either:\n  v above 28 V\n  rules out a, b\n",
    );
    let said = text(&book, "", 1);
    let lines: Vec<&str> = said.lines().filter(|line| line.contains(" V (")).map(|line| line.trim()).collect();
    let told: Vec<(&str, &str)> =
        lines.iter().filter_map(|line| Some((line.split(" (").next()?, line.split("): ").nth(1)?))).collect();
    assert_eq!(told.len(), 4, "{said}");
    // below 5 V and from 5 V to 10 V b falls, however likely a is
    assert_eq!(told[0], ("below 10 V", "rules out b; leaves 1"), "{said}");
    assert!(told[1].0 == "10 V to 20 V" && told[2].0 == "25 V to 28 V", "{said}");
    assert_eq!(told[3], ("20 V to 25 V or above 28 V", "would leave no fault of this book"), "{said}");
    // what is told of a joined range holds for each part of it
    let step = &advice(&book, "", 1).steps[0];
    assert_eq!(step.answers[0].cells.len(), 2);
    close(step.answers.iter().map(|answer| answer.probability).sum(), 1.0);
}
