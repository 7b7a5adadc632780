//! A folder with a book and records, and the program run in it.

use std::path::{Path, PathBuf};
use std::process::Command;

use ruleout::job::record::{self, Header};

/// A book of one lamp with all that a paper shows: cautions, tolerances, a part, a circuit, cases.
pub(crate) const LAMP: &str = include_str!("lamp.rulebook");

/// A folder.
pub(crate) struct Folder(tempfile::TempDir);

/// What a run came to.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ran {
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("no JSON ({error}): {self:?}"))
    }

    /// Both streams, blanks folded, frames of drawings left out.
    pub(crate) fn flat(&self) -> String {
        let plain = format!("{} {}", self.out, self.err).replace(['│', '·', '×', '╰', '╭', '─', '▲', '┬'], " ");
        plain.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

impl Folder {
    /// A folder with `lamp.rulebook`.
    pub(crate) fn new() -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        folder.write("lamp.rulebook", LAMP);
        folder
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, text: &str) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Runs the program in the folder.
    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        run_in(self.0.path(), arguments)
    }

    /// Writes a record on `lamp.rulebook` as the program would: one line a minute from 10:00 on.
    pub(crate) fn record(&self, name: &str, vehicle: &str, lines: &[&str]) {
        self.record_on(name, "lamp.rulebook", vehicle, "2026-11-25", lines);
    }

    pub(crate) fn record_on(&self, name: &str, book: &str, vehicle: &str, day: &str, lines: &[&str]) {
        let header = Header {
            book: book.into(),
            revision: Some("3".into()),
            digest: digest(LAMP),
            vehicle: Some(vehicle.into()),
            technician: Some("bay 2".into()),
            ..Header::default()
        };
        let (mut text, mut chain) = (header.render(), header.chain());
        for (minute, sentence) in lines.iter().enumerate() {
            let stamp = format!("{day} {:02}:{:02}:00 +01:00", 10 + minute / 60, minute % 60);
            let (line, next) = record::line(&chain, &stamp, sentence);
            text.push_str(&line);
            chain = next;
        }
        self.write(name, &text);
    }
}

fn run_in(folder: &Path, arguments: &[&str]) -> Ran {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env_remove("COLUMNS");
    let output = command.stdin(std::process::Stdio::null()).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Ran { status: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) }
}

/// The digest of a book of one file.
pub(crate) fn digest(text: &str) -> String {
    use sha2::{Digest, Sha256};
    let mut hasher = Sha256::new();
    hasher.update(text.as_bytes());
    hasher.update([0]);
    hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What a job of the lamp says from complaint to verified repair, a slip of the pen taken back on the way.
pub(crate) const STORY: &[&str] = &[
    "complaint \"No light on the left.\"",
    "complaint the lamp stays dark",
    "meter \"bench 2\" V 0.5 % + 2 digits of 0.01 V",
    "battery voltage = 12.6 V",
    "can't reach fuse element",
    "with lamp on",
    "battery voltage = 12.6 V",
    "lamp lights is no",
    "supply at lamp = 1.25 V",
    "take back",
    "supply at lamp = 12.5 V",
    "repaired broken bulb",
    "lamp lights is yes",
];
