//! The record of a job whose program is killed at any moment: every entry that was acknowledged is there, in order, and
//! nothing that was not typed. `RULEOUT_ENTRIES=1000 cargo test --test killed` for the long one.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use ruleout::job::record;

const BOOK: &str = "rulebook \"Supply\"\n  language 1\nreading supply\n  unit V\n  from 0 V to 100000 V\nfault open wire\n\
                    rule low: supply below 5 V implies open wire\n";

/// Numbers that look thrown, the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }
}

fn sentence(number: usize) -> String {
    format!("supply = {number}.5 V")
}

/// Types entries from `first` on and kills the program some time after so many were acknowledged; how many were.
fn type_and_kill(folder: &Path, first: usize, last: usize, kill_after: usize, wait: Duration) -> usize {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["ask", "b.rulebook", "--job", "j.job"])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let typing = std::thread::spawn(move || {
        for number in first..last {
            if writeln!(input, "{}", sentence(number)).is_err() {
                return;
            }
        }
    });
    let mut acknowledged = 0;
    for line in BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok) {
        acknowledged += usize::from(line.contains("entered as entry"));
        if acknowledged == kill_after {
            std::thread::sleep(wait);
            let _ = child.kill();
        }
    }
    let _ = child.wait();
    typing.join().unwrap();
    acknowledged
}

#[test]
fn every_acknowledged_entry_outlives_a_kill() {
    let wanted: usize = std::env::var("RULEOUT_ENTRIES").ok().and_then(|text| text.parse().ok()).unwrap_or(60);
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("b.rulebook"), BOOK).unwrap();
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let (mut kept, mut kills) = (0, 0);
    while kept < wanted {
        let kill_after = 1 + dice.below(12) as usize;
        let wait = Duration::from_micros(dice.below(3_000));
        let acknowledged = type_and_kill(folder.path(), kept, wanted, kill_after, wait);
        kills += 1;
        let text = std::fs::read_to_string(folder.path().join("j.job")).unwrap();
        let record = record::read(&text).unwrap();
        assert_eq!(record.broken, [0usize; 0], "{text}");
        let found: Vec<String> = record.lines.into_iter().map(|line| line.text).collect();
        assert!(found.len() >= kept + acknowledged, "{} kept, {acknowledged} more acknowledged:\n{text}", kept);
        assert!(found.len() <= wanted && found.iter().enumerate().all(|(place, text)| *text == sentence(place)));
        kept = found.len();
    }
    assert!(kills * 30 > wanted, "{kills} kills are too few to tell");
    let done = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["judge", "b.rulebook", "j.job"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
}
