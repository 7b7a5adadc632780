//! The measuring order through the command: exact where it ends, a proven bound elsewhere, every fault at some end.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

fn order(book: &str, input: &str, more: &[&str]) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["order", book])
        .args(more)
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let done = child.wait_with_output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap()
}

/// Six hypotheses, five tests of one minute: the published example of sequential testing.
/// Source: Pattipati & Alexandridis 1990 (IEEE Trans. SMC 20(4)); matrix recalled, optimum 2.18 recomputed.
fn published() -> String {
    let rows = [
        ("s0", "70", "00000"),
        ("s1", "1", "01001"),
        ("s2", "2", "00110"),
        ("s3", "10", "10011"),
        ("s4", "5", "11000"),
        ("s5", "12", "11110"),
    ];
    let mut text = String::from("rulebook \"Published example\"\n  language 1\n");
    for test in 1..=5 {
        text.push_str(&format!("observation t{test}\n  answers pass, fail\n  takes 1 min\n"));
    }
    for (name, share, answers) in rows {
        text.push_str(&format!("fault {name}\n  share {share}\n"));
        for (place, answer) in answers.chars().enumerate() {
            text.push_str(&format!("  shows t{} is {}\n", place + 1, if answer == '1' { "fail" } else { "pass" }));
        }
    }
    text
}

#[test]
fn the_published_example_costs_what_is_published() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("published.rulebook");
    std::fs::write(&book, published()).unwrap();
    let json: serde_json::Value =
        serde_json::from_str(&order(book.to_str().unwrap(), "", &["--format", "json"])).unwrap();
    assert_eq!(json["exact"], true);
    let minutes = json["expected_seconds"].as_f64().unwrap() / 60.0;
    assert!((minutes - 2.18).abs() < 1e-9, "{minutes}");
    assert_eq!(json["moments"][0]["test"], "t2", "of two first tests that cost the same, the first in the book");
    let text = order(book.to_str().unwrap(), "", &[]);
    assert!(text.contains("the best possible, proved"), "{text}");
    let svg = order(book.to_str().unwrap(), "", &["--format", "svg"]);
    assert!(svg.starts_with("<svg ") && svg.contains("<title>") && svg.trim_end().ends_with("</svg>"));
}

#[test]
fn every_fault_that_may_be_there_stands_at_some_end() {
    let text = order("tests/corpus/sessions/lamp.rulebook", "with lamp on\nlamp lights is no\n", &[]);
    for fault in ["blown fuse", "broken bulb", "corroded plug"] {
        assert!(text.lines().any(|line| line.trim().starts_with("left:") && line.contains(fault)), "{fault}\n{text}");
    }
}

#[test]
fn the_shipped_book_is_ordered_with_a_bound() {
    let entries = "complaint one condenser fan does not run\nwith cooling demanded\nsecond fan runs is yes\nbattery voltage = 24.8 V\nfan runs is no\nsupply at fan connector = 24.6 V\n";
    let json: serde_json::Value =
        serde_json::from_str(&order("rulebooks/roof-unit-fans.rulebook", entries, &["--format", "json"])).unwrap();
    let (cost, bound) = (json["expected_seconds"].as_f64().unwrap(), json["lower_bound_seconds"].as_f64().unwrap());
    assert!(bound > 0.0 && bound <= cost);
    let moments = json["moments"].as_array().unwrap();
    assert!(moments.iter().any(|moment| moment["left"] == serde_json::json!(["melted fan plug"])));
}
