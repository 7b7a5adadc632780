//! "Exit status everywhere: 0 done and nothing wrong found (a torn last line is a warning), 1 something found (lint
//! finding, failed case, conflict, a bad sentence in a script, rows skipped), 2 could not do it (missing, unreadable or
//! refused file, wrong usage)."

use super::bench::Bench;

const BOOK: &str = "observation a\n  answers yes, no\nobservation b\n  answers yes, no\nfault f\nfault g\n\
                    rule r: a is yes implies f\nrule s: b is yes rules out f\n\
                    case right:\n  a is yes\n  expect f proved\n";

#[test]
fn nothing_wrong_is_nought() {
    let bench = Bench::with(BOOK);
    assert_eq!(bench.judge("a is yes\n").status, 0);
    assert_eq!(bench.judge("").status, 0);
    assert_eq!(bench.run(&["cases", "book.rulebook"], "").status, 0);
    assert_eq!(bench.run(&["ask", "book.rulebook"], "a is yes\n").status, 0);
    assert_eq!(bench.run(&["--help"], "").status, 0);
    assert_eq!(bench.run(&["--version"], "").status, 0);
}

#[test]
fn something_found_is_one() {
    let bench = Bench::with(BOOK);
    assert_eq!(bench.judge("a is yes\nb is yes\n").status, 1, "a conflict");
    assert_eq!(bench.judge("a is yes\nnonsense\n").status, 1, "a bad sentence");
    assert_eq!(bench.run(&["ask", "book.rulebook"], "nonsense\n").status, 1);
    bench.write("wrong.rulebook", &format!("rulebook \"w\"\n  language 1\n{BOOK}case wrong:\n  expect f proved\n"));
    assert_eq!(bench.run(&["cases", "wrong.rulebook"], "").status, 1, "a failed case");
    bench.write("broken.rulebook", "rulebook \"w\"\n  language 1\nfault f\nfault f\n");
    assert_eq!(bench.run(&["lint", "broken.rulebook"], "").status, 1, "a lint finding");
}

#[test]
fn what_could_not_be_done_is_two() {
    let bench = Bench::with(BOOK);
    bench.write("broken.rulebook", "rulebook \"w\"\n  language 1\nfault f\nfault f\n");
    bench.write("latin.rulebook", "");
    std::fs::write(bench.path("latin.rulebook"), b"rulebook \"\xe9\"\n").unwrap();
    assert_eq!(bench.run(&["judge", "missing.rulebook"], "").status, 2);
    assert_eq!(bench.run(&["judge", "book.rulebook", "missing.job"], "").status, 2);
    assert_eq!(bench.run(&["judge", "broken.rulebook"], "").status, 2, "a refused file");
    assert_eq!(bench.run(&["judge", "latin.rulebook"], "").status, 2, "an unreadable file");
    assert_eq!(bench.run(&["judge", "."], "").status, 2, "a folder");
    assert_eq!(bench.run(&["judge"], "").status, 2, "wrong usage");
    assert_eq!(bench.run(&["no-such-command"], "").status, 2, "wrong usage");
    assert_eq!(bench.run(&["judge", "book.rulebook", "--profile", "36 V"], "").status, 2, "no such profile");
    assert_eq!(bench.run(&["cases", "missing.rulebook"], "").status, 2);
    assert_eq!(bench.run(&["lint", "missing.rulebook"], "").status, 2);
    assert_eq!(bench.run(&["ask", "missing.rulebook"], "").status, 2);
}

#[test]
fn large_files_are_refused_unless_asked_for() {
    // "Files over 16 MB are refused unless `--large`."
    let bench = Bench::with(BOOK);
    let comment = format!("# {}\n", "x".repeat(1022));
    bench.write("large.rulebook", &format!("rulebook \"w\"\n  language 1\nfault f\n{}", comment.repeat(17 * 1024)));
    let ran = bench.run(&["judge", "large.rulebook"], "");
    assert_eq!(ran.status, 2);
    assert!(ran.says(&["16 MB", "--large"]), "{ran:?}");
    assert_eq!(bench.run(&["judge", "large.rulebook", "--large"], "").status, 0);
}

#[test]
fn a_bad_line_is_numbered_and_skipped_and_the_rest_judged() {
    // "A bad line on standard input of `judge` is reported with its number and skipped, the rest judged, exit 1."
    let bench = Bench::with(BOOK);
    let ran = bench.judge("# a comment\n\nnonsense here\na is yes\na is perhaps\n");
    assert_eq!(ran.status, 1);
    assert!(ran.says(&["standard input:3:", "standard input:5:6"]), "{}", ran.err);
    assert!(ran.out.contains("Proved"), "{}", ran.out);
    let answer = bench.answer("nonsense here\na is yes\n");
    assert_eq!(answer["outcome"], "proved");
    assert_eq!(answer["skipped"][0]["line"], 1, "{answer}");
}

#[test]
fn a_line_that_is_no_text_is_reported_too() {
    let bench = Bench::with(BOOK);
    let ran = bench.run_bytes(&["judge", "book.rulebook"], b"a is yes\nb is \xff\n");
    assert!(ran.status != 0 && !ran.says(&["panicked"]), "{ran:?}");
    assert!(ran.says(&["2"]) && ran.says(&["UTF-8"]), "{ran:?}");
}
