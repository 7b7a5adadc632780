//! How fast lint by name and shape is, reading included: `cargo bench --bench lint`. Generated books of 10 thousand, 100
//! thousand and a million lines, in processor time of all threads (so: a core), and the cold start on a small book
//! beside a binary that does nothing.
#![expect(clippy::print_stdout, reason = "a benchmark tells its figures")]

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use ruleout::book::load;
use ruleout::lint::{self, Choice, Opened, Outside};

mod common;
use common::Text;

/// A book of about that many lines: blocks that each speak of their own names, as a large book does.
fn book(lines: usize) -> String {
    let mut text = String::from(
        "rulebook \"generated\"\n  language 1\n  revision 1\n  scope \"generated\"\n  source \"invented\"\n",
    );
    for n in 0..lines / 23 {
        text.push_str(&format!(
            "limit least feed of bus B{n} = 22.5 V\n  because \"invented\"\nreading supply of bus B{n}\n  unit V\n  from 0 V to 32 V\n  where \"plug {n}\"\n  \
             tolerance least feed of bus B{n} to 29 V\n  takes 2 min\nobservation lamp of bus B{n}\n  answers yes, no\n  sound yes\n  takes 1 min\n\
             fault open wire of bus B{n}\n  \"Open between relay and plug\"\n  share 3\n  remedy \"Repair the wire; load-test it.\"\n  \
             shows lamp of bus B{n} is no\n  verify supply of bus B{n} in tolerance\nrule wire of bus B{n}:\n  supply of bus B{n} below least feed of bus B{n}\n  and lamp of bus B{n} is no\n  \
             implies open wire of bus B{n}\n  because \"Nothing arrives.\"\n"
        ));
    }
    text.push_str("case nothing arrives:\n  supply of bus B0 = 4.2 V\n  lamp of bus B0 is no\n  expect open wire of bus B0 proved\n");
    text
}

/// Processor time of all threads of this process where the system says it, else the time of the clock.
fn spent(start: Instant) -> Duration {
    let threads = std::fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let each = threads.filter_map(|thread| {
        let said = std::fs::read_to_string(thread.path().join("schedstat")).ok()?;
        said.split_whitespace().next()?.parse::<u64>().ok()
    });
    match each.sum() {
        0 => start.elapsed(),
        nanoseconds => Duration::from_nanos(nanoseconds),
    }
}

fn timed<T>(start: Instant, work: impl FnOnce() -> T) -> (T, f64) {
    let before = spent(start);
    let done = work();
    (done, spent(start).saturating_sub(before).as_secs_f64())
}

fn measure(lines: usize) {
    let start = Instant::now();
    let shelf = Text(book(lines));
    let lines = shelf.0.lines().count();
    let (loaded, reading) =
        timed(start, || load(&shelf, Path::new("generated.rulebook")).expect("the text is at hand"));
    let (opened, resolving) = timed(start, || Opened::resolve(loaded));
    let (found, checking) = timed(start, || lint::check_file(&opened, &Outside::default(), &Choice::default()));
    let rate = |time: f64| lines as f64 / time;
    println!(
        "{lines:>9} lines: {:>9.0} lines/s a core, {} found, peak {}\n          \
         read {reading:.3} s, resolve {resolving:.3} s, check {checking:.3} s = {:.0} lines/s",
        rate(reading + resolving + checking),
        found.len(),
        peak(),
        rate(checking),
    );
}

/// The most memory that this process has held, where the system says it.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status.lines().find_map(|line| line.strip_prefix("VmHWM:")).map_or("not known".into(), |kb| kb.trim().to_string())
}

/// The shortest of many runs.
fn start(program: &Path, arguments: &[&str]) -> Option<Duration> {
    let runs = (0..40).filter_map(|_| {
        let before = Instant::now();
        Command::new(program).args(arguments).output().ok().map(|_| before.elapsed())
    });
    runs.min()
}

fn cold_start() {
    let folder = std::env::temp_dir().join(format!("ruleout-bench-{}", std::process::id()));
    let (source, empty, small) = (folder.join("empty.rs"), folder.join("empty"), folder.join("small.rulebook"));
    let made = std::fs::create_dir_all(&folder)
        .and_then(|()| std::fs::write(&source, "fn main() {}"))
        .and_then(|()| std::fs::write(&small, book(60)));
    let built = Command::new("rustc").arg("-O").arg("-o").arg(&empty).arg(&source).status();
    if made.is_ok() && built.is_ok_and(|status| status.success()) {
        let ours = start(Path::new(env!("CARGO_BIN_EXE_ruleout")), &["lint", &small.to_string_lossy()]);
        if let (Some(ours), Some(nothing)) = (ours, start(&empty, &[])) {
            println!(
                "cold start: {ours:.2?}, {:.1} x an empty binary ({nothing:.2?})",
                ours.as_secs_f64() / nothing.as_secs_f64()
            );
        }
    }
    let _gone = std::fs::remove_dir_all(&folder);
}

pub(crate) fn main() {
    let largest = std::env::args().filter_map(|argument| argument.parse().ok()).next().unwrap_or(1_000_000);
    for lines in [10_000, 100_000, 1_000_000] {
        if lines <= largest {
            measure(lines);
        }
    }
    cold_start();
}
