//! Three values against `three_valued.json`: strong Kleene tables (Kleene 1952), comparisons of intervals, conformance after JCGM 106:2012
//! (two of its examples as remembered; the probabilities computed with scipy). Comparisons are asked through a rulebook, as a technician would.

mod support;

use ruleout::book::ConditionRef;
use ruleout::reasoning::describe::{Step, survey};
use ruleout::reasoning::{Facts, Truth};
use ruleout::units::guard_band::{GuardBand, conformance};
use serde_json::Value as Json;

use support::{book, job};

fn file() -> Json {
    serde_json::from_str(include_str!("reference/three_valued.json")).unwrap()
}

fn truth(letter: &str) -> Truth {
    match letter {
        "T" => Truth::True,
        "F" => Truth::False,
        "U" => Truth::Unknown,
        other => panic!("{other}"),
    }
}

#[test]
fn every_row_of_the_tables() {
    let file = file();
    let mut rows = 0;
    for (given, expected) in file["not"].as_object().unwrap() {
        assert_eq!(!truth(given), truth(expected.as_str().unwrap()), "not {given}");
        rows += 1;
    }
    let joins: [fn(Truth, Truth) -> Truth; 3] = [Truth::and, Truth::or, |a, b| (!a).or(b)];
    for (name, join) in ["and", "or", "implies"].into_iter().zip(joins) {
        for (given, expected) in file[name].as_object().unwrap() {
            let (a, b) = given.split_at(1);
            assert_eq!(join(truth(a), truth(b)), truth(expected.as_str().unwrap()), "{name} {given}");
            rows += 1;
        }
    }
    assert_eq!(rows, 3 + 3 * 9);
}

/// A comparison of the file as the entries and the condition of a rulebook.
fn in_words(comparison: &str) -> (String, String) {
    let entry = |name: &str, text: &str| {
        let (centre, half) = text.split_once('±').unwrap();
        format!("{name} = {centre} V ± {half} V")
    };
    let cells: Vec<&str> = comparison.splitn(3, ' ').collect();
    let [left, sign, right] = cells[..] else { panic!("{comparison}") };
    let first = entry("first", left);
    match sign {
        "in" => {
            let (low, high) = right.trim_matches(['[', ']']).split_once(',').unwrap();
            (first, format!("first between {low} V and {high} V"))
        }
        "=" => (first, format!("first between {right} V and {right} V")),
        "<" if right.contains('±') => (format!("{first}\n{}", entry("second", right)), "first below second".into()),
        "<" => (first, format!("first below {right} V")),
        "<=" => (first, format!("first at most {right} V")),
        other => panic!("{other}"),
    }
}

#[test]
fn every_comparison_of_intervals() {
    let file = file();
    let cases = file["interval_cases"].as_array().unwrap();
    assert_eq!(cases.len(), 12);
    for case in cases {
        let said = case[0].as_str().unwrap();
        let (entries, condition) = in_words(said);
        let book = book(&format!(
            "reading first\n  unit V\nreading second\n  unit V\nfault sought\nrule it:\n  {condition}\n  rules out sought\n"
        ));
        let job = job(&book, &entries);
        let facts = Facts::of(&book, &job, 0, |_| true);
        let rule = book.conditions().find(|(which, _)| matches!(which, ConditionRef::Rule(_))).unwrap().1;
        let found = survey(&facts, rule).iter().map(Step::truth).fold(Truth::True, Truth::and);
        assert_eq!(found, truth(case[1].as_str().unwrap()), "{said}");
    }
}

#[test]
fn every_probability_and_guard_band() {
    let file = file();
    let cases = file["conformance"].as_array().unwrap();
    assert_eq!(cases.len(), 9);
    for case in cases {
        let number = |name: &str| case[name].as_f64();
        let found = conformance(number("y").unwrap(), number("u").unwrap(), number("TL"), number("TU"));
        assert!((found - number("p_c").unwrap()).abs() < 1e-9, "{case}: {found}");
    }
    let multiples = file["guard_multiplier_r"].as_object().unwrap();
    assert_eq!(multiples.len(), 5);
    for (name, expected) in multiples {
        let percent: f64 = name.trim_start_matches("one-sided ").trim_end_matches('%').parse().unwrap();
        let found = GuardBand::new(percent / 100.0).unwrap().multiple();
        assert!((found - expected.as_f64().unwrap()).abs() < 1e-9, "{name}: {found}");
    }
    for (multiple, name) in [(2.0, "p_c_at_w=2u"), (1.645, "p_c_at_w=1.645u")] {
        let found = conformance(0.0, 1.0, None, Some(multiple));
        assert!((found - file[name].as_f64().unwrap()).abs() < 1e-9, "{name}: {found}");
    }
}
