//! Bad input of every kind gets a clear error and the right status, and nothing is lost: never a panic.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

struct Ran {
    out: String,
    err: String,
    status: Option<i32>,
}

fn run(folder: &Path, args: &[&str], input: &[u8]) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(args)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || drop(pipe.write_all(&input)));
    let done = child.wait_with_output().unwrap();
    writer.join().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
    Ran { out: text(done.stdout), err: text(done.stderr), status: done.status.code() }
}

impl Ran {
    /// Ended with that status, said these words, and did not panic.
    #[track_caller]
    fn says(&self, status: i32, words: &[&str]) {
        let all = format!("{}{}", self.out, self.err);
        assert!(!all.contains("panicked"), "{all}");
        assert_eq!(self.status, Some(status), "{all}");
        for word in words {
            assert!(all.contains(word), "`{word}` is missing in:\n{all}");
        }
    }
}

const BOOK: &str = "rulebook \"Lamp\"\n  language 1\nobservation lamp lit\n  answers yes, no\n  sound yes\nfault open wire\n  shows lamp lit is no\nfault worn switch\nrule dark:\n  lamp lit is no\n  implies open wire\n";

fn with_book(text: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("b.rulebook"), text).unwrap();
    folder
}

#[test]
fn a_missing_file_a_folder_and_wrong_usage() {
    let folder = tempfile::tempdir().unwrap();
    for command in ["judge", "ask", "next", "lint", "cases", "fmt"] {
        run(folder.path(), &[command, "nothing.rulebook"], b"").says(2, &["nothing.rulebook", "no such file"]);
    }
    run(folder.path(), &["judge", "."], b"").says(2, &["folder"]);
    run(folder.path(), &["judge"], b"").says(2, &["BOOK"]);
    run(folder.path(), &["no-such-command"], b"").says(2, &["no-such-command"]);
}

#[test]
fn wrong_encodings() {
    let folder = with_book(b"rulebook \"x\"\nfault a\xFF\n");
    run(folder.path(), &["judge", "b.rulebook"], b"").says(2, &["line 2", "UTF-8"]);
    let folder = with_book(b"\xFF\xFEr\0u\0");
    run(folder.path(), &["lint", "b.rulebook"], b"").says(2, &["UTF-16"]);
    let folder = with_book(BOOK.as_bytes());
    run(folder.path(), &["judge", "b.rulebook"], b"lamp lit is no\xFF\n").says(2, &["standard input", "UTF-8"]);
}

#[test]
fn a_mark_at_the_start_carriage_returns_tabs_and_no_last_line_end_are_all_right() {
    let windows = format!("\u{FEFF}{}", BOOK.replace('\n', "\r\n"));
    for text in [windows, BOOK.replace("  ", "\t"), BOOK.trim_end().to_string()] {
        let folder = with_book(text.as_bytes());
        run(folder.path(), &["judge", "b.rulebook"], "\u{FEFF}lamp lit is no\r\n".as_bytes())
            .says(0, &["Proved: open wire"]);
    }
}

#[test]
fn an_empty_book_is_told_so() {
    let folder = with_book(b"");
    run(folder.path(), &["lint", "b.rulebook"], b"").says(1, &["doesn't say what it is for"]);
    run(folder.path(), &["judge", "b.rulebook"], b"lamp lit is no\n")
        .says(1, &["this book has no reading or observation"]);
}

#[test]
fn a_file_over_the_limit_is_refused_unless_it_is_asked_for() {
    let text = format!("{BOOK}{}", "\n".repeat(16 * 1024 * 1024));
    let folder = with_book(text.as_bytes());
    run(folder.path(), &["judge", "b.rulebook"], b"").says(2, &["16 MB", "--large"]);
    run(folder.path(), &["judge", "b.rulebook", "--large"], b"lamp lit is no\n").says(0, &["Proved"]);
}

#[test]
fn nests_and_chains_that_no_one_reads() {
    let deep =
        format!("{BOOK}rule deep:\n  {}lamp lit is no{} implies open wire\n", "(".repeat(100_000), ")".repeat(100_000));
    run(with_book(deep.as_bytes()).path(), &["judge", "b.rulebook"], b"").says(2, &["nested deeper than"]);
    let nots = format!("{BOOK}rule deep:\n  {}lamp lit is no implies worn switch\n", "not ".repeat(10_000));
    run(with_book(nots.as_bytes()).path(), &["judge", "b.rulebook"], b"").says(0, &[]);
    let sum = format!("{BOOK}limit long = 1 V{}\n", " + 1 V".repeat(100_000));
    run(with_book(sum.as_bytes()).path(), &["judge", "b.rulebook"], b"").says(2, &["more than 256 terms"]);
    let digits = format!("{BOOK}limit long = {} V\n", "9".repeat(100_000));
    run(with_book(digits.as_bytes()).path(), &["judge", "b.rulebook"], b"").says(2, &["digits"]);
    let minus = format!("{BOOK}limit long = {}1 V\n", "- ".repeat(50_000));
    run(with_book(minus.as_bytes()).path(), &["judge", "b.rulebook"], b"").says(0, &[]);
}

#[test]
fn a_thousand_errors_are_counted_and_a_hundred_drawn() {
    let mut text = String::from(BOOK);
    for n in 0..1000 {
        text.push_str(&format!("rule r{n}: lamp lid is no implies open wire\n"));
    }
    let folder = with_book(text.as_bytes());
    let ran = run(folder.path(), &["judge", "b.rulebook"], b"");
    ran.says(2, &["and 900 more", "1000 errors"]);
}

#[test]
fn nothing_from_a_file_reaches_the_terminal_raw() {
    let hostile = "rulebook \"\u{1b}[2J\u{202e}x\"\n  language 1\n  scope \"\u{1b}]0;title\u{7}\"\nobservation lamp\u{200b} lit\n  answers yes, no\nfault a\nrule r\u{1b}[31m:\n  lamp\u{200b} lit is no implies b\n";
    let folder = with_book(hostile.as_bytes());
    for args in [
        &["lint", "b.rulebook"][..],
        &["judge", "b.rulebook"],
        &["ask", "b.rulebook"],
        &["fmt", "--check", "b.rulebook"],
    ] {
        let ran = run(folder.path(), args, "\u{1b}[2J is no\nlamp is \u{202e}no\n".as_bytes());
        for raw in ['\u{1b}', '\u{202e}', '\u{200b}', '\u{7}'] {
            assert!(!ran.out.contains(raw) && !ran.err.contains(raw), "{raw:?} in {args:?}: {}{}", ran.out, ran.err);
        }
    }
}

#[test]
fn a_bad_sentence_is_numbered_and_skipped_and_the_rest_is_judged() {
    let folder = with_book(BOOK.as_bytes());
    let ran = run(folder.path(), &["judge", "b.rulebook"], b"# a comment\n\nlamp lid is no\nlamp lit is no\n");
    ran.says(1, &["standard input:3:1", "did you mean `lamp lit`", "Proved: open wire"]);
}

#[test]
fn a_record_that_can_not_be_written() {
    let folder = with_book(BOOK.as_bytes());
    run(folder.path(), &["ask", "b.rulebook", "--job", "no/such/folder/j.job"], b"lamp lit is no\n")
        .says(2, &["job record"]);
    run(folder.path(), &["ask", "b.rulebook", "--job", "b.rulebook"], b"lamp lit is no\n").says(2, &["no job record"]);
    if Path::new("/dev/full").exists() {
        run(folder.path(), &["ask", "b.rulebook", "--job", "/dev/full"], b"lamp lit is no\n")
            .says(2, &["no plain file"]);
    }
}

#[test]
fn a_reader_that_goes_away_is_no_panic() {
    let folder = with_book(BOOK.as_bytes());
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["ask", "b.rulebook"])
        .current_dir(folder.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut pipe = child.stdin.take().unwrap();
    let _ = pipe.write_all("help\n".repeat(500).as_bytes());
    drop(pipe);
    let done = child.wait_with_output().unwrap();
    assert!(!String::from_utf8_lossy(&done.stderr).contains("panicked"));
}

#[test]
fn a_used_file_that_is_a_link_out_of_the_folder_is_refused() {
    let outside = tempfile::tempdir().unwrap();
    std::fs::write(outside.path().join("secret.rulebook"), "limit x = 1 V\n").unwrap();
    let folder = with_book(b"rulebook \"x\"\n  language 1\n  use \"link.rulebook\"\n");
    #[cfg(unix)]
    std::os::unix::fs::symlink(outside.path().join("secret.rulebook"), folder.path().join("link.rulebook")).unwrap();
    run(folder.path(), &["judge", "b.rulebook"], b"").says(2, &["outside the folder"]);
}

#[test]
fn a_record_of_another_book_is_left_alone_and_a_record_is_no_book() {
    let folder = with_book(BOOK.as_bytes());
    std::fs::write(folder.path().join("other.rulebook"), BOOK).unwrap();
    run(folder.path(), &["ask", "b.rulebook", "--job", "j.job"], b"lamp lit is no\n").says(0, &["Proved"]);
    let before = std::fs::read(folder.path().join("j.job")).unwrap();
    run(folder.path(), &["ask", "other.rulebook", "--job", "j.job"], b"lamp lit is yes\n")
        .says(2, &["b.rulebook", "nothing was written"]);
    assert_eq!(before, std::fs::read(folder.path().join("j.job")).unwrap());
    run(folder.path(), &["judge", "j.job"], b"").says(2, &["is a job record", "rulebook comes first"]);
}

#[test]
fn a_right_word_is_not_offered_in_place_of_itself() {
    let folder = with_book(BOOK.as_bytes());
    let ran = run(folder.path(), &["ask", "b.rulebook"], b"repaired\nnext please\n");
    assert!(!ran.err.contains("did you mean `repaired`") && !ran.err.contains("did you mean `next`"), "{}", ran.err);
}

#[test]
fn nothing_is_advised_once_the_job_is_done() {
    let folder =
        with_book(BOOK.replace("  shows lamp lit is no\n", "  shows lamp lit is no\n  verify lamp lit\n").as_bytes());
    let sentences = b"lamp lit is no\nrepaired open wire\nlamp lit is yes\nnext\n";
    run(folder.path(), &["ask", "b.rulebook"], sentences).says(0, &["there is nothing left to measure"]);
}
