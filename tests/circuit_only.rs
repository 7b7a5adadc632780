//! A copy of the roof-unit book without any hand-written electrical rule: its circuits alone end each recorded electrical job with the right fault.
//!
//! The copy is made here from the shipped texts: no `rule` is left at all, no `shows` that names a voltage, a current or a resistance. What is left
//! beside the circuits: which faults a complaint may be, and what a fault shows to the eye and the hand. The recorded jobs are those in
//! `rulebooks/jobs/`; the others are what the demo fleet's circuit shows by Ohm's law, worked out beside each.

mod support;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use ruleout::book::{Book, Library, load};
use ruleout::job::record;
use ruleout::reasoning::{Outcome, Verdict};
use ruleout::units::Dimension;

use support::judged;

fn rulebooks() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks")
}

struct Texts(BTreeMap<String, String>);

impl Library for Texts {
    fn read(&self, path: &Path) -> Result<String, String> {
        let name = path.file_name().unwrap().to_str().unwrap();
        self.0.get(name).cloned().ok_or_else(|| format!("no {name}"))
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn resolved(texts: &BTreeMap<String, String>) -> Book {
    let loaded = load(&Texts(texts.clone()), Path::new("roof-unit-fans.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(problems.is_empty(), "{problems:#?}");
    book
}

/// The names of all readings in volts, amperes or ohms, in small letters.
fn electrical(book: &Book) -> Vec<String> {
    let readings = book.indications.iter().filter(|indication| {
        let measures = |dimension| indication.reading().is_some_and(|reading| reading.dimension == dimension);
        measures(Dimension::VOLTAGE) || measures(Dimension::CURRENT) || measures(Dimension::RESISTANCE)
    });
    readings.map(|indication| indication.name.to_lowercase()).collect()
}

/// A text without rules, cases and electrical `shows`.
fn stripped(text: &str, electrical: &[String]) -> String {
    let mut kept = String::new();
    let mut dropping_declaration = false;
    let mut fields: Vec<String> = Vec::new();
    let mut flush = |fields: &mut Vec<String>| {
        for field in fields.drain(..) {
            let small = field.to_lowercase();
            let shows = small.trim_start().starts_with("shows ");
            if !shows || !electrical.iter().any(|name| small.contains(name)) {
                kept.push_str(&field);
            }
        }
    };
    for line in text.lines() {
        let margin = !line.starts_with(' ');
        if margin && !line.is_empty() {
            dropping_declaration = line.starts_with("rule ") || line.starts_with("case ");
        }
        if dropping_declaration && !line.starts_with('#') {
            continue;
        }
        // A line deeper than two blanks goes on with the field before it.
        if line.starts_with("   ")
            && let Some(field) = fields.last_mut()
        {
            field.push_str(&format!("{line}\n"));
            continue;
        }
        if margin {
            flush(&mut fields);
        }
        fields.push(format!("{line}\n"));
    }
    flush(&mut fields);
    kept
}

/// The roof-unit book told by its circuits alone.
fn by_circuit_alone() -> Book {
    let read = |name: &str| (name.to_owned(), std::fs::read_to_string(rulebooks().join(name)).unwrap());
    let texts: BTreeMap<String, String> =
        ["roof-unit-fans.rulebook", "battery.rulebook"].into_iter().map(read).collect();
    let whole = resolved(&texts);
    let electrical = electrical(&whole);
    assert!(electrical.len() > 30 && electrical.contains(&"fan ground drop".to_owned()), "{electrical:?}");
    let copy: BTreeMap<String, String> =
        texts.iter().map(|(name, text)| (name.clone(), stripped(text, &electrical))).collect();
    let book = resolved(&copy);
    assert!(book.rules.is_empty() && book.circuits.len() == 2);
    assert_eq!(book.faults.len(), whole.faults.len());
    let shows = |book: &Book| book.faults.iter().map(|fault| fault.shows.len()).sum::<usize>();
    assert!(shows(&book) + 25 < shows(&whole), "{} of {} shows are left", shows(&book), shows(&whole));
    book
}

/// The faults that a job leaves, by name.
fn left(book: &Book, lines: &str) -> (Outcome, Vec<String>) {
    let (_, judgement) = judged(book, lines);
    let open = judgement.verdicts.iter().filter(|verdict| verdict.verdict != Verdict::RuledOut);
    (judgement.outcome, open.map(|verdict| book.fault(verdict.fault).name.clone()).collect())
}

/// The lines of a recorded job up to its first repair.
fn recorded(name: &str) -> String {
    let text = std::fs::read_to_string(rulebooks().join("jobs").join(name)).unwrap();
    let record = record::read(&text).unwrap();
    let lines = record.lines.iter().map(|line| line.text.clone());
    lines.take_while(|line| !line.starts_with("repaired ")).collect::<Vec<_>>().join("\n")
}

#[test]
fn each_recorded_electrical_job_ends_with_the_right_fault() {
    let book = by_circuit_alone();
    for (job, fault) in [
        ("burnt-contact.job", "burnt relay contact"),
        ("melted-fan-plug.job", "melted fan plug"),
        ("flat-pair.job", "weak battery of the pair"),
    ] {
        let (outcome, open) = left(&book, &recorded(job));
        assert_eq!(open, [fault], "{job}");
        assert_eq!(outcome, Outcome::OnlyOneLeft, "{job}");
    }
    // Its story is that a reading was written down wrong: there is no fault to be found, and it must not end with one. What is left are
    // joints that are good at one reading and bad at the next.
    let (outcome, open) = left(&book, &recorded("wrong-entry.job"));
    assert_eq!(open, ["corroded fuse holder", "open feed wire", "chafed feed wire"]);
    assert_eq!(outcome, Outcome::Open);
}

#[test]
fn a_drop_that_only_one_fault_gives_ends_the_job() {
    let book = by_circuit_alone();
    let jobs: &[(&str, &str, &[&str])] = &[
        // The whole voltage lies across the ground wire: only an open there lifts the motor's minus.
        ("one condenser fan does not run", "fan ground drop = 23.9 V", &["bad fan ground"]),
        // The stud is shared: 3 V between stud and frame.
        ("neither condenser fan runs", "roof ground drop = 3.1 V", &["corroded roof ground"]),
        // No feed for the coil, and the roof box has its own.
        ("neither condenser fan runs", "coil feed = 0.04 V\nsupply at roof box = 24.7 V", &["lost control feed"]),
        // 25 V across the coil, and the contact does not close: no voltage tells a burnt contact from an open coil.
        (
            "one condenser fan does not run",
            "coil supply = 24.6 V\nrelay contact drop = 24.7 V",
            &["burnt relay contact", "open relay coil"],
        ),
    ];
    for (complaint, readings, expected) in jobs {
        let lines = format!("complaint {complaint}\nwith cooling demanded\nbattery voltage = 24.8 V\n{readings}");
        assert_eq!(left(&book, &lines).1, *expected, "{readings}");
    }
}
