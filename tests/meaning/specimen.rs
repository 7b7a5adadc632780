//! The specimen of every anomaly class. Source: `tests/reference/rule_checks.json`, anomaly classes of Nguyen, Perkins,
//! Laffey & Pecora 1987 (AI Magazine 8(2)) and Preece, Shinghal & Batarekh 1992; the rule base is ours, its anomalies by
//! brute force over 8 fact assignments.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::shelf::{Asked, ask, assert_witnessed};

fn specimen() -> Value {
    serde_json::from_str(include_str!("../reference/rule_checks.json")).unwrap()
}

fn book(specimen: &Value) -> String {
    let mut text = String::from("rulebook \"specimen\"\n  language 1\n");
    for atom in specimen["atoms"].as_array().unwrap() {
        text.push_str(&format!("observation {}\n  answers yes, no\n", atom.as_str().unwrap()));
    }
    for fault in specimen["faults"].as_array().unwrap() {
        text.push_str(&format!("fault {}\n", fault.as_str().unwrap()));
    }
    for rule in specimen["rules"].as_array().unwrap() {
        let word = |n: usize| rule[n].as_str().unwrap().replace('_', " ");
        text.push_str(&format!("rule {}:\n  {} {} {}\n", word(0), word(1), word(2), word(3)));
    }
    text
}

/// The names in backticks of all messages of a check.
fn named(asked: &Asked, id: &str, places: &[usize]) -> BTreeSet<Vec<String>> {
    let pick = |text: &str| {
        let names: Vec<&str> = text.split('`').skip(1).step_by(2).collect();
        places.iter().map(|n| names[*n].to_string()).collect()
    };
    asked.said(id).iter().map(|text| pick(text)).collect()
}

/// The names of an anomaly of a class.
fn published(specimen: &Value, class: &str, count: usize) -> BTreeSet<Vec<String>> {
    let all =
        specimen["anomalies"].as_array().unwrap().iter().filter(|one| one[0].as_str().unwrap().starts_with(class));
    all.map(|one| (1..=count).map(|n| one[n].as_str().unwrap().to_string()).collect()).collect()
}

#[test]
fn the_specimen_is_found_whole() {
    let specimen = specimen();
    let asked = ask(&book(&specimen));
    assert_witnessed(&asked);
    let same = |id: &str, places: &[usize], class: &str| {
        assert_eq!(named(&asked, id, places), published(&specimen, class, places.len()), "{id}\n{}", asked.told());
    };
    same("rule-never-applies", &[0], "unsatisfiable");
    same("rule-always-applies", &[0], "tautological");
    same("fault-never-proved", &[0], "fault can never be proved");
    same("fault-never-ruled-out", &[0], "fault can never be ruled out");
    same("proved-and-ruled-out", &[0, 2], "conflict");
    // r1 and r3 are subsumed by r2 and equivalent: both are said to add nothing.
    let subsumed: BTreeSet<Vec<String>> =
        published(&specimen, "subsumed: first by second", 2).into_iter().map(|pair| pair[..1].to_vec()).collect();
    assert_eq!(named(&asked, "redundant-rule", &[0]), subsumed);
}
