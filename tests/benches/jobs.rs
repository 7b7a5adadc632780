//! Figures of the job folder: 10,000 records listed and counted. `cargo bench --bench jobs`

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use ruleout::job::record::{self, Header};

/// How many records.
const COUNT: usize = 10_000;

/// A shipped record again, for another vehicle on another day: its chain holds.
fn again(text: &str, number: usize) -> String {
    let old = record::read(text).unwrap_or_default();
    let header = Header { vehicle: Some(format!("shuttle {number}")), ..old.header };
    let (mut out, mut chain) = (header.render(), header.chain());
    for line in &old.lines {
        let day = format!("2026-{:02}-{:02}", number / 28 % 12 + 1, number % 28 + 1);
        let stamp = format!("{day}{}", line.stamp.get(10..).unwrap_or(""));
        let (line, next) = record::line(&chain, &stamp, &line.text);
        out.push_str(&line);
        chain = next;
    }
    out
}

pub(crate) fn main() -> std::io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks");
    let mut shipped: Vec<_> = std::fs::read_dir(root.join("jobs"))?.flatten().map(|entry| entry.path()).collect();
    shipped.retain(|path| path.extension().is_some_and(|ending| ending == "job"));
    shipped.sort();
    let texts: Vec<String> = shipped.iter().map(std::fs::read_to_string).collect::<Result<_, _>>()?;
    let texts: Vec<String> = texts.into_iter().filter(|text| !text.contains(".csv")).collect();
    let folder = tempfile::tempdir()?;
    for number in 0..COUNT {
        let Some(text) = texts.get(number % texts.len()) else { continue };
        std::fs::write(folder.path().join(format!("job{number}.job")), again(text, number))?;
    }
    let books = root.display().to_string();
    let list = |more: &[&str]| -> std::io::Result<f64> {
        let start = Instant::now();
        Command::new(env!("CARGO_BIN_EXE_ruleout"))
            .args(["jobs", &folder.path().display().to_string(), "--books", &books])
            .args(more)
            .stdout(Stdio::null())
            .status()?;
        Ok(start.elapsed().as_secs_f64())
    };
    for (name, more) in [
        ("listed and counted", &[][..]),
        ("the same as JSON", &["--format", "json"]),
        ("one vehicle searched for", &["--vehicle", "shuttle 4711"]),
    ] {
        let times = (0..3).map(|_| list(more)).collect::<Result<Vec<f64>, _>>()?;
        let best = times.into_iter().fold(f64::INFINITY, f64::min);
        println!("{COUNT} job files, {name}: {best:.2} s");
    }
    Ok(())
}
