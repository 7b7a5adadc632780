//! The bench of these tests: a folder of its own, books written into it, the program run on them.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// A folder with books, and the program.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

/// What a run came to.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ran {
    /// Both streams.
    pub(crate) fn said(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    /// Whether both streams together hold all of some words, however they are wrapped.
    pub(crate) fn says(&self, words: &[&str]) -> bool {
        let said = flat(&self.said());
        words.iter().all(|one| said.contains(&flat(one)))
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("no JSON ({error}): {self:?}"))
    }
}

/// Runs of blanks as one, frames of drawings left out.
pub(crate) fn flat(text: &str) -> String {
    let plain = text.replace(['│', '·', '×', '╰', '╭', '─', '▲', '┬'], " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Bench {
    /// A bench with one book, `book.rulebook`: a header and the text.
    pub(crate) fn with(text: &str) -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        bench.write("book.rulebook", &format!("rulebook \"bench\"\n  language 1\n{text}"));
        bench
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).unwrap();
        }
        std::fs::write(&path, text).unwrap();
        path
    }

    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// The program in the bench's folder, with text on its standard input.
    pub(crate) fn run(&self, arguments: &[&str], input: &str) -> Ran {
        run_in(self.folder.path(), arguments, input.as_bytes())
    }

    pub(crate) fn run_bytes(&self, arguments: &[&str], input: &[u8]) -> Ran {
        run_in(self.folder.path(), arguments, input)
    }

    /// `judge book.rulebook` with sentences on standard input.
    pub(crate) fn judge(&self, input: &str) -> Ran {
        self.run(&["judge", "book.rulebook"], input)
    }

    /// The same as JSON.
    pub(crate) fn answer(&self, input: &str) -> Value {
        self.run(&["judge", "book.rulebook", "--format", "json"], input).json()
    }

    /// `ask book.rulebook --job job` with sentences on standard input.
    pub(crate) fn ask(&self, input: &str) -> Ran {
        self.run(&["ask", "book.rulebook", "--job", "a.job"], input)
    }

    /// `lint book.rulebook`.
    pub(crate) fn lint(&self) -> Ran {
        self.run(&["lint", "book.rulebook"], "")
    }

    /// `judge` of a broken book: what is said of it.
    pub(crate) fn refused(&self) -> Ran {
        let ran = self.judge("");
        assert_eq!(ran.status, 2, "{ran:?}");
        ran
    }
}

fn run_in(folder: &Path, arguments: &[&str], input: &[u8]) -> Ran {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env("COLUMNS", "100");
    command.env_remove("RUST_BACKTRACE").stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    // A program that doesn't read its input closes the pipe: no matter.
    let _ = child.stdin.take().unwrap().write_all(input);
    let output = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Ran { status: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) }
}

/// `verdict` of a fault in an answer.
pub(crate) fn verdict(answer: &Value, fault: &str) -> String {
    one_of(answer, fault)["verdict"].as_str().unwrap().to_string()
}

/// The entry of `verdicts` for a fault.
pub(crate) fn one_of<'a>(answer: &'a Value, fault: &str) -> &'a Value {
    let all = answer["verdicts"].as_array().unwrap();
    all.iter().find(|v| v["fault"] == fault).unwrap_or_else(|| panic!("no verdict on `{fault}`: {answer}"))
}

/// The entry of `hypotheses` for a set of faults.
pub(crate) fn hypothesis<'a>(answer: &'a Value, faults: &[&str]) -> Option<&'a Value> {
    let all = answer["hypotheses"].as_array().unwrap();
    all.iter().find(|h| h["faults"].as_array().unwrap().iter().map(|f| f.as_str().unwrap()).eq(faults.iter().copied()))
}
