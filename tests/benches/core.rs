//! Figures of the core: parsing, resolving, judging, cold start. One run prints them all; machines are noisy, so the
//! cold start is a ratio to an empty program of the same run. `cargo bench --bench core`

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::Path;
use std::process::{Command, Stdio};

use ruleout::book::load;
use ruleout::job::Job;
use ruleout::reasoning::judge;
use ruleout::syntax::parse_book;

mod common;
use common::{Shelf, Text, best, dense, enter};

pub(crate) fn main() {
    let text = dense(10_000);
    let megabytes = text.len() as f64 / 1e6;
    let parsed = best(5, || drop(parse_book(Default::default(), &text)));
    println!(
        "parse to tree            {:8.1} MB/s   (10,000 rules, {megabytes:.2} MB)",
        megabytes / parsed.as_secs_f64()
    );
    let library = Text(text);
    let resolved = best(3, || drop(load(&library, Path::new("generated.rulebook")).map(|loaded| loaded.resolve(None))));
    println!("parse and resolve        {:8.1} MB/s", megabytes / resolved.as_secs_f64());

    let loaded = load(&library, Path::new("generated.rulebook")).expect("it is generated");
    let (book, problems) = loaded.resolve(None);
    assert!(problems.is_empty(), "{problems:?}");
    let mut job = Job::new(&book);
    for n in 0..20 {
        enter(&book, &mut job, &format!("supply at point {n} = {}.3 V", 5 + n));
    }
    enter(&book, &mut job, "with relay swapped");
    for n in 0..20 {
        enter(&book, &mut job, &format!("supply at point {n} = {}.7 V", 4 + n));
    }
    let judged = best(20, || drop(judge(&book, &job)));
    println!("judge a job of 40 entries {:7.2} ms     (10,000 rules)", judged.as_secs_f64() * 1e3);

    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks/roof-unit-fans.rulebook");
    let (book, _) = load(&Shelf, &shipped).expect("it is shipped").resolve(None);
    let mut job = Job::new(&book);
    for line in [
        "complaint one condenser fan does not run",
        "with cooling demanded",
        "battery voltage = 24.8 V",
        "second fan runs is yes",
    ] {
        enter(&book, &mut job, line);
    }
    let before = job.clone();
    let entry = best(200, || {
        let mut job = before.clone();
        enter(&book, &mut job, "supply at fan connector = 24.6 V");
        drop(judge(&book, &job));
    });
    println!("entry to verdict         {:8.3} ms     (roof-unit-fans)", entry.as_secs_f64() * 1e3);
    cold_start(&shipped);
}

/// Starts the command and an empty program in turn, and gives the ratio of the best times.
fn cold_start(book: &Path) {
    let folder = std::env::temp_dir().join("ruleout-bench-empty");
    std::fs::create_dir_all(&folder).expect("a temporary folder");
    let source = folder.join("empty.rs");
    std::fs::write(&source, "fn main() {}\n").expect("a temporary file");
    let empty = folder.join("empty");
    let built = Command::new("rustc").arg("-O").arg("-o").arg(&empty).arg(&source).status();
    if !built.is_ok_and(|status| status.success()) {
        println!("cold start: no rustc here to build an empty program with");
        return;
    }
    let run = |program: &Path, args: &[&str]| {
        let mut command = Command::new(program);
        command.args(args).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        best(40, || drop(command.status()))
    };
    let nothing = run(&empty, &[]);
    let ruleout = Path::new(env!("CARGO_BIN_EXE_ruleout"));
    let path = book.display().to_string();
    let verdict = run(ruleout, &["judge", &path]);
    println!(
        "cold start to verdict    {:8.1} ms     = {:.1} x an empty program ({:.2} ms)",
        verdict.as_secs_f64() * 1e3,
        verdict.as_secs_f64() / nothing.as_secs_f64(),
        nothing.as_secs_f64() * 1e3
    );
}
