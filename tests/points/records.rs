//! The job record: "A text file, one entry a line in the same words, each stamped with date, time and UTC offset,
//! appended and flushed to disk before it is acknowledged, each line chained to the one before by a short hash so that
//! an edit shows. … A torn last line is a warning and set aside, never a failed load. `take back` and `that was …`
//! append, never erase."

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use super::bench::{Bench, verdict};

const BOOK: &str = "
state ignition on
change relay swapped
observation a
  answers yes, no
observation b
  answers yes, no
fault f
fault g
rule r: a is yes with ignition on rules out f
rule s: b is yes rules out g
";

fn judged(bench: &Bench) -> super::bench::Ran {
    bench.run(&["judge", "book.rulebook", "a.job", "--format", "json"], "")
}

#[test]
fn the_header_says_what_it_is_for() {
    // "It opens with a header: format version, vehicle, odometer, … technician (optional), … book with revision and
    // digest."
    let bench = Bench::with("  revision 7\nfault f\n");
    let arguments = [
        "ask",
        "book.rulebook",
        "--job",
        "a.job",
        "--vehicle",
        "Bus 12",
        "--odometer",
        "81 200 km",
        "--technician",
        "M. Tester",
    ];
    bench.run(&arguments, "complaint \"no cold air\"\n");
    let text = bench.read("a.job");
    let head = text.split("\n\n").next().unwrap();
    for words in ["1", "Bus 12", "81 200 km", "M. Tester", "book.rulebook", "7", "digest"] {
        assert!(head.contains(words), "{words}: {text}");
    }
    assert!(text.contains("complaint \"no cold air\""), "{text}");
}

#[test]
fn every_entry_is_a_stamped_line_in_the_same_words() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\na is yes\nnonsense\ntake back\n");
    let text = bench.read("a.job");
    let lines: Vec<&str> = text.split("\n\n").nth(1).unwrap().lines().collect();
    assert_eq!(lines.len(), 3, "{text}");
    for (line, words) in lines.iter().zip(["with ignition on", "a is yes", "take back"]) {
        assert!(line.ends_with(words), "{line}");
        let stamp: Vec<&str> = line.split(' ').take(3).collect();
        let digits = |text: &str, form: &str| {
            text.len() == form.len()
                && text
                    .bytes()
                    .zip(form.bytes())
                    .all(|(c, f)| if f == b'9' { c.is_ascii_digit() } else { c == f || f == b'+' && c == b'-' })
        };
        assert!(digits(stamp[0], "9999-99-99"), "{line}");
        assert!(digits(stamp[1], "99:99:99"), "{line}");
        assert!(digits(stamp[2], "+99:99"), "{line}");
    }
}

#[test]
fn a_record_is_replayed_and_carried_on() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\na is yes\n");
    let answer = judged(&bench).json();
    assert_eq!(verdict(&answer, "f"), "ruled_out");
    let ran = bench.ask("b is yes\n");
    assert!(ran.out.contains("(ignition on) >"), "the setup is carried on: {}", ran.out);
    let answer = judged(&bench).json();
    assert_eq!([verdict(&answer, "f"), verdict(&answer, "g")], ["ruled_out", "ruled_out"]);
}

#[test]
fn taking_back_keeps_the_line_and_takes_back_a_with() {
    let bench = Bench::with(BOOK);
    bench.ask("a is yes\nwith ignition on\ntake back\na is yes\n");
    let text = bench.read("a.job");
    assert!(text.contains("with ignition on") && text.contains("take back"), "{text}");
    assert_eq!(verdict(&judged(&bench).json(), "f"), "open");
    bench.ask("that was with ignition on\n");
    assert!(bench.read("a.job").contains("that was with ignition on"));
    assert_eq!(verdict(&judged(&bench).json(), "f"), "ruled_out");
}

#[test]
fn a_line_of_an_earlier_session_can_be_taken_back() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\na is yes\n");
    bench.ask("take back\n");
    assert_eq!(verdict(&judged(&bench).json(), "f"), "open");
}

#[test]
fn an_edit_shows() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\na is no\nb is yes\n");
    let text = bench.read("a.job");
    bench.write("a.job", &text.replace("a is no", "a is yes"));
    let ran = judged(&bench);
    assert_eq!(ran.status, 1, "{ran:?}");
    assert!(ran.says(&["job/chain-broken", "a is yes"]), "{ran:?}");
    // A line taken out, one moved, a header changed.
    let without: String = text.split_inclusive('\n').filter(|line| !line.contains("a is no")).collect();
    bench.write("a.job", &without);
    assert!(judged(&bench).says(&["job/chain-broken"]));
    bench.write("a.job", &text.replace("book: book.rulebook", "book: other.rulebook"));
    assert!(judged(&bench).says(&["job/chain-broken"]));
    bench.write("a.job", &text);
    assert_eq!(judged(&bench).status, 0, "untouched it is sound");
}

#[test]
fn a_torn_last_line_is_a_warning_and_set_aside() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\nb is yes\na is yes\n");
    let text = bench.read("a.job");
    bench.write("a.job", &text[..text.len() - 6]);
    let ran = judged(&bench);
    assert_eq!(ran.status, 0, "a warning: {ran:?}");
    assert!(ran.says(&["job/torn-line"]), "{ran:?}");
    let answer = ran.json();
    assert_eq!([verdict(&answer, "f"), verdict(&answer, "g")], ["only_one_left", "ruled_out"]);
    // Carried on, the torn line is gone or stays aside, and the chain is whole.
    bench.ask("a is yes\n");
    let ran = judged(&bench);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert_eq!(verdict(&ran.json(), "f"), "ruled_out");
    // The same cut within the header.
    bench.write("a.job", &text[..40]);
    assert!(judged(&bench).status < 2);
}

#[test]
fn a_record_is_flushed_before_it_is_acknowledged() {
    let bench = Bench::with(BOOK);
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["ask", "book.rulebook", "--job", "a.job"])
        .current_dir(bench.path("."))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let mut output = BufReader::new(child.stdout.take().unwrap()).lines();
    input.write_all(b"a is yes\n").unwrap();
    input.flush().unwrap();
    let acknowledged = output.by_ref().map_while(Result::ok).find(|line| line.contains("entered"));
    assert!(acknowledged.is_some());
    assert!(bench.read("a.job").contains("a is yes\n"), "on disk while the program still runs");
    // "another program is writing to it": a second writer is refused, a reader is not.
    let second = bench.ask("b is yes\n");
    assert_eq!(second.status, 2, "{second:?}");
    assert!(second.says(&["a.job"]), "{second:?}");
    assert_eq!(judged(&bench).status, 0);
    assert!(!bench.read("a.job").contains("b is yes"));
    drop(input);
    output.for_each(drop);
    assert!(child.wait().unwrap().success());
    assert_eq!(bench.ask("b is yes\n").status, 0, "free again");
}

#[test]
fn what_is_no_record_is_refused_and_left_alone() {
    let bench = Bench::with(BOOK);
    bench.write("a.job", "shopping list\n");
    let ran = bench.ask("a is yes\n");
    assert_eq!(ran.status, 2, "{ran:?}");
    assert_eq!(bench.read("a.job"), "shopping list\n");
}

#[test]
fn another_state_of_the_book_is_told() {
    let bench = Bench::with(BOOK);
    bench.ask("with ignition on\na is yes\n");
    bench.write("book.rulebook", &format!("rulebook \"bench\"\n  language 1\n{BOOK}fault h\n"));
    let ran = judged(&bench);
    assert!(ran.says(&["job/other-book"]), "{ran:?}");
    assert_eq!(verdict(&ran.json(), "f"), "ruled_out", "judged all the same");
}

#[test]
fn a_plain_file_of_sentences_is_a_job_too() {
    let bench = Bench::with(BOOK);
    bench.write("plain.job", "# from the bay\nwith ignition on\na is yes # seen twice\n");
    let answer = bench.run(&["judge", "book.rulebook", "plain.job", "--format", "json"], "").json();
    assert_eq!(verdict(&answer, "f"), "ruled_out");
}

#[test]
fn typed_words_that_are_no_sentence_are_told_and_not_recorded() {
    let bench = Bench::with(BOOK);
    for (line, code) in [
        ("whyy f", "repl/unknown-command"),
        ("why", "repl/which-fault"),
        ("what if", "repl/which-entry"),
        ("a is\u{7} yes", "repl/control-character"),
        ("expect f open", "job/expect"),
    ] {
        let ran = bench.ask(&format!("{line}\n"));
        assert!(ran.says(&[code]), "{line}: {ran:?}");
        assert_eq!(ran.status, 1, "{line}: {ran:?}");
        assert!(!bench.read("a.job").contains(line), "{line}");
    }
}

#[test]
fn after_a_repair_it_is_told_what_is_unverified_and_not_put_back() {
    // "the job is done when the fault's `verify` conditions hold and the complaint is gone, and the tool says what is
    // still unverified or not put back"
    let bench = Bench::with(
        "change relay swapped\n  put back \"The relay to its socket.\"\nobservation fan turns\n  answers yes, no\n\
         observation lamp lit\n  answers yes, no\nfault f\n  verify fan turns is yes\nfault g\n\
         complaint no air\n  may be f\n  gone when lamp lit is yes\n",
    );
    let ran = bench.ask("complaint no air\nwith relay swapped\nrepaired f\n");
    assert!(ran.says(&["f", "not yet verified", "no air", "The relay to its socket."]), "{ran:?}");
    let ran = bench.ask("without relay swapped\nfan turns is yes\n");
    assert!(!ran.says(&["job is done"]), "the complaint is not gone yet: {ran:?}");
    let ran = bench.ask("lamp lit is yes\n");
    assert!(ran.says(&["job is done"]), "{ran:?}");
    assert_eq!(verdict(&judged(&bench).json(), "f"), "ruled_out");
}
