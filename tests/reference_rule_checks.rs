//! Circles of definitions and slips in a rule against `rule_checks.json`: the circle found by hand in a graph of four definitions, and which
//! of eight slips in `12.4 <= v <= 12.8` three suites of values find (mutation analysis after DeMillo, Lipton & Sayward 1978; figures by hand).

use std::collections::BTreeSet;
use std::path::Path;

use ruleout::book::load;
use ruleout::job::LogSource;
use ruleout::lint::cases::BookCases;
use ruleout::lint::cases::mutants::Fate;
use serde_json::Value as Json;

#[path = "support/text.rs"]
mod text;
use text::Text;

fn file() -> Json {
    serde_json::from_str(include_str!("reference/rule_checks.json")).unwrap()
}

fn words(list: &Json) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|word| word.as_str().unwrap()).collect()
}

#[test]
fn the_circle_is_found_and_named_whole() {
    let file = file();
    let mut text = String::from("rulebook \"Circle\"\n  language 1\n");
    for (name, on) in file["circular_graph"].as_object().unwrap() {
        text.push_str(&format!("finding {name} means {}\n", words(on).join(" and ")));
    }
    let (_, problems) = load(&Text(text), Path::new("circle.rulebook")).unwrap().resolve(None);
    let circles: Vec<&str> = problems
        .iter()
        .filter(|problem| problem.code == "book/circle")
        .map(|problem| problem.message.as_str())
        .collect();
    assert_eq!(circles.len(), 1, "{problems:#?}");
    let named: BTreeSet<&str> = circles[0].split('`').skip(1).step_by(2).collect();
    assert_eq!(named, words(&file["cycle"]).into_iter().collect(), "{}", circles[0]);
}

/// The slips that the tool and the file both make, in the words of the file: parts in order, each left out, moved up, moved down.
fn killed(values: &[f64]) -> BTreeSet<&'static str> {
    let mut text = String::from(
        "rulebook \"Slips\"\n  language 1\nreading v\n  unit V\n  from 0 V to 32 V\n  meter 0 % + 1 digits of 0.1 V\nfault sought\nfault other\n\
         rule between:\n  v at least 12.4 V\n  and v at most 12.8 V\n  implies sought\n",
    );
    for (place, value) in values.iter().enumerate() {
        let expected = if (12.4..=12.8).contains(value) { "proved" } else { "open" };
        text.push_str(&format!("case number {place}:\n  v = {value} V ± 0 V\n  expect sought {expected}\n"));
    }
    let loaded = load(&Text(text), Path::new("slips.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(problems.is_empty(), "{problems:#?}");
    let cases = BookCases::of(&loaded, book).with_mutants(&loaded, &LogSource::default());
    assert_eq!(cases.counts().1, 0, "a case fails");
    let mutants = cases.mutation.unwrap().mutants;
    let part = |says: &str, nth: usize| {
        let mutant = mutants.iter().filter(|mutant| mutant.says == says).nth(nth).unwrap();
        matches!(mutant.fate, Fate::Killed)
    };
    let found = [
        ("drop lo", part("part left out", 0)),
        ("drop hi", part("part left out", 1)),
        ("lo+0.1", part("limit moved up by the meter's accuracy", 0)),
        ("hi-0.1", part("limit moved down by the meter's accuracy", 1)),
    ];
    found.into_iter().filter(|(_, killed)| *killed).map(|(name, _)| name).collect()
}

#[test]
fn every_suite_finds_the_slips_that_it_should() {
    let file = file();
    let shared = BTreeSet::from(["drop lo", "drop hi", "lo+0.1", "hi-0.1"]);
    let suites = file["mutation"]["suites"].as_object().unwrap();
    assert_eq!(suites.len(), 3);
    for (name, values) in suites {
        let values: Vec<f64> = values.as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect();
        let expected = words(&file["mutation"]["scores"][name]["killed"]);
        let expected: BTreeSet<&str> = expected.into_iter().filter(|slip| shared.contains(slip)).collect();
        assert_eq!(killed(&values), expected, "{name}");
    }
}
