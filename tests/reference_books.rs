//! The shipped rulebooks against published tables and the computed ones of the trade.
//!
//! `high_side_vs_ambient.csv`: saturation computed with CoolProp 8.0.0, the splits common practice, no source. `trade_chart_r134a.csv`: the
//! ambient chart that the trade reprints (rows 65, 70, 75 degF seen, the rest from memory; no standard). `battery_load_test.csv`: printed alike
//! on several public service pages. `dtc_generic.csv`: SAE J2012 / ISO 15031-6. `terminals_din72552.csv`: DIN 72552 in public reproductions.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use ruleout::book::{Book, load};
use ruleout::reasoning::{Judgement, Verdict};

mod support;
use support::judged;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks")
}

fn shipped(name: &str, profile: Option<&str>) -> Book {
    let path = folder().join(name);
    let disk = ruleout::cli::Disk::of(&path, &ruleout::cli::ReadingArgs::default());
    load(&disk, &path).unwrap().resolve(profile).0
}

fn verdict(book: &Book, judgement: &Judgement, fault: &str) -> Verdict {
    judgement.of(book.find_fault(fault).unwrap()).unwrap().verdict
}

fn rows(text: &str) -> Vec<Vec<f64>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect()
}

/// A condenser that is overtaxed by its rule rules out that little heat reaches it.
fn overtaxed(book: &Book, run: &str, air: f64, gauge: f64) -> bool {
    let (_, judgement) = judged(
        book,
        &format!(
            "with gauges connected\nwith test run is {run}\nair at the condenser = {air} degC\nhigh side pressure = {gauge} kPa gauge"
        ),
    );
    verdict(book, &judgement, "open heater valve") == Verdict::RuledOut
}

#[test]
fn the_refrigerant_book_follows_the_splits_of_every_ambient() {
    let book = shipped("refrigerant-circuit.rulebook", None);
    let table = rows(include_str!("reference/high_side_vs_ambient.csv"));
    assert_eq!(table.len(), 6);
    for row in &table {
        let air = row[0];
        for healthy in &row[2..5] {
            assert!(!overtaxed(&book, "fast", air, *healthy), "{air} degC, {healthy} kPa");
        }
        assert!(overtaxed(&book, "fast", air, row[5]), "{air} degC, {} kPa", row[5]);
        let rest = |kpa: f64| {
            let said = format!(
                "with gauges connected\nwith system rested\nair round the rested van = {air} degC\nresting pressure = {kpa} kPa gauge"
            );
            judged(&book, &said).1
        };
        // Static pressure says that liquid is there, not how much; 3 % of it is what gauge and thermometer make.
        for share in [0.97, 1.0, 1.03] {
            let judgement = rest(row[1] * share);
            for fault in ["air in the system", "low refrigerant charge", "overcharge"] {
                assert_eq!(verdict(&book, &judgement, fault), Verdict::Open, "{air} degC: {fault}");
            }
        }
        assert_eq!(verdict(&book, &rest(row[1] * 1.3), "air in the system"), Verdict::Proved, "{air} degC");
        assert_eq!(verdict(&book, &rest(row[1] * 0.6), "low refrigerant charge"), Verdict::Proved, "{air} degC");
    }
}

#[test]
fn no_line_of_the_trades_chart_is_a_fault_at_a_hot_idle() {
    let book = shipped("refrigerant-circuit.rulebook", None);
    let table = rows(include_str!("reference/trade_chart_r134a.csv"));
    assert_eq!(table.len(), 10);
    for row in &table {
        for high in &row[8..10] {
            assert!(!overtaxed(&book, "idling", row[1], *high), "{} degC, {high} kPa", row[1]);
        }
    }
    // Without a fan it goes on to the cut-out: 2800 kPa at 40 degC (check-values.md section 7, computed).
    assert!(overtaxed(&book, "idling", 40.0, 2800.0));
}

#[test]
fn the_battery_book_asks_what_the_load_test_table_prints() {
    let table = rows(include_str!("reference/battery_load_test.csv"));
    assert_eq!(table.len(), 8);
    let limit = |profile: Option<&str>| {
        let book = shipped("battery.rulebook", profile);
        let found = book.limits.iter().find(|limit| limit.name == "least load test voltage").unwrap();
        found.value.to_f64()
    };
    let (van, bus) = (limit(Some("12 V")), limit(None));
    assert_eq!((table[0][0], table[0][1]), (21.0, van));
    assert!((bus - 2.0 * van).abs() < 1e-12, "a pair is twice one");
    // Colder batteries may fall lower, so the book sends none of them to the tester, and says by how much.
    assert!(table.windows(2).all(|pair| pair[1][0] < pair[0][0] && pair[1][1] < pair[0][1]));
    let text = std::fs::read_to_string(folder().join("battery.rulebook")).unwrap();
    for cold in [&table[4], &table[7]] {
        assert!(text.contains(&format!("{} V at {} degC", cold[1], cold[0])), "{cold:?}");
    }
    assert!(text.contains(&format!("{:.1} V at -18 degC", 2.0 * table[7][1])));
}

/// The texts of all shipped books.
fn texts() -> Vec<String> {
    let files = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let books = files.filter(|path| path.extension().is_some_and(|extension| extension == "rulebook"));
    books.map(|path| std::fs::read_to_string(path).unwrap()).collect()
}

#[test]
fn every_code_of_the_books_is_one_of_the_standards() {
    let table: Vec<Vec<&str>> = include_str!("reference/dtc_generic.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect();
    assert_eq!(table.len(), 32);
    // Bits 15 and 14 the letter, the rest four hexadecimal digits, the first of them 0 to 3.
    for row in &table {
        let letter = ["P", "C", "B", "U"].iter().position(|letter| row[0].starts_with(letter)).unwrap();
        let digits = u32::from_str_radix(&row[0][1..], 16).unwrap();
        let word = u32::from_str_radix(row.last().unwrap().trim_start_matches("0x"), 16).unwrap();
        assert_eq!(((letter as u32) << 14) + digits, word, "{row:?}");
    }
    let is_code = |word: &str| {
        word.len() == 5 && word.starts_with(['P', 'C', 'B', 'U']) && word[1..].chars().all(|c| c.is_ascii_hexdigit())
    };
    let texts = texts();
    let words = texts.iter().flat_map(|text| text.split(|c: char| !c.is_ascii_alphanumeric()));
    let used: BTreeSet<&str> = words.filter(|word| is_code(word)).collect();
    assert!(used.len() >= 6, "{used:?}");
    for code in used {
        assert!(table.iter().any(|row| row[0] == code), "{code} is not in the table");
    }
}

#[test]
fn every_terminal_of_the_books_is_one_of_the_standards() {
    let text = include_str!("reference/terminals_din72552.csv");
    let known: BTreeSet<&str> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .flat_map(|line| {
            let cell = line
                .strip_prefix('"')
                .map_or_else(|| line.split(',').next().unwrap(), |rest| rest.split('"').next().unwrap());
            cell.split([',', '/'])
        })
        .collect();
    assert!(known.len() >= 19 && known.contains("87a"));
    let mut used = BTreeSet::new();
    for text in texts() {
        for after in text.to_lowercase().split("terminal ").skip(1) {
            let number: String = after.chars().take_while(char::is_ascii_alphanumeric).collect();
            if number.starts_with(|c: char| c.is_ascii_digit()) {
                used.insert(number);
            }
        }
    }
    assert!(["30", "85", "86", "87"].iter().all(|number| used.contains(*number)), "{used:?}");
    assert!(used.iter().all(|number| known.contains(number.as_str())), "{used:?}");
}
