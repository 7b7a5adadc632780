//! Entries that can't all be right: every smallest set of them held against trying everything and published families,
//! which one to take again first, what taking it back restores; and how sure a verdict is.

mod support;

use std::collections::BTreeSet;
use std::fmt::Write;

use proptest::prelude::*;
use serde_json::Value as Json;
use support::{book, enter, fault, job, judged};

use ruleout::advice::how_sure::{Varied, how_sure};
use ruleout::book::Book;
use ruleout::job::{EntryId, Job};
use ruleout::output::judgement_json::json_judgement;
use ruleout::output::words::Wording;
use ruleout::reasoning::quarrels::{quarrels, without};
use ruleout::reasoning::suspects::retake;
use ruleout::reasoning::{Judgement, Verdict, judge};

/// A book in which each of these sets of entries proves a fault and rules it out, and a job with all entries `p0`, `p1`, ….
fn quarrelling(family: &[Vec<usize>], count: usize) -> (Book, Job, Judgement) {
    let mut text = String::new();
    for item in 0..count {
        let _ = writeln!(text, "observation p{item}\n  answers yes, no\n  takes {} min", 1 + item % 3);
    }
    text += "fault a\nfault b\n";
    for (nth, set) in family.iter().enumerate() {
        let all: Vec<String> = set.iter().map(|item| format!("p{item} is yes")).collect();
        let _ = writeln!(text, "rule r{nth}:\n  {}\n  implies a\n  rules out a", all.join(" and "));
    }
    let book = book(&text);
    let lines: String = (0..count).map(|item| format!("p{item} is yes\n")).collect();
    let (job, judgement) = judged(&book, &lines);
    (book, job, judgement)
}

/// The sets found, by entry number.
fn found(book: &Book, job: &Job, judgement: &Judgement) -> BTreeSet<Vec<usize>> {
    let all = quarrels(book, job, judgement);
    assert!(all.complete);
    all.sets.iter().map(|set| set.entries.iter().map(|id| id.place()).collect()).collect()
}

/// The sets of a family that hold no other of it.
fn smallest(family: &[Vec<usize>]) -> BTreeSet<Vec<usize>> {
    let holds = |set: &[usize], other: &[usize]| other.len() < set.len() && other.iter().all(|item| set.contains(item));
    family.iter().filter(|set| !family.iter().any(|other| holds(set, other))).cloned().collect()
}

#[test]
fn the_published_conflicts_of_the_adder_multiplier_circuit_are_found() {
    // polybox.json: de Kleer & Williams 1987 (AIJ 32); here each part is an entry that says that the part is good
    const PARTS: [&str; 5] = ["M1", "M2", "M3", "A1", "A2"];
    let json: Json = serde_json::from_str(include_str!("reference/polybox.json")).unwrap();
    let family: Vec<Vec<usize>> = json["minimal_conflicts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|set| {
            let place = |name: &Json| PARTS.iter().position(|part| name.as_str() == Some(part)).unwrap();
            let mut set: Vec<usize> = set.as_array().unwrap().iter().map(place).collect();
            set.sort_unstable();
            set
        })
        .collect();
    let (book, job, judgement) = quarrelling(&family, 5);
    assert_eq!(found(&book, &job, &judgement), smallest(&family));
    // the single diagnoses are M1 and A1; both take one minute (1 + 0 and 1 + 3 % 3), so the later one
    let first = judgement.conflicts.iter().find_map(|conflict| retake(&book, &job, conflict)).unwrap();
    assert_eq!(PARTS[first.place()], "A1");
}

#[test]
fn the_smallest_of_the_published_family_are_found() {
    // hitting_sets.json: family recalled from Reiter 1987 (AIJ 32)
    let json: Json = serde_json::from_str(include_str!("reference/hitting_sets.json")).unwrap();
    let number = |item: &Json| usize::try_from(item.as_u64().unwrap()).unwrap() - 1;
    let sets = json["family"].as_array().unwrap().iter();
    let family: Vec<Vec<usize>> = sets.map(|set| set.as_array().unwrap().iter().map(number).collect()).collect();
    let (book, job, judgement) = quarrelling(&family, 6);
    assert_eq!(found(&book, &job, &judgement), smallest(&family));
    assert!(found(&book, &job, &judgement).len() < family.len());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn the_smallest_of_any_family_are_found(masks in prop::collection::vec(1_usize..128, 1..7)) {
        let family: Vec<Vec<usize>> =
            masks.iter().map(|mask| (0..7).filter(|item| mask >> item & 1 == 1).collect()).collect();
        let (book, job, judgement) = quarrelling(&family, 7);
        prop_assert_eq!(found(&book, &job, &judgement), smallest(&family));
    }
}

#[test]
fn more_sets_than_are_kept_are_counted() {
    // any of eleven entries quarrels with any other eleven: 121 pairs
    let family: Vec<Vec<usize>> = (0..11).flat_map(|a| (11..22).map(move |b| vec![a, b])).collect();
    let (book, job, judgement) = quarrelling(&family, 22);
    let all = quarrels(&book, &job, &judgement);
    assert_eq!(all.sets.len(), 100);
    assert!(all.found > 100 && (all.found == 121 || !all.complete), "{} {}", all.found, all.complete);
    let said = Wording { book: &book, job: &job }.quarrels(&judgement).render(80);
    assert!(said.contains("the first 100"), "{said}");
}

/// `a` is proved by the fuse, which takes longest, and ruled out by two cheap readings; the weight of the rest speaks for `b`.
const CHEAP_AND_DEAR: &str = "observation fuse\n  answers whole, blown\n  takes 20 min\n\
    observation lamp\n  answers lit, dark\n  takes 1 min\n\
    observation horn\n  answers loud, mute\n  takes 1 min\n\
    fault a\nfault b\n  shows lamp is lit\n  shows horn is loud\n\
    rule blown:\n  fuse is blown\n  implies a\n\
    rule lit:\n  lamp is lit\n  rules out a\n\
    rule loud:\n  horn is loud\n  rules out a\n";

#[test]
fn the_entry_that_the_rest_speaks_against_is_taken_again_first_though_it_takes_longest() {
    let book = book(CHEAP_AND_DEAR);
    let (job, judgement) = judged(&book, "fuse is blown\nlamp is lit\nhorn is loud");
    let first = retake(&book, &job, &judgement.conflicts[0]).unwrap();
    assert_eq!(
        first,
        EntryId::at(0),
        "without the fuse nothing quarrels; without one of the others the second still does"
    );
    let restored = without(&book, &job, &judgement, first);
    assert!(!restored.quarrels);
    assert_eq!(restored.changed, [(fault(&book, "a"), Verdict::RuledOut)]);
}

#[test]
fn of_two_that_could_be_wrong_the_one_close_to_its_limit_comes_first() {
    let text = "reading v\n  unit V\n  from 0 V to 20 V\n  takes 9 min\nobservation x\n  answers yes, no\n  takes 1 min\n\
        fault a\nfault b\nrule r:\n  v above 12 V\n  implies a\nrule s:\n  x is yes\n  rules out a\n";
    let book = book(text);
    let first = |v: &str| {
        let (job, judgement) = judged(&book, &format!("x is yes\nv = {v}"));
        retake(&book, &job, &judgement.conflicts[0]).unwrap().place()
    };
    assert_eq!(first("12.15 V ± 0.1 V"), 1, "close to 12 V");
    assert_eq!(first("19 V ± 0.1 V"), 0, "far from it: both alike, the cheaper one");
}

#[test]
fn quarrels_stand_in_the_answers_for_people_and_machines() {
    let book = book(CHEAP_AND_DEAR);
    let (job, judgement) = judged(&book, "fuse is blown\nlamp is lit\nhorn is loud");
    let json = serde_json::to_value(json_judgement(&book, &job, &judgement, Vec::new())).unwrap();
    assert_eq!(json["quarrels"]["sets"][0]["entries"], serde_json::json!([1, 2]));
    assert_eq!((&json["quarrels"]["found"], &json["quarrels"]["complete"]), (&2.into(), &true.into()));
    assert_eq!(json["conflicts"][0]["retake"], 1);
    assert_eq!(json["quarrels"]["restores"][0]["without"], 1);
    assert_eq!(json["quarrels"]["restores"][0]["quarrels"], false);
    let said = Wording { book: &book, job: &job }.judgement(&judgement).render(80);
    assert!(said.contains("take again first: fuse (entry 1)"), "{said}");
    assert!(said.contains("without entry 1: nothing would quarrel"), "{said}");
}

#[test]
fn every_smallest_set_of_quarrelling_entries_is_found() {
    // a is proved by x or by y, ruled out by z or by w: four pairs
    let text = "observation x\n  answers yes, no\nobservation y\n  answers yes, no\nobservation z\n  answers yes, no\nobservation w\n  answers yes, no\nobservation v\n  answers yes, no\n\
        fault a\nfault b\nrule px:\n  x is yes\n  implies a\nrule py:\n  y is yes\n  implies a\nrule rz:\n  z is yes\n  rules out a\nrule rw:\n  w is yes\n  rules out a\nrule rv:\n  v is yes\n  suggests b 2 to 1\n";
    let book = book(text);
    let (job, judgement) = judged(&book, "x is yes\ny is yes\nz is yes\nw is yes\nv is yes");
    let all = quarrels(&book, &job, &judgement);
    assert!(all.complete);
    let sets: Vec<Vec<usize>> = all.sets.iter().map(|set| set.entries.iter().map(|id| id.place()).collect()).collect();
    assert_eq!(sets, [[0, 2], [0, 3], [1, 2], [1, 3]]);
    let (job, judgement) = judged(&book, "x is yes\nz is yes\nw is yes");
    let restored = without(&book, &job, &judgement, judgement_entry(&job, "x"));
    assert!(!restored.quarrels);
    assert_eq!(restored.changed, [(fault(&book, "a"), Verdict::RuledOut)]);
}

fn judgement_entry(job: &Job, said: &str) -> ruleout::job::EntryId {
    let at = job.lines.iter().position(|line| line.text.starts_with(said)).unwrap();
    ruleout::job::EntryId::at(job.entries.iter().position(|entry| entry.line == at).unwrap())
}

#[test]
fn entries_that_agree_do_not_quarrel() {
    let book = book("observation noise\n  answers none, some\nfault a\n  shows noise is none\nfault b\n");
    let (job, judgement) = judged(&book, "noise is some");
    let all = quarrels(&book, &job, &judgement);
    assert!(all.sets.is_empty() && all.complete);
}

#[test]
fn an_entry_near_a_limit_and_a_guessed_share_are_told() {
    let text = "reading v\n  unit V\n  from 0 V to 20 V\n  meter 1 %\nfault a\n  share 14\n  shows v below 12 V\nfault b\n  share 10\nfault c\n  share 1\n  shows v below 4 V in 1 of 2\n";
    let book = book(text);
    let (job, judgement) = judged(&book, "v = 12.1 V");
    // 12.1 ± 0.121 V holds 12 V: undecided; higher by as much it rules a out
    let sure = how_sure(&book, &job, &judgement);
    let higher = sure.flips.iter().find(|flip| matches!(flip.varied, Varied::Higher(_))).unwrap();
    assert_eq!(higher.verdicts[0], (fault(&book, "a"), Verdict::RuledOut));
    // of three ranges a has half a share left, b two thirds: 14/2 against 10 x 2/3; half of it makes b the likeliest
    let half = sure.flips.iter().find(|flip| flip.varied == Varied::HalfShare(fault(&book, "a"))).unwrap();
    assert_eq!(half.likeliest, Some(fault(&book, "b")));
    let mut clear = job_of_clear(&book);
    let judgement = judge(&book, &clear);
    assert!(how_sure(&book, &clear, &judgement).flips.iter().all(|flip| flip.verdicts.is_empty()));
    enter(&book, &mut clear, "take back");
}

fn job_of_clear(book: &Book) -> Job {
    job(book, "v = 16 V")
}
