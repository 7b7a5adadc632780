//! `judge --format json`: "has at least `schema`, `book`, `outcome`, `verdicts: [{fault, verdict, weight, because}]` …,
//! `hypotheses: [{faults, weight}]` (the two standing ones included) and `conflicts`; `fault` spelt as declared, its
//! `weight` the sum over the sets that hold it".

use serde_json::{Value, json};

use super::bench::{Bench, hypothesis, one_of, verdict};

const BOOK: &str = "
state ignition on
reading feed
  unit V
  from 0 V to 32 V
  needs ignition on
  tolerance 12 V to 14 V
observation lamp lit
  answers yes, no, dim
  sound yes, dim
observation fan turns
  answers yes, no
observation horn
  answers yes, no
fault Open Wire
  share 3
fault blown fuse
fault stuck relay
complaint no air
  may be Open Wire, blown fuse
  gone when fan turns is yes
rule wire: horn is yes implies Open Wire
rule fuse: lamp lit is no implies blown fuse
rule not wire: fan turns is no rules out Open Wire
rule not fuse: fan turns is no and horn is no rules out blown fuse
rule not relay: fan turns is no and feed below 5 V rules out stuck relay
rule either: lamp lit is dim implies Open Wire or blown fuse
";

fn bench() -> Bench {
    Bench::with(BOOK)
}

const NO_FAULT: &[&str] = &["no fault present"];
const NOT_COVERED: &[&str] = &["something this book does not cover"];

#[test]
fn the_fields_are_there() {
    let answer = bench().answer("horn is yes\n");
    for field in ["schema", "book", "outcome", "verdicts", "hypotheses", "conflicts"] {
        assert!(answer.get(field).is_some_and(|value| !value.is_null()), "{field}: {answer}");
    }
    for one in answer["verdicts"].as_array().unwrap() {
        for field in ["fault", "verdict", "weight", "because"] {
            assert!(one.get(field).is_some(), "{field}: {one}");
        }
    }
    // Spelt as declared, whatever the sentences spell.
    assert_eq!(verdict(&answer, "Open Wire"), "proved");
    assert_eq!(answer["verdicts"].as_array().unwrap().len(), 3);
}

#[test]
fn each_of_the_five_verdicts() {
    let bench = bench();
    let answer = bench.answer("horn is yes\n");
    assert_eq!([verdict(&answer, "Open Wire"), verdict(&answer, "blown fuse")], ["proved", "ruled_out"]);
    assert_eq!(verdict(&bench.answer(""), "Open Wire"), "open");
    let answer = bench.answer("with ignition on\nfan turns is no\nhorn is no\n");
    assert_eq!(verdict(&answer, "stuck relay"), "only_one_left");
    let answer = bench.answer("horn is yes\nfan turns is no\n");
    assert_eq!(verdict(&answer, "Open Wire"), "conflict");
}

#[test]
fn each_of_the_six_outcomes() {
    let bench = bench();
    let outcome = |input: &str| bench.answer(input)["outcome"].as_str().unwrap().to_string();
    assert_eq!(outcome("horn is yes\n"), "proved");
    assert_eq!(outcome(""), "open");
    assert_eq!(outcome("fan turns is no\nhorn is no\n"), "only_one_left");
    assert_eq!(outcome("horn is yes\nfan turns is no\n"), "conflict");
    // "When none is left: *no fault seen*, while `no fault present` stands, else *an entry is wrong, or this book
    // does not cover it*". 2 V is out of tolerance.
    assert_eq!(outcome("fan turns is no\nhorn is no\nwith ignition on\nfeed = 2 V\n"), "not_covered_or_wrong_entry");
    let sound = Bench::with("observation a\n  answers yes, no\nfault f\nfault g\nrule r: a is yes rules out f, g\n");
    assert_eq!(sound.answer("a is yes\n")["outcome"], "no_fault_seen");
}

#[test]
fn a_fault_never_judged_is_open_not_the_only_one_left() {
    // "The last of the book's faults not ruled out, where an entry ruled out at least one other".
    let alone = Bench::with("observation a\n  answers yes, no\nfault f\n");
    let answer = alone.answer("a is yes\n");
    assert_eq!((answer["outcome"].as_str(), verdict(&answer, "f").as_str()), (Some("open"), "open"));
}

#[test]
fn the_two_standing_hypotheses() {
    let answer = bench().answer("");
    assert!(hypothesis(&answer, NOT_COVERED).is_some_and(|h| h["weight"].is_number()), "{answer}");
    // "it stands outside the weights, null in JSON while it stands, left out when ruled out"
    assert_eq!(hypothesis(&answer, NO_FAULT).map(|h| h["weight"].clone()), Some(Value::Null));
}

#[test]
fn what_rules_out_that_no_fault_is_present() {
    let bench = bench();
    let stands = |input: &str| hypothesis(&bench.answer(input), NO_FAULT).is_some();
    assert!(stands("with ignition on\nfeed = 13 V\nlamp lit is yes\nfan turns is yes\n"));
    assert!(!stands("with ignition on\nfeed = 11 V\n"), "a reading out of tolerance");
    assert!(stands("feed = 11 V\n"), "its needs do not hold");
    assert!(stands("with ignition on\nfeed = 11.9 V ± 0.2 V\n"), "too close to call");
    assert!(stands("with ignition on\nfeed = 11 V\nfeed = 13 V\n"), "the later replaces the earlier");
    assert!(!stands("lamp lit is no\n"), "an answer that is not the sound one");
    assert!(!stands("complaint no air\n"), "a complaint entered and not gone");
    assert!(stands("complaint no air\nfan turns is yes\n"), "a complaint gone");
    assert!(stands("complaint \"no air at all\"\n"), "the customer's words decide nothing");
    assert!(!stands("horn is yes\n"), "an uncontested proof");
    assert!(!stands("lamp lit is dim\n"), "implies … or …, its answer sound");
    assert!(stands("horn is yes\nfan turns is no\n"), "a contested proof");
    assert!(stands("fan turns is no\n"), "a rule that only rules out");
}

fn close(found: &Value, wanted: f64) -> bool {
    found.as_f64().is_some_and(|found| (found - wanted).abs() < 1e-9)
}

#[test]
fn weights_are_shares_with_the_uncovered_one() {
    // "With k = 1 a prior is the share itself, the uncovered one included"; "a missing share is 1", "uncovered share N
    // (default 5)": 3, 1, 1 and 5 of 10.
    let answer = bench().answer("");
    assert!(close(&one_of(&answer, "Open Wire")["weight"], 0.3), "{answer}");
    assert!(close(&one_of(&answer, "blown fuse")["weight"], 0.1));
    assert!(close(&hypothesis(&answer, NOT_COVERED).unwrap()["weight"], 0.5));
    // Ruled out: nothing; the rest to one. 1, 1 and 5 of 7.
    let answer = bench().answer("fan turns is no\n");
    assert!(close(&one_of(&answer, "Open Wire")["weight"], 0.0));
    assert!(close(&one_of(&answer, "stuck relay")["weight"], 1.0 / 7.0));
}

#[test]
fn with_two_at_once_a_set_is_the_product_of_its_odds() {
    // "with k > 1 a set's prior is the product of its members' odds, share / (all shares with the uncovered − share),
    // *not covered* like a fault": shares 3, 1 and 6 uncovered: odds 3/7, 1/9, 6/4; the pair 3/63.
    let two = Bench::with("  at most 2 faults at once\n  uncovered share 6\nfault f\n  share 3\nfault g\n");
    let answer = two.answer("");
    let (f, g, pair, rest) = (3.0 / 7.0, 1.0 / 9.0, 3.0 / 63.0, 1.5);
    let all = f + g + pair + rest;
    for (faults, wanted) in [(&["f"][..], f), (&["g"], g), (&["f", "g"], pair), (NOT_COVERED, rest)] {
        let found = hypothesis(&answer, faults).unwrap_or_else(|| panic!("{faults:?}: {answer}"));
        assert!(close(&found["weight"], wanted / all), "{faults:?}: {found}");
    }
    // "its `weight` the sum over the sets that hold it"
    assert!(close(&one_of(&answer, "f")["weight"], (f + pair) / all), "{answer}");
    // "Sets are ranked by weight and shown smallest first."
    let sets: Vec<&Value> = answer["hypotheses"].as_array().unwrap().iter().map(|h| &h["faults"]).take(3).collect();
    assert_eq!(sets, [&json!(["f"]), &json!(["g"]), &json!(["f", "g"])]);
}

#[test]
fn suggests_multiplies_the_odds_and_does_not_reverse() {
    let leaning = Bench::with(
        "  uncovered share 1\nobservation a\n  answers yes, no\nfault f\nfault g\n\
         rule r: a is yes suggests f 6 to 1 and speaks against g 2 to 1\n",
    );
    // 1, 1, 1 become 6, 0.5 and 1 of 7.5.
    let answer = leaning.answer("a is yes\n");
    assert!(close(&one_of(&answer, "f")["weight"], 0.8), "{answer}");
    assert!(close(&one_of(&answer, "g")["weight"], 0.5 / 7.5));
    // "`suggests` doesn't reverse when its condition is false"
    let answer = leaning.answer("a is no\n");
    assert!(close(&one_of(&answer, "f")["weight"], 1.0 / 3.0));
}

#[test]
fn of_two_rules_that_share_an_entry_only_the_stronger_counts() {
    let leaning = Bench::with(
        "  uncovered share 1\nobservation a\n  answers yes, no\nobservation b\n  answers yes, no\nfault f\n\
         rule weak: a is yes suggests f 2 to 1\nrule strong: a is yes and b is yes suggests f 3 to 1\n\
         rule other: b is no suggests f 5 to 1\n",
    );
    let weight = |input: &str| one_of(&leaning.answer(input), "f")["weight"].clone();
    assert!(close(&weight("a is yes\n"), 2.0 / 3.0));
    assert!(close(&weight("a is yes\nb is yes\n"), 3.0 / 4.0), "{}", weight("a is yes\nb is yes\n"));
    assert!(close(&weight("a is yes\nb is no\n"), 10.0 / 11.0), "they share none");
}

#[test]
fn because_leads_back_to_the_entries() {
    // "each with its chain of reasons back to the entries of the job"
    let answer = bench().answer("with ignition on\nfan turns is no\nhorn is yes\n");
    let because = one_of(&answer, "Open Wire")["because"].to_string();
    assert!(because.contains("wire") && because.contains("not wire"), "{because}");
    assert!(!answer["conflicts"].as_array().unwrap().is_empty());
    let said = bench().judge("horn is yes\n");
    assert!(said.says(&["wire", "horn is yes"]), "{said:?}");
    // "by the single-fault assumption and said so"
    assert!(said.says(&["blown fuse", "one fault at once"]), "{said:?}");
}

#[test]
fn two_proved_advise_that_the_book_may_need_two() {
    // "the first advice is that the book may need `at most 2 faults at once`"
    let said = bench().judge("horn is yes\nlamp lit is no\n");
    assert!(said.says(&["at most 2 faults at once"]), "{said:?}");
    assert_eq!(said.status, 1);
}

#[test]
fn a_complaint_says_why_it_rules_out() {
    // "*cannot explain it*"; "against a proof it is a conflict that names the complaint"
    let bench = Bench::with(
        "observation a\n  answers yes, no\nfault f\nfault g\ncomplaint no cold air\n  may be g\nrule r: a is yes implies f\n",
    );
    assert!(bench.judge("complaint no cold air\n").says(&["cannot explain", "no cold air"]));
    let quarrel = bench.answer("a is yes\ncomplaint no cold air\n");
    assert_eq!(quarrel["outcome"], "conflict");
    assert!(quarrel["conflicts"].to_string().contains("no cold air"), "{quarrel}");
    assert!(bench.judge("a is yes\ncomplaint no cold air\n").says(&["conflict", "no cold air"]));
}

#[test]
fn none_left_names_the_smallest_sets_and_what_to_take_again() {
    // "*an entry is wrong, or this book does not cover it*, with the smallest sets of entries that cannot all be right
    // and which of them to take again first"
    let bench = Bench::with(
        "observation a\n  answers yes, no\n  sound no\nobservation b\n  answers yes, no\nobservation c\n  answers yes, no\n\
         fault f\nfault g\nrule r: a is yes rules out f\nrule s: b is yes rules out g\n",
    );
    let answer = bench.answer("a is yes\nc is yes\nb is yes\n");
    assert_eq!(answer["outcome"], "not_covered_or_wrong_entry");
    let said = bench.judge("a is yes\nc is yes\nb is yes\n");
    assert!(said.says(&["a is yes", "b is yes", "again"]), "{said:?}");
    assert!(!flat_contains(&said.out, "c is yes"), "c has no part in it: {said:?}");
}

fn flat_contains(text: &str, words: &str) -> bool {
    super::bench::flat(text).contains(words)
}
