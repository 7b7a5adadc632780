//! What recorded signals cost: conditions over samples in memory, a log from its text, and the memory that it takes.
//! `cargo bench --bench signals`; figures go to the README.
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::io::Read;
use std::time::Instant;

use ruleout::job::signal::csv::{Channel, HEAD, Rows, Told, detect};
use ruleout::job::signal::recording::Reader;
use ruleout::job::signal::{Asks, End, Predicate, Question, Sum, Watch, Width};

/// Samples of the runs in memory.
const SAMPLES: usize = 20_000_000;
const BLOCK: usize = 4_096;

fn below(limit: f64) -> Predicate {
    let sum = Sum { constant: limit, factors: vec![(0, -1.0)] };
    let subject = Sum { constant: 0.0, factors: vec![(0, 1.0)] };
    Predicate { ends: vec![End { sum, closed: false }], turned: false, subject }
}

fn question(asks: Asks) -> Question {
    Question { what: below(11.0), asks }
}

/// Seconds that this thread has run on a processor, so that a busy machine doesn't matter; wall time where that isn't told.
fn clock() -> f64 {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let start = START.get_or_init(Instant::now);
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| start.elapsed().as_secs_f64(), |ns| ns / 1e9)
}

/// 12.5 V with a ripple, one dropout in ten thousand samples.
fn volts(n: usize) -> f64 {
    if n % 10_000 < 6 { 3.2 } else { 12.5 + ((n * 7) % 100) as f64 / 1_000.0 }
}

fn in_memory(name: &str, questions: Vec<Question>, columns: usize) {
    let count = questions.len();
    let mut reader = Reader::new(questions, vec![Width { share: 0.005, fixed: 0.02, nought: 0.0 }; columns], 0.001);
    // Samples of some blocks, used again and again; only the times go on.
    let kept: Vec<Vec<Vec<f64>>> =
        (0..16).map(|block| vec![(0..BLOCK).map(|place| volts(block * BLOCK + place)).collect(); columns]).collect();
    let mut times = vec![0.0; BLOCK];
    let start = clock();
    for block in 0..SAMPLES / BLOCK {
        for (place, time) in times.iter_mut().enumerate() {
            *time = (block * BLOCK + place) as f64 * 0.001;
        }
        reader.take(&times, &kept[block % kept.len()]);
    }
    let rate = SAMPLES as f64 / (clock() - start) / 1e6;
    println!("{name}: {rate:.0} million samples/s on one core ({count} questions and the picture)");
}

/// A log made as it is read, so that none is held.
struct Made {
    row: usize,
    rows: usize,
    buffer: Vec<u8>,
    at: usize,
}

impl Read for Made {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        if self.at == self.buffer.len() {
            self.buffer.clear();
            self.at = 0;
            while self.buffer.len() < 1 << 16 && self.row < self.rows {
                use std::io::Write;
                if self.row == 0 {
                    self.buffer.extend_from_slice(b"time (ms),supply (V),current (A),temperature (degC)\n");
                }
                let n = self.row;
                writeln!(self.buffer, "{n},{:.3},{:.2},{:.1}", volts(n), 7.2, 31.5)?;
                self.row += 1;
            }
        }
        let count = out.len().min(self.buffer.len() - self.at);
        out[..count].copy_from_slice(&self.buffer[self.at..self.at + count]);
        self.at += count;
        Ok(count)
    }
}

/// The most memory that this process has held so far, in MB.
fn peak() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("");
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<f64>().ok()).unwrap_or(f64::NAN) / 1024.0
}

fn from_text(text: &[u8], log: impl Read, rows: usize, bytes: f64) {
    let layout = detect(&text[..text.len().min(HEAD)], &Told::default()).unwrap();
    let channels = [Channel { column: 1, factor: 1.0, offset: 0.0 }];
    let watch = Watch { lasting: 0.002, times: 1 };
    let start = clock();
    let mut source = Rows::new(log, &layout, &channels);
    let mut reader = Reader::new(vec![question(Asks::Episodes(watch))], vec![Width::default()], 0.001);
    while source.next_block().unwrap() {
        reader.take(&source.times, &source.columns);
    }
    let spent = clock() - start;
    println!(
        "text of {rows} rows, 4 columns: {:.0} MB/s, {:.1} million rows/s; most memory so far {:.1} MB",
        bytes / spent / 1e6,
        rows as f64 / spent / 1e6,
        peak()
    );
}

pub(crate) fn main() {
    let ever = || question(Asks::Episodes(Watch { lasting: 0.0, times: 1 }));
    let lasting = || question(Asks::Episodes(Watch { lasting: 0.005, times: 3 }));
    in_memory("ever", vec![ever()], 1);
    in_memory("always", vec![question(Asks::Always)], 1);
    in_memory("for at least 5 ms, 3 times", vec![lasting()], 1);
    in_memory("within 20 ms after", vec![question(Asks::Response { within: 0.02, after: below(12.0) })], 1);
    in_memory("four at once", vec![ever(), lasting(), question(Asks::Always), ever()], 1);
    // The longest first would hide what the shorter ones need: the peak only grows.
    for rows in [300_000, 3_000_000, 12_000_000] {
        let made = || Made { row: 0, rows, buffer: Vec::new(), at: 0 };
        let mut head = Vec::new();
        let _ = made().take(HEAD as u64).read_to_end(&mut head);
        let bytes = std::io::copy(&mut made(), &mut std::io::sink()).unwrap_or(0);
        from_text(&head, made(), rows, bytes as f64);
    }
    let mut text = Vec::new();
    let rows = 2_000_000;
    let _ = Made { row: 0, rows, buffer: Vec::new(), at: 0 }.read_to_end(&mut text);
    println!("the same from memory, without making it:");
    from_text(&text, text.as_slice(), rows, text.len() as f64);
}
