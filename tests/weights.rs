//! Weights against sums done by hand. Source of the rule: language.md, *Weights* and *Several faults at once*; Bayes'
//! rule; the numbers are worked out beside each check.

mod support;

use support::{book, close, fault, judged, weight};

use ruleout::reasoning::weights::{Factor, factors};

const LAMP: &str = r#"
reading feed
  unit V
  from 0 V to 32 V
observation lamp
  answers yes, no
observation colour
  answers red, green, blue
"#;

/// Checks the weights of single faults and of what isn't covered against shares that need not add up to 1.
#[track_caller]
fn weighs(text: &str, lines: &str, expected: &[(&str, f64)], not_covered: f64) {
    let book = book(&format!("{text}{LAMP}"));
    let (_, judgement) = judged(&book, lines);
    let total: f64 = expected.iter().map(|(_, w)| w).sum::<f64>() + not_covered;
    for (name, share) in expected {
        close(weight(&book, &judgement, &[name]), share / total);
    }
    close(weight(&book, &judgement, &[]), not_covered / total);
}

const THREE: &str = r#"
fault a
  share 10
  shows feed below 10 V in 8 of 10
fault b
  share 20
fault c
  share 15
  shows lamp is no
"#;

#[test]
fn nothing_entered_leaves_the_shares() {
    weighs(THREE, "", &[("a", 10.0), ("b", 20.0), ("c", 15.0)], 5.0);
}

#[test]
fn a_share_of_the_cases_is_the_chance_of_the_answer() {
    // two ranges: below 10 V, at least 10 V; the silent spread evenly
    weighs(THREE, "feed = 9 V", &[("a", 8.0), ("b", 10.0), ("c", 7.5)], 2.5);
    weighs(THREE, "feed = 11 V", &[("a", 2.0), ("b", 10.0), ("c", 7.5)], 2.5);
}

#[test]
fn what_is_always_shown_counts_as_one_and_what_fails_is_ruled_out() {
    weighs(THREE, "lamp is no", &[("a", 5.0), ("b", 10.0), ("c", 15.0)], 2.5);
    weighs(THREE, "lamp is yes", &[("a", 5.0), ("b", 10.0)], 2.5);
}

#[test]
fn tests_multiply_whatever_their_order() {
    let expected = [("a", 10.0 * 0.8 * 0.5), ("b", 20.0 * 0.25), ("c", 15.0 * 0.5)];
    weighs(THREE, "feed = 9 V\nlamp is no", &expected, 5.0 * 0.25);
    weighs(THREE, "lamp is no\nfeed = 9 V", &expected, 5.0 * 0.25);
}

#[test]
fn an_interval_over_several_ranges_has_the_sum_of_their_chances() {
    weighs(THREE, "feed = 9.5 to 10.5 V", &[("a", 10.0), ("b", 20.0), ("c", 15.0)], 5.0);
}

#[test]
fn a_share_is_spread_over_the_answers_that_fit_and_the_rest_over_the_others() {
    let text = "fault a\n  shows colour is not red in 6 of 10\nfault b\n";
    weighs(text, "colour is green", &[("a", 0.3), ("b", 1.0 / 3.0)], 5.0 / 3.0);
    weighs(text, "colour is red", &[("a", 0.4), ("b", 1.0 / 3.0)], 5.0 / 3.0);
}

#[test]
fn several_shows_of_one_test_multiply_and_are_made_to_add_up() {
    // red: 0.8/1 * 0.1/2... not blue in 9 of 10, red in 8 of 10: red .45*.8, green .45*.1, blue .1*.1, sum .415
    let text = "fault a\n  shows colour is not blue in 9 of 10\n  shows colour is red in 8 of 10\nfault b\n";
    let sum = 0.45 * 0.8 + 0.45 * 0.1 + 0.1 * 0.1;
    weighs(text, "colour is red", &[("a", 0.36 / sum), ("b", 1.0 / 3.0)], 5.0 / 3.0);
    weighs(text, "colour is blue", &[("a", 0.01 / sum), ("b", 1.0 / 3.0)], 5.0 / 3.0);
}

#[test]
fn the_silent_spread_over_the_answers_that_the_rules_leave_them() {
    // red rules b out, blue proves c: of the silent, a has red and green, b green only, c all three
    let text =
        "fault a\nfault b\nfault c\nrule x:\n  colour is red\n  rules out b\nrule y:\n  colour is blue\n  implies c\n";
    weighs(text, "colour is green", &[("a", 0.5), ("b", 1.0), ("c", 1.0 / 3.0)], 5.0 / 3.0);
}

#[test]
fn limits_of_rules_tolerances_and_bands_all_cut_the_range() {
    // cuts at 5 (rule), 10 (shows), 12 and 14 (tolerance): five ranges; a has two of them
    let text = r#"
reading supply
  unit V
  from 0 V to 32 V
  tolerance 12 V to 14 V
fault a
  shows supply below 10 V
fault b
rule x:
  supply below 5 V and lamp is yes
  rules out b
"#;
    weighs(text, "supply = 7 V", &[("a", 0.5), ("b", 0.2)], 1.0);
    let banded = "reading supply\n  unit V\n  from 0 V to 32 V\n  bands low below 10 V, middle 10 V to 20 V, high above 20 V\nfault a\n  shows supply is low\nfault b\n";
    weighs(banded, "supply = 7 V", &[("a", 1.0), ("b", 1.0 / 3.0)], 5.0 / 3.0);
}

#[test]
fn a_limit_beyond_what_is_possible_cuts_nothing() {
    let text =
        "fault a\n  shows feed below 10 V\nfault b\n  shows feed above -1 V\nrule x:\n  feed above 40 V\n  implies b\n";
    weighs(text, "feed = 7 V", &[("a", 1.0), ("b", 0.5)], 2.5);
}

#[test]
fn a_condition_over_several_tests_counts_once_when_decided() {
    let text = "fault a\n  shows feed below 10 V and lamp is yes in 9 of 10\nfault b\n  shows feed below 10 V and lamp is yes in 6 of 10\nfault c\n";
    // undecided: only the tests themselves, alike for all
    weighs(text, "feed = 7 V", &[("a", 1.0), ("b", 1.0), ("c", 1.0)], 5.0);
    // true: 0.9, 0.6, silent 1/2; false by one of the two: 0.1, 0.4, 1/2
    weighs(text, "feed = 7 V\nlamp is yes", &[("a", 0.9), ("b", 0.6), ("c", 0.5)], 2.5);
    weighs(text, "feed = 11 V", &[("a", 0.1), ("b", 0.4), ("c", 0.5)], 2.5);
}

#[test]
fn a_rule_that_shares_an_entry_with_a_stronger_one_is_passed_over() {
    let text = r#"
fault a
fault b
rule weak:
  feed below 10 V
  suggests a 2 to 1
rule strong:
  feed below 10 V and lamp is yes
  suggests a 5 to 1
rule other:
  colour is red
  speaks against a 3 to 1
"#;
    // feed and lamp: strong only; colour besides. The silent are alike in every test.
    weighs(text, "feed = 7 V\nlamp is yes\ncolour is red", &[("a", 5.0 / 3.0), ("b", 1.0)], 5.0);
    weighs(text, "feed = 7 V\nlamp is no", &[("a", 2.0), ("b", 1.0)], 5.0);
}

#[test]
fn entries_under_two_setups_are_two_tests() {
    let text = "state warm\nfault a\n  shows feed below 10 V\nfault b\n  shows feed below 10 V with warm in 5 of 10\n";
    // cold: ranges of a's limit, of which b's with warm does not apply; warm: a again, b 1/2 as the silent
    weighs(text, "feed = 7 V\nwith warm\nfeed = 8 V", &[("a", 1.0), ("b", 0.25)], 1.25);
}

const TWO: &str = r#"  at most 2 faults at once
fault a
  share 10
  shows lamp is no
fault b
  share 20
fault c
  share 15
  shows colour is red in 8 of 10
"#;

#[test]
fn with_several_at_once_a_prior_is_the_product_of_odds() {
    // all shares 50: a 10/40, b 20/30, c 15/35, not covered 5/45
    let book = book(&format!("{TWO}{LAMP}"));
    let (_, judgement) = judged(&book, "");
    let (a, b, c, other) = (10.0 / 40.0, 20.0 / 30.0, 15.0 / 35.0, 5.0 / 45.0);
    let total = a + b + c + a * b + a * c + b * c + other;
    close(weight(&book, &judgement, &["a"]), a / total);
    close(weight(&book, &judgement, &["b", "c"]), b * c / total);
    close(weight(&book, &judgement, &[]), other / total);
    // a fault's own weight is the sum over the sets that hold it
    close(judgement.of(fault(&book, "a")).unwrap().weight, (a + a * b + a * c) / total);
}

#[test]
fn a_masked_shows_counts_as_one_in_ten() {
    let book = book(&format!("{TWO}{LAMP}"));
    let (_, judgement) = judged(&book, "lamp is yes");
    let (a, b, c, other) = (10.0 / 40.0, 20.0 / 30.0, 15.0 / 35.0, 5.0 / 45.0);
    // {a} falls; {a, b} and {a, c} are masked; the silent have 1/2
    let total = b / 2.0 + c / 2.0 + a * b * 0.1 + a * c * 0.1 + b * c / 2.0 + other / 2.0;
    close(weight(&book, &judgement, &["a"]), 0.0);
    close(weight(&book, &judgement, &["a", "b"]), a * b * 0.1 / total);
    close(weight(&book, &judgement, &["b"]), b / 2.0 / total);
}

#[test]
fn of_a_set_the_largest_share_of_its_members_counts_and_the_silent_are_passed_over() {
    let text = "  at most 2 faults at once\nfault a\n  shows lamp is no in 6 of 10\nfault b\n  shows lamp is no in 9 of 10\nfault c\n";
    let book = book(&format!("{text}{LAMP}"));
    let (_, judgement) = judged(&book, "lamp is no");
    // shares 1, 1, 1 and 5: odds 1/7 each, 5/3 for what isn't covered
    let (one, two, other) = (1.0 / 7.0, 1.0 / 49.0, 5.0 / 3.0);
    let total = one * (0.6 + 0.9 + 0.5) + two * (0.9 + 0.6 + 0.9) + other * 0.5;
    close(weight(&book, &judgement, &["a", "b"]), two * 0.9 / total);
    close(weight(&book, &judgement, &["a", "c"]), two * 0.6 / total);
}

#[test]
fn a_weight_never_turns_an_open_fault_into_a_proved_one_and_long_jobs_do_not_underflow() {
    let states: String = (0..60).map(|n| format!("state s{n}\n")).collect();
    let text = format!("{states}fault a\n  shows feed below 10 V in 999 of 1000\nfault b\n{LAMP}");
    let book = book(&text);
    let lines: String = (0..60).map(|n| format!("with s{n}\nfeed = 5 V\n")).collect();
    let (_, judgement) = judged(&book, &lines);
    let sum: f64 = judgement.hypotheses.iter().map(|h| h.weight).sum();
    close(sum, 1.0);
    assert!(weight(&book, &judgement, &["a"]) > 0.999_999);
    assert_eq!(judgement.of(fault(&book, "a")).unwrap().verdict, ruleout::reasoning::Verdict::Open);
}

#[test]
fn the_factors_of_a_fault_multiply_to_its_weight() {
    let text = format!("{THREE}rule x:\n  colour is red\n  suggests a 4 to 1\n{LAMP}");
    let book = book(&text);
    let (job, judgement) = judged(&book, "feed = 9 V\nlamp is no\ncolour is red");
    let product = |name: &str| {
        factors(&book, &job, &judgement.evidence, fault(&book, name)).iter().fold(1.0, |product, factor| {
            product
                * match factor {
                    Factor::Share { share, .. } => *share,
                    Factor::Odds(rule) if rule.passed_over_for.is_none() => rule.factor,
                    Factor::Odds(_) => 1.0,
                    // tests that say the same of everything are left out, so count them against the uncovered
                    Factor::Test { chance, elsewhere, .. } => chance / elsewhere,
                    Factor::Joint { chance, .. } => chance / 0.5,
                    // These books have no circuits.
                    Factor::Circuit(_) => f64::NAN,
                }
        })
    };
    let (a, b) = (product("a"), product("b"));
    close(weight(&book, &judgement, &["a"]) / weight(&book, &judgement, &["b"]), a / b);
    close(a / b, 10.0 * 4.0 * 1.6 / 20.0);
}
