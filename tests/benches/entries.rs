//! From one entry to the next verdict: how long the longest waits are on a book of 10,000 rules, and whether a job of
//! 100,000 entries makes them longer. `cargo bench --bench entries`

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::time::{Duration, Instant};

use ruleout::book::Book;
use ruleout::job::Job;
use ruleout::reasoning::Recall;

mod common;
use common::{Dice, dense, enter, resolved, shipped, wide};

/// The time below which so many per thousand lie.
fn mille(times: &mut [Duration], share: usize) -> f64 {
    times.sort_unstable();
    let at = (times.len() * share / 1000).min(times.len() - 1);
    times[at].as_secs_f64() * 1e3
}

/// Enters a sentence and judges; how long that took.
fn timed(book: &Book, job: &mut Job, recall: &mut Recall, line: &str) -> Duration {
    let start = Instant::now();
    enter(book, job, line);
    drop(recall.judge(book, job));
    start.elapsed()
}

/// Entries of vehicles that are sound but for one low spot. Each job is played several times and the best time of each
/// sentence counts, for other work on the machine is no part of it.
fn jobs(name: &str, book: &Book, points: usize) {
    let rounds: Vec<Vec<Duration>> = (0..5).map(|_| round(book, points)).collect();
    let count = rounds[0].len();
    let mut times: Vec<Duration> =
        (0..count).map(|at| rounds.iter().map(|round| round[at]).min().unwrap_or_default()).collect();
    println!(
        "entry to verdict, {name}: half within {:.3} ms, 99 of 100 within {:.3} ms, all within {:.3} ms ({count} sentences)",
        mille(&mut times, 500),
        mille(&mut times, 990),
        mille(&mut times, 1000),
    );
}

fn round(book: &Book, points: usize) -> Vec<Duration> {
    let mut times = Vec::new();
    let mut dice = Dice(7);
    for _ in 0..20 {
        let (mut job, mut recall) = (Job::new(book), Recall::default());
        recall.judge(book, &job);
        let spot = dice.below(points);
        for n in 0..40 {
            let point = if n % 8 == 0 { (spot + n / 8) % points } else { dice.below(points) };
            let volts = if point == spot { 9 } else { 23 + dice.below(4) };
            times.push(timed(book, &mut job, &mut recall, &format!("supply at point {point} = {volts}.3 V")));
            if n == 20 {
                times.push(timed(book, &mut job, &mut recall, "with relay swapped"));
            }
        }
    }
    times
}

/// One job that goes on and on; every hundredth sentence takes the one before back.
fn soak(book: &Book, entries: usize) {
    let (mut job, mut recall) = (Job::new(book), Recall::default());
    let mut dice = Dice(11);
    let mut times: Vec<Duration> = Vec::new();
    enter(book, &mut job, "with cooling demanded");
    while job.entries.len() < entries {
        let line = match dice.below(5) {
            0 => format!("battery voltage = 24.{} V", dice.below(10)),
            1 => format!("supply at fan connector = 24.{} V", dice.below(10)),
            2 => "second fan runs is yes".to_string(),
            3 => format!("supply at relay socket = 24.{} V", dice.below(10)),
            _ => "fan runs is no".to_string(),
        };
        times.push(timed(book, &mut job, &mut recall, &line));
        if times.len().is_multiple_of(100) {
            times.push(timed(book, &mut job, &mut recall, "take back"));
        }
    }
    let part = times.len() / 10;
    let (mut first, mut last) = (times[..part].to_vec(), times[times.len() - part..].to_vec());
    println!(
        "one job of {entries} entries: 99 of 100 within {:.3} ms over its first tenth, {:.3} ms over its last",
        mille(&mut first, 990),
        mille(&mut last, 990)
    );
}

pub(crate) fn main() {
    jobs("10,000 rules over 1,000 readings", &resolved(wide(10_000)), 1_000);
    jobs("10,000 rules over 100 readings", &resolved(dense(10_000)), 90);
    soak(&shipped("roof-unit-fans.rulebook"), 100_000);
}
