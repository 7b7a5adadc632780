//! What the answers of a test do to what it is taken for: a repair verified, a complaint gone, a quarrel ended, the only
//! fault left proved.

mod support;

use support::{advice, book, fault, judged, names, text};

use ruleout::advice::{Aim, Note, Purpose, advise};
use ruleout::reasoning::Verdict;

const LAMP: &str = "complaint it is dark\n  may be plug, bulb\n  gone when lamp is lit\n\
    observation lamp\n  answers lit, dark\n  takes 1 min\n\
    reading supply\n  unit V\n  from 0 V to 32 V\n  takes 1 min\n\
    reading drop\n  unit V\n  from 0 V to 32 V\n  takes 1 min\n\
    fault plug\n  shows drop above 1 V\n  verify drop below 0.1 V\n\
    fault bulb\n  shows drop at most 1 V\n  verify supply above 20 V and drop below 0.1 V\n";

#[test]
fn what_verifies_a_repair_is_told_by_answer() {
    let book = book(LAMP);
    let lines = "complaint it is dark\nlamp is dark\ndrop = 5 V\nrepaired plug";
    let step = &advice(&book, lines, 1).steps[0];
    assert!(matches!(step.purpose, Purpose::Verify(id) if id == fault(&book, "plug")));
    let aims: Vec<Option<Aim>> = step.answers.iter().map(|answer| answer.aim).collect();
    assert_eq!(aims[0], Some(Aim::Reached), "{:?}", step.answers);
    assert!(aims[1..].iter().all(|aim| *aim == Some(Aim::Missed)), "{:?}", step.answers);
    let said = text(&book, lines, 1);
    assert!(said.contains("below 0.1 V (") && said.contains("): verifies the repair of plug"), "{said}");
    assert!(said.contains("): the repair of plug did not help"), "{said}");
    assert!(!said.contains("any voltage"), "{said}");
    assert_eq!(said.matches("did not help").count(), 1, "neighbours that come to the same are one: {said}");
    // and so it is once entered
    let verified = |drop: &str| {
        let (_, judgement) = judged(&book, &format!("{lines}\ndrop = {drop}"));
        judgement.evidence.repairs[0].verified.is_some()
    };
    assert!(verified("0.05 V") && !verified("0.5 V"));
}

#[test]
fn half_of_what_verifies_a_repair_is_not_enough_by_itself() {
    let book = book(LAMP);
    let lines = "complaint it is dark\nlamp is dark\ndrop = 0.05 V\nrepaired bulb";
    let advice = advice(&book, lines, 9);
    let supply = advice.steps.iter().find(|step| book.indication(step.indication).name == "supply").unwrap();
    let aims: Vec<Option<Aim>> = supply.answers.iter().map(|answer| answer.aim).collect();
    assert_eq!(aims, [Some(Aim::Missed), Some(Aim::Open)], "{:?}", supply.answers);
    assert!(text(&book, lines, 9).contains("not enough by itself"));
}

#[test]
fn whether_the_complaint_is_gone_is_told_by_answer() {
    let book = book(LAMP);
    let lines = "complaint it is dark\nlamp is dark\ndrop = 5 V\nrepaired plug\ndrop = 0.02 V";
    let said = text(&book, lines, 1);
    assert!(said.contains("lit (") && said.contains("): `it is dark` is gone"), "{said}");
    assert!(said.contains("): `it is dark` is still there"), "{said}");
}

#[test]
fn a_test_of_which_no_answer_tells_anything_lists_none() {
    // asked for first, and nothing in the book hangs on it
    let book = book(
        "complaint it is dark\n  may be a, b\n  first supply\n\
        reading supply\n  unit V\n  from 0 V to 32 V\n\
        observation x\n  answers yes, no\nfault a\n  shows x is yes\nfault b\n  shows x is no\n",
    );
    let said = text(&book, "complaint it is dark", 1);
    assert!(
        said.starts_with("Next: supply") && !said.contains("any voltage") && !said.contains("rules nothing"),
        "{said}"
    );
}

#[test]
fn an_entry_to_take_again_says_which_answers_end_the_quarrel() {
    let text_of = "observation x\n  answers yes, no\n  takes 1 min\nobservation y\n  answers yes, no\n  takes 9 min\n\
        fault a\n  shows x is yes\nfault b\n  shows y is yes\nrule both:\n  x is no\n  implies b\n";
    let book = book(text_of);
    // x says b, y says that it is not b
    let lines = "x is no\ny is no";
    let (job, judgement) = judged(&book, lines);
    assert!(!judgement.conflicts.is_empty());
    let step = advise(&book, &job, &judgement, 1).steps.remove(0);
    assert!(matches!(step.purpose, Purpose::Retake(_)));
    assert_eq!(names(&book, &advice(&book, lines, 1)), ["x"]);
    let aims: Vec<Option<Aim>> = step.answers.iter().map(|answer| answer.aim).collect();
    assert_eq!(aims, [Some(Aim::Reached), Some(Aim::Missed)], "{:?}", step.answers);
    let said = text(&book, lines, 1);
    assert!(said.contains("): ends the quarrel") && said.contains("): the quarrel stays"), "{said}");
    let (_, after) = judged(&book, &format!("{lines}\nx is yes"));
    assert!(after.conflicts.is_empty());
}

/// `a` is proved by `dear`, or by `z` and `w` together, which takes less; `cheap` tells nothing of it.
const LEFT: &str = "observation x\n  answers yes, no\n  takes 1 min\nobservation cheap\n  answers yes, no\n  takes 1 min\n\
    observation dear\n  answers yes, no\n  takes 20 min\nobservation z\n  answers yes, no\n  takes 3 min\n\
    observation w\n  answers yes, no\n  takes 3 min\nfault a\n  takes 5 min\n  verify x is no\nfault b\n  shows x is yes\n";

#[test]
fn the_only_one_left_is_proved_by_the_cheapest_test_that_can() {
    let text_of = format!("{LEFT}rule by one:\n  dear is yes\n  implies a\n");
    let book = book(&text_of);
    let lines = "x is no";
    assert_eq!(judged(&book, lines).1.of(fault(&book, "a")).unwrap().verdict, Verdict::OnlyOneLeft);
    let found = advice(&book, lines, 1);
    assert_eq!(names(&book, &found), ["dear"]);
    assert!(matches!(found.steps[0].purpose, Purpose::Prove(id) if id == fault(&book, "a")));
    let said = text(&book, lines, 1);
    assert!(said.starts_with("Next: dear, about 20 min (may prove a, the only fault left)"), "{said}");
    assert!(said.contains("yes (") && said.contains("): proves a"), "{said}");
    assert_eq!(
        judged(&book, &format!("{lines}\ndear is yes")).1.of(fault(&book, "a")).unwrap().verdict,
        Verdict::Proved
    );
}

#[test]
fn two_tests_that_prove_it_together_for_less_come_first() {
    let text_of =
        format!("{LEFT}rule by one:\n  dear is yes\n  implies a\nrule by two:\n  z is yes and w is yes\n  implies a\n");
    let book = book(&text_of);
    let found = advice(&book, "x is no", 1);
    assert_eq!(names(&book, &found), ["z"]);
    let (_, others) = found.steps[0].together.clone().unwrap();
    assert_eq!(others.len(), 1);
    assert!(text(&book, "x is no", 1).contains("then w: only together they decide rule `by two`"));
    // with one of the two taken, the other is next
    assert_eq!(names(&book, &advice(&book, "x is no\nz is yes", 1)), ["w"]);
    assert_eq!(names(&book, &advice(&book, "x is no\nz is no", 1)), ["dear"]);
}

#[test]
fn the_only_one_left_that_nothing_proves_is_repaired_and_verified() {
    let book = book(LEFT);
    let found = advice(&book, "x is no", 3);
    assert!(found.steps.is_empty(), "{:?}", names(&book, &found));
    assert_eq!(found.repairs.iter().map(|repair| repair.fault).collect::<Vec<_>>(), [fault(&book, "a")]);
    assert_eq!(found.note, Some(Note::NothingProves(fault(&book, "a"))));
    let said = text(&book, "x is no", 3);
    assert!(said.contains("Only a is left") && said.contains("then verify: x is no"), "{said}");
}

#[test]
fn a_limit_of_many_ohms_is_told_in_its_trade_unit() {
    let book = book(
        "reading r\n  unit ohm\n  from 0 ohm to 100 Mohm\nfault a\n  shows r above 40 Mohm\n\
        fault b\n  shows r at most 40 Mohm\n",
    );
    let said = text(&book, "", 1);
    assert!(said.contains("above 40 Mohm (") && said.contains("at most 40 Mohm ("), "{said}");
    assert!(!said.contains("40000000"), "{said}");
}
