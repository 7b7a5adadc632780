//! Logs that are broken: a clear refusal or a counted warning, an exit status as the language's page says, never a
//! silent guess.

use crate::bench::Bench;

const BOOK: &str = "\
reading feed
  unit V
  from 0 V to 32 V
fault f
rule r: feed ever below 5 V implies f
";

fn judged(log: &[u8], told: &str) -> crate::bench::Ran {
    let bench = Bench::with(BOOK);
    std::fs::write(bench.path("x.csv"), log).unwrap();
    bench.judge(&format!("feed from \"x.csv\"{told}\n"))
}

fn rows(bad: &str) -> Vec<u8> {
    let mut text = String::from("time (s);feed (V)\n");
    for n in 0..50 {
        text.push_str(&format!("{:.1};12,5\n", f64::from(n) / 10.0).replace('.', ","));
    }
    text.push_str(bad);
    for n in 60..90 {
        text.push_str(&format!("{:.1};12,5\n", f64::from(n) / 10.0).replace('.', ","));
    }
    text.into_bytes()
}

#[track_caller]
fn says(log: &[u8], told: &str, status: i32, words: &[&str]) {
    let ran = judged(log, told);
    assert!(ran.says(words), "{ran:?}");
    assert_eq!(ran.status, status, "{ran:?}");
}

#[test]
fn what_a_log_lacks_is_counted_and_is_no_failure() {
    says(&rows("5,1;\n5,2;NaN\n5,3;nan\n"), "", 0, &["3 samples are blank or no number (first in line 52)"]);
    says(&rows(""), "", 0, &["1 gaps between samples, the longest 1.1 s"]);
    let torn = [rows(""), b"9,1".to_vec()].concat();
    says(&torn, "", 0, &["the last line is not finished and is set aside"]);
}

#[test]
fn rows_that_can_not_be_used_are_counted_and_found() {
    says(&rows("4,9;12,5\n4,9;12,5\n"), "", 1, &["2 with the time of the row before (first in line 52)"]);
    says(&rows("1,0;12,5\n"), "", 1, &["1 with a time before the row above (first in line 52)"]);
    says(&rows("5,1\n"), "", 1, &["1 with too few cells (first in line 52)"]);
    says(&rows("5,1;volts\n"), "", 1, &["1 with a cell that is no number (first in line 52)"]);
    says(&rows("noon;12,5\n"), "", 1, &["1 without a time that can be read (first in line 52)"]);
}

#[test]
fn what_can_not_be_told_is_asked_for() {
    says(&rows("5,1;12.5\n"), "", 1, &["decimal commas and decimal points are mixed", "decimal comma"]);
    says(&rows("5,1;12.5\n"), ", decimal comma", 1, &["1 with a cell that is no number"]);
    says(b"time;feed\n0;12.5\n1;12.6\n", "", 1, &["doesn't say what the times in `time` are in", "time in ms"]);
    says(b"time (s);a;b\n0;1;2\n1;1;2\n", "", 1, &["several channels", "`a`, `b`"]);
    says(b"time (s);a;b\n0;1;2\n1;1;2\n", " channel 3", 1, &["it has no column `3`"]);
    says(b"time (s);a;b\n0;1;2\n1;1;2\n", " channel \"c\"", 1, &["it has no column `c`", "`a`, `b`"]);
    says(b"time (s);feed (A)\n0;1\n1;1\n", "", 1, &["units/mismatch", "in V"]);
    says(b"time (s),feed (V)\n0,0,12,5\n0,1,12,5\n", "", 1, &["its header names 2 columns, its rows have 4 cells"]);
    says(b"time (s);feed (V)\n0;100\n1;101\n", "", 1, &["can only be", "the log holds"]);
}

#[test]
fn what_is_no_log_is_refused() {
    says(b"", "", 1, &["it is empty"]);
    says(b"\xFF\xFEt\0i\0m\0e\0", "", 1, &["UTF-16"]);
    says(b"0,1\0,2\n", "", 1, &["UTF-16 or no text at all"]);
    says(b"once upon a time\nthere was a bus\n", "", 1, &["no table of numbers is found"]);
    says(b"time (s);feed (V)\n0;\n1;\n2;NaN\n", "", 1, &["job/log"]);
    let wide = format!("time (s),{}\n0,{}\n1,{}\n", "a,".repeat(5_000), "1,".repeat(5_000), "1,".repeat(5_000));
    says(wide.as_bytes(), " channel 1", 1, &["more than 4096 columns"]);
    let million = format!("time (s),feed (V)\n0,1\n1,2\n2,{}\n", "1,".repeat(1_000_000));
    says(million.as_bytes(), "", 1, &["line 4 is longer than 1 MB"]);
    let first = "1,".repeat(1_000_000);
    says(first.as_bytes(), "", 1, &["job/log"]);
}

#[test]
fn a_header_in_another_encoding_is_read_and_said() {
    says(b"time (s);f\xFChler (V)\n0;12.5\n1;12.6\n", "", 0, &["its header is not UTF-8"]);
}

#[test]
fn a_log_of_nothing_but_bad_rows_is_refused() {
    let mut text = String::from("time (s);feed (V)\n0;1\n1;1\n2;1\n");
    text.push_str(&"x;y\n".repeat(5_000));
    says(text.as_bytes(), "", 1, &["rows can't be used"]);
}

#[test]
fn a_log_is_no_answer_and_a_folder_no_log() {
    let bench = Bench::with("observation a\n  answers yes, no\nreading b\n  unit V\nfault f\n");
    std::fs::create_dir(bench.path("x.csv")).unwrap();
    let ran =
        bench.judge("a from \"x.csv\"\nb from \"x.csv\"\nb from \"x.csv\" channel 0\nb from \"x.csv\" in V, in mV\n");
    assert!(ran.says(&["a log holds readings", "it is a folder", "told twice"]), "{ran:?}");
    assert_eq!(ran.status, 1);
}

#[test]
fn any_bytes_are_read_or_refused_in_words() {
    // A simple generator (Marsaglia's xorshift): the same bytes at every run.
    let mut state = 0x2545_F491_4F6C_DD1Du64;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let signs = b"0123456789.,;\t\"-+eE\n\r: |tVs#\xFF\xC3\xA9";
    let bench = Bench::with(BOOK);
    for _ in 0..40 {
        let mut bytes = if next() % 2 == 0 { b"time (s);feed (V)\n0;1\n1;2\n".to_vec() } else { Vec::new() };
        for _ in 0..next() % 2_000 {
            bytes.push(signs[(next() % signs.len() as u64) as usize]);
        }
        std::fs::write(bench.path("x.csv"), &bytes).unwrap();
        let ran = bench.judge("feed from \"x.csv\" channel 1\n");
        assert!((0..=1).contains(&ran.status) && !ran.said().contains("panicked"), "{bytes:?}: {ran:?}");
    }
}
