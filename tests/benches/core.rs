//! Figures of the core: parsing, resolving, judging, cold start. One run prints them all; machines are noisy, so the
//! cold start is a ratio to an empty program of the same run. `cargo bench --bench core`

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use ruleout::book::{Library, load};
use ruleout::job::Job;
use ruleout::reasoning::judge;
use ruleout::syntax::{parse_book, parse_statement};

struct Text(String);

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

struct Shelf;

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(path).map_err(|error| error.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// The best of several runs: the one that the machine disturbed least.
fn best(runs: usize, mut work: impl FnMut()) -> Duration {
    let times = (0..runs).map(|_| {
        let start = Instant::now();
        work();
        start.elapsed()
    });
    times.min().unwrap_or_default()
}

fn generated(rules: usize) -> String {
    let mut text = String::from("rulebook \"Generated\"\n  language 1\n  revision 1\n");
    text.push_str("change relay swapped\n");
    for n in 0..100 {
        text.push_str(&format!("reading supply at point {n}\n  unit V\n  from 0 V to 32 V\n  takes 2 min\n"));
    }
    for n in 0..200 {
        text.push_str(&format!("fault fault {n}\n  share 3\n  remedy \"Mend it.\"\n"));
    }
    for n in 0..rules {
        text.push_str(&format!(
            "rule rule number {n} of the book:\n  supply at point {} below 11.5 V with relay swapped\n  and supply at point {} at least 22.5 V\n  and supply at point {} between 20 V and 28.8 V\n  rules out fault {}\n  because \"The relay is good and fed and driven, so the loss lies beyond it.\"\n  source \"common practice, no source\"\n",
            n % 97,
            n % 89,
            (n * 7) % 83,
            n % 200
        ));
    }
    text
}

fn enter(book: &ruleout::book::Book, job: &mut Job, line: &str) {
    let statement = parse_statement(Default::default(), 0, line).expect(line);
    job.enter(book, statement, line).expect(line);
}

fn main() {
    let text = generated(10_000);
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
