//! Books made to bring the tool down: a few lines that grow without end, names and numbers of any size, circles. Each
//! gets one clear error, or an answer.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

const HEAD: &str =
    "rulebook \"h\"\n  language 1\nobservation o\n  answers yes, no\nreading v\n  unit V\nfault f\nfault g\n";

/// What a command says of a book, and its status.
fn run(folder: &Path, args: &[&str], input: &str) -> (String, i32) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(args)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let done = child.wait_with_output().unwrap();
    let all = String::from_utf8(done.stdout).unwrap() + &String::from_utf8(done.stderr).unwrap();
    let flat = all.split_whitespace().filter(|word| *word != "│").collect::<Vec<_>>().join(" ");
    assert!(!flat.contains("panicked"), "{all}");
    (flat, done.status.code().unwrap_or_else(|| panic!("killed by a signal: {all}")))
}

/// Judges a book with one entry.
fn judged(text: &str) -> (String, i32) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("b.rulebook"), text).unwrap();
    run(folder.path(), &["judge", "b.rulebook"], "o is yes\nv = 3.0 V\n")
}

/// Refused with exactly one error that says these words.
#[track_caller]
fn refused(text: &str, words: &str) {
    let (said, status) = judged(text);
    assert_eq!(status, 2, "{said}");
    assert!(said.contains(words) && said.ends_with("can't be used: 1 error"), "`{words}` is missing in: {said}");
}

fn lines(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).map(line).collect()
}

#[test]
fn findings_that_double_again_and_again() {
    let book = format!(
        "{HEAD}finding a0 means o is yes\n{}rule r:\n  a60 implies f\n",
        lines(60, |n| format!("finding a{} means a{n} and a{n}\n", n + 1))
    );
    refused(&book, "this condition grows too large once its findings are written out");
}

#[test]
fn sums_that_double_again_and_again() {
    for operator in ["+", "-"] {
        let book = format!(
            "{HEAD}reading b0 = v + v\n{}rule r:\n  b60 below 1 V implies f\n",
            lines(60, |n| format!("reading b{} = b{n} {operator} b{n}\n", n + 1))
        );
        refused(&book, "this sum has more than 256 terms once its computed readings are written out");
    }
    let squares = format!(
        "{HEAD}reading b0 = v / (1 V)\n{}rule r:\n  b60 below 1 implies f\n",
        lines(60, |n| format!("reading b{} = b{n} * b{n}\n", n + 1))
    );
    refused(&squares, "more than 256 terms");
}

#[test]
fn numbers_whose_digits_double_again_and_again() {
    for step in ["c{n} * c{n}", "c{n} + 1 % / c{n}", "c{n} / (1 % + c{n} * c{n})"] {
        let book = format!(
            "{HEAD}limit c0 = 1.2345678901234567890123456789 %\n{}",
            lines(60, |n| format!("limit c{} = {}\n", n + 1, step.replace("{n}", &n.to_string())))
        );
        refused(&book, "this number has more digits than can be worked with");
    }
}

#[test]
fn many_rules_on_one_large_finding_and_many_tolerances() {
    let large = format!(
        "{HEAD}finding a0 means o is yes\n{}{}",
        lines(12, |n| format!("finding a{} means a{n} and a{n}\n", n + 1)),
        lines(500, |n| format!("rule r{n}:\n  a12 implies f\n"))
    );
    refused(&large, "this book grows too large once its findings and tolerances are written out");
    let tolerances = format!(
        "{HEAD}reading w\n  unit V\n{}{}{}",
        lines(500, |n| format!("  tolerance {n} V to {} V with s{n}\n", n + 1)),
        lines(500, |n| format!("state s{n}\n")),
        lines(500, |n| format!("rule r{n}:\n  w in tolerance\n  implies f\n"))
    );
    refused(&tolerances, "this book grows too large");
}

#[test]
fn a_chain_of_needs_and_one_of_findings_and_one_of_sums() {
    let needs = format!("{HEAD}state s0\n{}", lines(5_000, |n| format!("state s{}\n  needs s{n}\n", n + 1)));
    refused(&needs, "needs others that need others, more than 64 deep");
    let upwards = format!("{HEAD}{}state s300\n", lines(300, |n| format!("state s{n}\n  needs s{}\n", n + 1)));
    refused(&upwards, "needs others that need others, more than 64 deep");
    let findings = format!(
        "{HEAD}finding a0 means o is yes\n{}rule r:\n  a300 implies f\n",
        lines(300, |n| format!("finding a{} means a{n}\n", n + 1))
    );
    refused(&findings, "is built on others more than 64 deep");
}

#[test]
fn circles_of_every_kind() {
    let circles = [
        ("state a\n  needs b\nstate b\n  needs c\nstate c\n  needs a\n", "need each other in a circle"),
        ("state a\n  needs a\n", "need each other in a circle"),
        ("finding a means b\nfinding b means a\n", "in a circle"),
        ("finding a means a\n", "in a circle"),
        ("reading a = b + v\nreading b = a + v\n", "in a circle"),
        ("reading a = a + v\n", "in a circle"),
        ("limit a = b\nlimit b = a\n", "`b`"),
        ("limit a = a\n", "`a`"),
        ("state a\n  needs b\nstate b\n  excludes a\n", "can never be set"),
    ];
    for (text, words) in circles {
        let (said, status) = judged(&format!("{HEAD}{text}"));
        assert!(status == 2 && said.contains(words), "`{words}` is missing in: {said}");
    }
}

#[test]
fn files_that_use_each_other_without_end() {
    let folder = tempfile::tempdir().unwrap();
    for n in 0..300 {
        let text =
            format!("rulebook \"u\"\n  language 1\n  use \"u{}.rulebook\"\n  use \"u{}.rulebook\"\n", n + 1, n + 2);
        std::fs::write(folder.path().join(format!("u{n}.rulebook")), text).unwrap();
    }
    let (said, status) = run(folder.path(), &["judge", "u0.rulebook"], "");
    assert!(status == 2 && said.contains("more than 256 files"), "{said}");
    std::fs::write(folder.path().join("self.rulebook"), "rulebook \"s\"\n  language 1\n  use \"self.rulebook\"\n")
        .unwrap();
    let (said, status) = run(folder.path(), &["judge", "self.rulebook"], "");
    assert!(status == 2 && said.contains("use each other in a circle"), "{said}");
}

#[test]
fn names_of_a_megabyte() {
    let name = "n".repeat(1 << 20);
    let (said, status) =
        judged(&format!("{HEAD}observation {name}\n  answers yes, no\nrule r:\n  o is yes\n  implies f\n"));
    assert!(status == 0 && said.contains("Proved: f"), "{status}");
    let (said, status) = judged(&format!("{HEAD}rule r:\n  {name} is yes\n  implies f\n"));
    assert!(status == 2 && said.len() < 10_000, "{} bytes", said.len());
    let words = "nn ".repeat(100_000);
    let (said, status) = judged(&format!("{HEAD}rule r:\n  {words} is yes\n  implies f\n"));
    assert!(status == 2 && said.len() < 10_000, "{} bytes", said.len());
}

#[test]
fn numbers_at_their_ends() {
    let (tiny, huge) = (format!("0.{}1", "0".repeat(38)), "9".repeat(40));
    let (said, status) = judged(&format!("{HEAD}rule r:\n  v between {tiny} V and {huge} V\n  implies f\n"));
    assert!(status == 0 && said.contains("Proved: f"), "{said}");
    refused(&format!("{HEAD}limit a = {huge}9 V\n"), "digits");
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("b.rulebook"), format!("{HEAD}rule r:\n  v below {tiny} V\n  implies f\n"))
        .unwrap();
    for entry in [format!("v = {huge} V"), format!("v = -{huge} V ± {huge} V"), format!("v = {tiny} V ± {tiny} %")] {
        let (said, status) = run(folder.path(), &["judge", "b.rulebook"], &entry);
        assert!(status == 0 && !said.is_empty(), "{said}");
    }
}

#[test]
fn a_non_linear_sum_of_many_readings_is_answered() {
    let readings = lines(12, |n| format!("reading x{n}\n  unit V\n"));
    let sum = (0..12).map(|n| format!("x{n} * x{n} * x{n} / (1 V) - x{n} * (2 V)")).collect::<Vec<_>>().join(" + ");
    let entries = lines(12, |n| format!("x{n} = -3 to 3 V\n"));
    let folder = tempfile::tempdir().unwrap();
    let book = format!("{HEAD}{readings}rule r:\n  ({sum}) / (1 V) below 1 V\n  implies f\n")
        .replace("/ (1 V) - ", "/ (1 V) - ");
    std::fs::write(folder.path().join("b.rulebook"), book).unwrap();
    let (said, status) = run(folder.path(), &["judge", "b.rulebook"], &entries);
    assert!(status <= 2 && !said.is_empty(), "{said}");
}

#[test]
fn lists_of_a_hundred_thousand_names() {
    let names = (0..100_000).map(|n| format!("a{n}")).collect::<Vec<_>>().join(", ");
    refused(&format!("{HEAD}observation many\n  answers {names}\n"), "an observation has at most 64 answers");
    refused(&format!("{HEAD}state many\n  one of {names}\n"), "a state has at most 64 values");
}

#[test]
fn more_problems_than_anyone_reads() {
    let (said, status) = judged(&(HEAD.to_string() + &"x y z\n".repeat(50_000)));
    assert!(
        status == 2 && said.contains("and 19901 more") && said.contains("20001 errors"),
        "{}",
        &said[said.len() - 200..]
    );
}
