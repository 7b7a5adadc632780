//! Advice: first things first, what each answer would mean held against what judging it really gives, set-up and donors,
//! cautions, repairs.

mod support;

use support::{advice, book, close, fault, judged, names, text};

use ruleout::advice::{Advice, HandOver, Note, Purpose, TestAdvice, advise};
use ruleout::book::{Book, FaultId};
use ruleout::job::Job;
use ruleout::output::words::Wording;
use ruleout::reasoning::{Verdict, judge};

const BENCH: &str = r#"
caution moving fan
  "It can start by itself."
caution live work
  "High voltage: qualified staff only."
  stop
part fan relay
  kind "mini relay"
  where "position 3"
part lamp relay
  kind "mini relay"
  where "position 9"
  may lend
part other relay
  kind "mini relay"
part horn relay
  kind "big relay"
  may lend
state ignition on
  takes 0.2 min
state cooling demanded
  needs ignition on
  takes 1 min
change relay swapped
  swaps fan relay
  takes 3 min
change fan unplugged
  takes 4 min
change direct feed fitted
  needs fan unplugged
  takes 3 min
observation fan runs
  answers yes, no
  needs cooling demanded
  takes 1 min
  caution moving fan
observation fan runs on a lead
  answers yes, no
  needs direct feed fitted
  takes 1 min
  caution moving fan
observation insulation
  answers good, bad
  takes 1 min
  caution live work
observation noise
  answers none, some
"#;

#[test]
fn a_test_that_splits_two_like_faults_is_worth_one_bit() {
    let book = book(&format!("{BENCH}fault a\n  shows fan runs is yes\nfault b\n  shows fan runs is no\n"));
    let advice = advice(&book, "", 5);
    assert_eq!(names(&book, &advice), ["fan runs"]);
    // one bit between the two; what isn't covered is never ruled out and doesn't count
    close(advice.steps[0].gain_bits, 1.0);
    // ignition 0.2 min, demand 1 min, the look 1 min
    close(advice.steps[0].seconds, 132.0);
}

#[test]
fn the_way_there_is_put_back_first_then_set_in_order_of_need_with_donors() {
    let text = format!(
        "{BENCH}fault a\n  shows fan runs is yes with relay swapped\nfault b\n  shows fan runs is no with relay swapped\n"
    );
    let book = book(&text);
    let advice = advice(&book, "with direct feed fitted", 1);
    let step = &advice.steps[0];
    let said: Vec<String> = step
        .steps
        .iter()
        .map(|s| format!("{}{}", if s.back { "without " } else { "with " }, book.setting(s.setting).name))
        .collect();
    let expected = [
        "without direct feed fitted",
        "without fan unplugged",
        "with ignition on",
        "with cooling demanded",
        "with relay swapped",
    ];
    assert_eq!(said, expected);
    // of the three other relays one is of the same kind and may lend
    let donors: Vec<&str> = step.steps[4].donors.iter().map(|id| book.part(*id).name.as_str()).collect();
    assert_eq!(donors, ["lamp relay"]);
    // putting back takes as long as making: 3 + 4, then 0.2 + 1 + 3, then the look
    close(step.seconds, 60.0 * (3.0 + 4.0 + 0.2 + 1.0 + 3.0 + 1.0));
}

#[test]
fn the_complaints_own_tests_come_before_any_other_and_only_once() {
    let text = format!(
        "{BENCH}complaint it is dead\n  may be a, b\n  first noise, fan runs on a lead\n\
         fault a\n  shows fan runs is yes\nfault b\n  shows fan runs is no\n"
    );
    let book = book(&text);
    let advice_now = advice(&book, "complaint it is dead", 3);
    assert_eq!(names(&book, &advice_now), ["noise", "fan runs on a lead", "fan runs"]);
    assert!(matches!(advice_now.steps[1].purpose, Purpose::Baseline(_)));
    assert_eq!(names(&book, &advice(&book, "complaint it is dead\nnoise is some", 1)), ["fan runs on a lead"]);
}

#[test]
fn what_a_stop_caution_forbids_is_handed_over_and_never_a_step() {
    let text = format!(
        "{BENCH}fault a\n  shows insulation is good\n  shows noise is some\nfault b\n  shows insulation is bad\n  shows noise is none\n"
    );
    let book = book(&text);
    let advice = advice(&book, "", 5);
    assert_eq!(names(&book, &advice), ["noise"]);
    assert!(matches!(advice.hand_over[..], [HandOver::Test(..)]), "{:?}", advice.hand_over);
    let said = text_of(&book, &advice);
    assert!(
        said.contains("Hand over to licensed or qualified staff and take their result: the test `insulation`"),
        "{said}"
    );
}

fn text_of(book: &Book, advice: &Advice) -> String {
    let job = Job::new(book);
    Wording { book, job: &job }.advice(advice, &mut Vec::new()).render(500)
}

#[test]
fn what_cannot_be_reached_is_dropped_and_what_tells_nothing_never_offered() {
    let text = format!(
        "{BENCH}fault a\n  shows fan runs is yes\nfault b\n  shows fan runs is no\nfault c\n  shows noise is none\n"
    );
    let book = book(&text);
    assert_eq!(names(&book, &advice(&book, "can't reach fan runs", 9)), ["noise"]);
    // c is gone: noise can't change anything between a and b
    assert_eq!(names(&book, &advice(&book, "noise is some", 9)), ["fan runs"]);
}

#[test]
fn a_test_without_a_time_says_that_two_minutes_are_assumed() {
    let book = book(&format!("{BENCH}fault a\n  shows noise is none\nfault b\n  shows noise is some\n"));
    let said = text(&book, "", 1);
    assert!(said.contains("noise, about 2 min") && said.contains("does not say how long"), "{said}");
}

#[test]
fn a_caution_stands_in_full_before_its_first_step_and_as_one_line_later() {
    let text_of_book = format!(
        "{BENCH}fault a\n  shows fan runs is yes\n  shows fan runs on a lead is no\nfault b\n  shows fan runs is no\nfault c\n  shows fan runs on a lead is yes\n"
    );
    let book = book(&text_of_book);
    let said = text(&book, "", 2);
    let full = said.find("CAUTION moving fan: It can start by itself.").unwrap();
    assert!(said.find("where").is_none_or(|at| at > full));
    assert_eq!(said.matches("It can start by itself").count(), 1, "{said}");
    assert_eq!(said.matches("mind: moving fan").count(), 1, "{said}");
}

#[test]
fn tests_that_tell_only_together_are_offered_together() {
    let text = format!("{BENCH}fault a\nfault b\nrule both:\n  noise is some and fan runs is no\n  implies a\n");
    let book = book(&text);
    let first = advice(&book, "", 1);
    let step = &first.steps[0];
    assert!(step.answers.iter().all(|answer| answer.rules_out.is_empty() && answer.proves.is_empty()));
    let (_, others) = step.together.clone().unwrap();
    let both = [step.indication, others[0]].map(|id| book.indication(id).name.clone());
    assert!(both.contains(&"noise".into()) && both.contains(&"fan runs".into()));
    // half of it known, the other half tells by itself; the wrong half ends it
    assert!(
        advice(&book, "noise is some", 1).steps[0].answers.iter().any(|answer| answer.proves == [fault(&book, "a")])
    );
    assert!(advice(&book, "noise is none", 1).steps.is_empty());
}

#[test]
fn a_meter_that_cannot_tell_the_ranges_apart_is_worth_less_and_says_so() {
    let with_meter = |meter: &str| {
        let text = format!(
            "reading v\n  unit V\n  from 11 V to 13 V\n  meter {meter}\n  takes 1 min\nfault a\n  shows v below 12 V\nfault b\n  shows v at least 12 V\n"
        );
        let book = book(&text);
        advice(&book, "", 1).steps[0].clone()
    };
    let (good, bad) = (with_meter("0.1 %"), with_meter("5 %"));
    // 0.1 % of 12 V is 12 mV: 1.2 % of each range of 1 V; 5 % is 0.6 V: 60 % of each
    close(good.too_close, 0.012);
    close(bad.too_close, 0.6);
    close(good.gain_bits, 1.0 - 0.012);
    close(bad.gain_bits, 1.0 - 0.6);
}

#[test]
fn repairs_go_by_probability_over_time_where_nothing_separates() {
    // 20 in 10 min, 30 in 60 min, 5 in 2 min: worth 2, 0.5, 2.5 a minute
    let text =
        "fault a\n  share 20\n  takes 10 min\nfault b\n  share 30\n  takes 60 min\nfault c\n  share 5\n  takes 2 min\n";
    let book = book(text);
    let advice = advice(&book, "", 3);
    assert_eq!(advice.note, Some(Note::NothingSeparates));
    let order: Vec<&str> = advice.repairs.iter().map(|r| book.fault(r.fault).name.as_str()).collect();
    assert_eq!(order, ["c", "a", "b"]);
}

#[test]
fn with_several_faults_at_once_repairs_go_by_odds_over_time() {
    // after Srinivas 1995 and the example of algorithms.md section 3: p/C and odds/C differ where p is large
    let text = "  at most 2 faults at once\n  uncovered share 1\nfault a\n  share 60\n  takes 20 min\nfault b\n  share 39\n  takes 10 min\n";
    let book = book(text);
    let (job, judgement) = judged(&book, "");
    let advice = advise(&book, &job, &judgement, 2);
    let weight = |name: &str| judgement.of(fault(&book, name)).unwrap().weight;
    let (a, b) = (weight("a"), weight("b"));
    let (by_p, by_odds) = (a / 20.0 > b / 10.0, a / (1.0 - a) / 20.0 > b / (1.0 - b) / 10.0);
    assert_ne!(by_p, by_odds, "the example does not tell the two apart: {a} {b}");
    assert_eq!(advice.repairs[0].fault == fault(&book, "a"), by_odds);
}

#[test]
fn the_only_one_left_is_confirmed_or_repaired() {
    let text = "observation x\n  answers yes, no\nobservation y\n  answers yes, no\nfault a\n  takes 5 min\n  shows y is yes\nfault b\n  shows x is yes\n";
    let book = book(text);
    let (job, judgement) = judged(&book, "x is no");
    assert_eq!(judgement.of(fault(&book, "a")).unwrap().verdict, Verdict::OnlyOneLeft);
    let advice = advise(&book, &job, &judgement, 3);
    assert_eq!(names(&book, &advice), ["y"]);
    assert_eq!(advice.repairs[0].fault, fault(&book, "a"));
}

#[test]
fn a_repair_that_costs_less_than_the_last_test_is_put_forward_beside_it() {
    let text = "observation x\n  answers yes, no\n  takes 480 min\nfault a\n  share 90\n  takes 10 min\n  verify x is yes\n  shows x is no\nfault b\n  share 10\n  takes 10 min\n  shows x is yes\n";
    let dear = advice(&book(text), "", 1);
    assert_eq!(dear.steps.len(), 1);
    assert!(dear.instead.is_none(), "its own verification takes as long");
    let text = text.replace("verify x is yes", "verify z is yes") + "observation z\n  answers yes, no\n  takes 1 min\n";
    let book = book(&text);
    assert_eq!(advice(&book, "", 1).instead.map(|r| r.fault), Some(fault(&book, "a")));
}

#[test]
fn a_repair_is_followed_by_what_verifies_it() {
    let text = format!(
        "{BENCH}complaint it is dead\n  may be a, b\n  gone when noise is none\nfault a\n  shows fan runs is no\n  verify fan runs is yes\nfault b\n  shows fan runs is yes\n"
    );
    let book = book(&text);
    let after = advice(&book, "complaint it is dead\nwith cooling demanded\nfan runs is no\nrepaired a", 5);
    assert_eq!(names(&book, &after), ["fan runs", "noise"]);
    assert!(matches!(after.steps[0].purpose, Purpose::Verify(_)));
    assert!(matches!(after.steps[1].purpose, Purpose::Gone(_)));
}

#[test]
fn two_proofs_at_once_ask_whether_the_book_allows_for_more() {
    let text = format!(
        "{BENCH}fault a\nfault b\nrule r:\n  noise is some\n  implies a\nrule s:\n  fan runs is no\n  implies b\n"
    );
    let book = book(&text);
    let advice = advice(&book, "noise is some\nwith cooling demanded\nfan runs is no", 1);
    assert_eq!(advice.note, Some(Note::MoreAtOnce(2)));
    assert!(matches!(advice.steps[0].purpose, Purpose::Retake(_)));
}

#[test]
fn a_circuit_alone_tells_faults_apart() {
    let text = r#"
reading socket
  unit V
  from 0 V to 32 V
  takes 2 min
reading plug
  unit V
  from 0 V to 32 V
  takes 1 min
fault blown fuse
fault open wire
circuit feed
  battery B      from ground to post, EMF 24 V to 26 V, behind 10 mohm to 30 mohm
  fuse F1        from post to socket point, 20 A
  wire W1        from socket point to plug point, 6 m of 2.5 mm²
  motor M1       from plug point to ground, 6 A to 9 A at 26 V
  reading socket across socket point and ground
  reading plug across plug point and ground
  fault blown fuse opens F1
  fault open wire opens W1
"#;
    let book = book(text);
    let advice = advice(&book, "", 5);
    // behind both, the plug is dead under either fault; the socket is live under one
    assert_eq!(names(&book, &advice), ["socket"]);
    let live = advice.steps[0].answers.iter().find(|answer| answer.leaves == [fault(&book, "open wire")]);
    assert!(live.is_some(), "{:#?}", advice.steps[0].answers);
}

/// Shipped books with entries to start from.
const SHIPPED: &[(&str, &str)] = &[
    ("rulebooks/roof-unit-fans.rulebook", ""),
    (
        "rulebooks/roof-unit-fans.rulebook",
        "with cooling demanded\nbattery voltage = 24.9 V\nfan runs is no\nsupply at fan connector = 4.2 V",
    ),
    ("rulebooks/battery.rulebook", "with battery rested\nbattery voltage = 23.4 V"),
    ("rulebooks/radiator-fans.rulebook", ""),
];

fn shipped(path: &str) -> Book {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let disk = ruleout::cli::Disk::of(&path, &ruleout::cli::ReadingArgs::default());
    ruleout::book::load(&disk, &path).unwrap().resolve(None).0
}

#[test]
fn what_an_answer_would_mean_is_what_it_means_once_entered() {
    for (path, lines) in SHIPPED {
        let book = shipped(path);
        let (job, judgement) = judged(&book, lines);
        let open: Vec<FaultId> = judgement.with(Verdict::Open).collect();
        for step in advise(&book, &job, &judgement, 12).steps {
            holds_good(&book, &job, &open, &step);
        }
    }
}

/// Enters each answer of a test and compares what is judged with what was said.
fn holds_good(book: &Book, job: &Job, open: &[FaultId], step: &TestAdvice) {
    let name = &book.indication(step.indication).name;
    let total: f64 = step.answers.iter().map(|answer| answer.probability).sum();
    assert!((total - 1.0).abs() < 1e-6, "{name}: the chances of all answers are {total}");
    for answer in &step.answers {
        for cell in &answer.cells {
            let mut after = job.clone();
            after.entries.add(book, cell.entry(book, step.indication, &step.setup, 0));
            let found = judge(book, &after);
            let gone: Vec<FaultId> =
                open.iter().copied().filter(|f| found.of(*f).unwrap().verdict == Verdict::RuledOut).collect();
            let proved: Vec<FaultId> = found.with(Verdict::Proved).collect();
            if found.conflicts.is_empty() {
                assert_eq!(gone, answer.rules_out, "{name}, {cell:?}: {:?}", found.outcome);
                assert_eq!(proved, answer.proves, "{name}, {cell:?}");
            }
        }
    }
}

#[test]
fn advice_does_not_hang_on_the_order_of_entries() {
    let book = shipped("rulebooks/roof-unit-fans.rulebook");
    let lines =
        ["battery voltage = 24.9 V", "fan runs is no", "second fan runs is yes", "supply at fan connector = 4.2 V"];
    let mut seen: Option<Vec<(String, String)>> = None;
    for turn in 0..lines.len() {
        let mut turned = lines;
        turned.rotate_left(turn);
        let advice = advice(&book, &format!("with cooling demanded\n{}", turned.join("\n")), 9);
        let shown: Vec<(String, String)> = advice
            .steps
            .iter()
            .map(|s| (book.indication(s.indication).name.clone(), format!("{:.9}", s.gain_bits)))
            .collect();
        assert!(!shown.is_empty());
        if let Some(before) = &seen {
            assert_eq!(before, &shown);
        }
        seen = Some(shown);
    }
}

fn ruleout(arguments: &[&str], input: &str) -> (Option<i32>, String, String) {
    use std::io::Write;
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A wrong usage ends before it reads.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let done = child.wait_with_output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (done.status.code(), text(&done.stdout), text(&done.stderr))
}

#[test]
fn the_command_names_as_many_tests_as_asked_and_its_exit_says_how_it_went() {
    let fans = "rulebooks/roof-unit-fans.rulebook";
    let (exit, out, _) =
        ruleout(&["next", fans, "--count", "3", "--format", "json"], "with cooling demanded\nfan runs is no\n");
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((exit, json["tests"].as_array().unwrap().len()), (Some(0), 3));
    assert_eq!(json["schema"], "ruleout/advice/1");
    assert!(json["safety"].as_str().unwrap().contains("licensed"));
    assert!(json["tests"][0]["minutes"].as_f64().unwrap() > 0.0);
    assert_eq!(ruleout(&["next", fans, "--count", "0"], "").0, Some(2));
    assert_eq!(ruleout(&["next", "rulebooks/missing.rulebook"], "").0, Some(2));
    let (exit, out, err) = ruleout(&["next", fans], "fan runs is perhaps\n");
    assert_eq!(exit, Some(1), "a bad line is skipped and said");
    assert!(out.starts_with("Next: ") && err.contains("never answered"), "{out}{err}");
}

#[test]
fn quarrelling_entries_are_taken_again_first() {
    let fans = "rulebooks/roof-unit-fans.rulebook";
    let entries = "with cooling demanded\nfan runs is no\nbattery voltage = 24.9 V\nsupply at fan connector = 24.6 V\n\
        supply at relay socket = 24.7 V\ncoil supply = 24.6 V\nsupply at fan connector = 3.8 V with relay swapped\n";
    let (exit, out, _) = ruleout(&["next", fans], entries);
    assert_eq!(exit, Some(1), "{out}");
    assert!(out.contains("(take it again first)"), "{out}");
}

#[test]
fn the_shape_of_the_answer_for_machines() {
    let schema = schemars::schema_for!(ruleout::output::advice_json::JsonAdvice);
    insta::assert_snapshot!("advice_schema", serde_json::to_string_pretty(&schema).unwrap());
}
