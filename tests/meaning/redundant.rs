//! Rules whose removal changes no verdict: by a proof that rules the rest out, and the near-misses.

use crate::shelf::{ask, assert_witnessed};

const HEAD: &str = "rulebook \"Fan feed\"\n  language 1\nreading supply\n  unit V\n  from 0 V to 32 V\n\
    observation fan runs\n  answers yes, no\nobservation fuse glows\n  answers yes, no\n\
    fault open feed wire\nfault blown fuse\nfault seized fan\n";

const PROOF: &str = "rule no feed:\n  supply below 5 V\n  implies open feed wire\n";
const REST: &str = "rule the others:\n  supply below 3 V\n  rules out blown fuse, seized fan\n";

fn said(text: &str) -> Vec<String> {
    let asked = ask(text);
    assert_witnessed(&asked);
    assert_eq!(asked.survey.total(), 0, "{:?}", asked.survey);
    asked.said("redundant-rule").iter().map(ToString::to_string).collect()
}

#[test]
fn what_a_proof_rules_out_anyway_is_found() {
    assert_eq!(said(&format!("{HEAD}{PROOF}{REST}")), ["rule `the others` adds nothing"]);
}

#[test]
fn a_rule_that_speaks_where_the_proof_is_disputed_is_needed() {
    // By another entry the proof falls, and then only the rule rules the others out.
    let disputed = "rule the fan runs:\n  fan runs is yes\n  rules out open feed wire\n";
    assert_eq!(said(&format!("{HEAD}{PROOF}{REST}{disputed}")), Vec::<String>::new());
    // The same by a second proof: two of them stand against each other, and rule nothing out.
    let rival = "rule the fuse glows:\n  fuse glows is yes\n  implies blown fuse\n";
    assert_eq!(said(&format!("{HEAD}{PROOF}{REST}{rival}")), Vec::<String>::new());
}

#[test]
fn with_several_faults_at_once_a_failed_shows_makes_up_for_no_rule() {
    // One fault can hide what another shows; `rules out` is not hidden.
    let shows =
        "fault dirty plug\n  shows supply below 12 V\nrule feed there:\n  supply above 20 V\n  rules out dirty plug\n";
    let single = format!("{HEAD}{shows}");
    assert_eq!(said(&single), ["rule `feed there` adds nothing"]);
    let several = single.replace("  language 1\n", "  language 1\n  at most 2 faults at once\n");
    assert_eq!(said(&several), Vec::<String>::new());
    // Nor does a proof rule the others out.
    let proof = format!("{HEAD}{PROOF}{REST}").replace("  language 1\n", "  language 1\n  at most 2 faults at once\n");
    assert_eq!(said(&proof), Vec::<String>::new());
}
