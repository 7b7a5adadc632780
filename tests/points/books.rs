//! "Books: paths in `use` are relative to the using file; header fields of used books are ignored; a circle is an error;
//! a name declared twice is an error with both places; cases run only when their file is named." And profiles.

use super::bench::{Bench, verdict};

#[test]
fn paths_are_relative_to_the_using_file() {
    let bench = Bench::with("  use \"a/b.rulebook\"\nfault f\nfault g\nrule r: feed below low rules out f\n");
    bench.write("a/b.rulebook", "rulebook \"b\"\n  language 1\n  use \"c/d.rulebook\"\nlimit low = 5 V\n");
    bench.write("a/c/d.rulebook", "rulebook \"d\"\n  language 1\n  use \"../e.rulebook\"\n");
    bench.write("a/e.rulebook", "rulebook \"e\"\n  language 1\nreading feed\n  unit V\n");
    assert_eq!(verdict(&bench.answer("feed = 2 V\n"), "f"), "ruled_out");
}

#[test]
fn a_file_used_twice_counts_once() {
    let bench = Bench::with("  use \"a.rulebook\"\n  use \"b.rulebook\"\nfault f\n");
    bench.write("a.rulebook", "rulebook \"a\"\n  language 1\n  use \"c.rulebook\"\n");
    bench.write("b.rulebook", "rulebook \"b\"\n  language 1\n  use \"./c.rulebook\"\n");
    bench.write("c.rulebook", "rulebook \"c\"\n  language 1\nfault g\n");
    assert_eq!(verdict(&bench.answer(""), "g"), "open");
}

#[test]
fn a_circle_is_an_error() {
    let bench = Bench::with("  use \"a.rulebook\"\nfault f\n");
    bench.write("a.rulebook", "rulebook \"a\"\n  language 1\n  use \"book.rulebook\"\n");
    let ran = bench.refused();
    assert!(ran.says(&["book/use-circle", "circle", "a.rulebook", "book.rulebook"]), "{ran:?}");
    bench.write("book.rulebook", "rulebook \"self\"\n  language 1\n  use \"book.rulebook\"\nfault f\n");
    assert!(bench.refused().says(&["book/use-circle"]));
}

#[test]
fn a_file_outside_the_folder_is_refused() {
    let bench = Bench::with("fault f\n");
    bench.write("outside.rulebook", "rulebook \"o\"\n  language 1\nfault g\n");
    bench.write("in/book.rulebook", "rulebook \"i\"\n  language 1\n  use \"../outside.rulebook\"\nfault f\n");
    let ran = bench.run(&["judge", "in/book.rulebook"], "");
    assert_eq!(ran.status, 2);
    assert!(ran.says(&["book/use-outside", "../outside.rulebook"]), "{ran:?}");
}

#[test]
fn a_missing_used_file_is_an_error_at_its_name() {
    let bench = Bench::with("  use \"none.rulebook\"\nfault f\n");
    assert!(
        bench.refused().says(&["book/use-unreadable", "none.rulebook", "book.rulebook:3:7"]),
        "{:?}",
        bench.refused()
    );
}

#[test]
fn a_name_declared_twice_is_an_error_with_both_places() {
    let bench = Bench::with("  use \"a.rulebook\"\nfault f\nreading Same  name\n  unit V\n");
    bench.write("a.rulebook", "rulebook \"a\"\n  language 1\nobservation same name\n  answers yes, no\n");
    let ran = bench.refused();
    assert!(ran.says(&["book/name-twice", "a.rulebook:3", "book.rulebook:5"]), "{ran:?}");
}

#[test]
fn of_a_duplicate_the_place_is_the_second() {
    // "An error's place is the word that is wrong; of a duplicate, the second."
    let bench = Bench::with("fault f\nfault g\nfault f\n");
    let ran = bench.refused();
    assert!(ran.says(&["book.rulebook:5:7"]), "{ran:?}");
    assert!(!ran.err.contains("book.rulebook:3:7]") || ran.err.contains("book.rulebook:5:7]"), "{ran:?}");
}

#[test]
fn headers_of_used_books_are_ignored() {
    // Two proofs with `at most 2` in the used book only: still a conflict.
    let bench = Bench::with(
        "  use \"a.rulebook\"\nobservation a\n  answers yes, no\nfault f\nfault g\nrule r: a is yes implies f\nrule s: a is yes implies g\n",
    );
    bench.write("a.rulebook", "rulebook \"a\"\n  language 1\n  at most 2 faults at once\n  uncovered share 95\n");
    let answer = bench.answer("a is yes\n");
    assert_eq!(answer["outcome"], "conflict");
    assert_eq!(answer["book"]["title"], "bench");
    let weight = bench.answer("")["verdicts"][0]["weight"].as_f64().unwrap();
    assert!((weight - 1.0 / 7.0).abs() < 1e-9, "{weight}");
}

#[test]
fn cases_run_only_when_their_file_is_named() {
    let bench = Bench::with("  use \"a.rulebook\"\nfault f\ncase here:\n  expect f open\n");
    bench.write("a.rulebook", "rulebook \"a\"\n  language 1\nfault g\ncase there:\n  expect g proved\n");
    assert_eq!(bench.run(&["cases", "book.rulebook"], "").status, 0);
    assert_eq!(bench.run(&["cases", "a.rulebook"], "").status, 1);
    assert_eq!(bench.run(&["cases", "."], "").status, 1);
}

const VARIANTS: &str = "limit low = 11 V\nlimit high = low * 2\nprofile \"24 V\"\n  limit low = 22 V\nreading feed\n  unit V\n\
                        fault f\nfault g\nrule r: feed below low rules out f\nrule s: feed below high rules out g\n";

#[test]
fn a_profile_changes_limits_and_what_rests_on_them() {
    // "`profile`: limits for another variant … chosen by `--profile` or in the job"
    let bench = Bench::with(VARIANTS);
    let verdicts = |answer: serde_json::Value| [verdict(&answer, "f"), verdict(&answer, "g")];
    assert_eq!(verdicts(bench.answer("feed = 20 V\n")), ["only_one_left", "ruled_out"]);
    let chosen =
        bench.run(&["judge", "book.rulebook", "--profile", "24 V", "--format", "json"], "feed = 20 V\n").json();
    assert_eq!(verdicts(chosen), ["ruled_out", "ruled_out"]);
    assert_eq!(verdicts(bench.answer("profile \"24 V\"\nfeed = 20 V\n")), ["ruled_out", "ruled_out"]);
    assert_eq!(verdicts(bench.answer("feed = 30 V\nprofile \"24 V\"\n")), ["only_one_left", "ruled_out"]);
}

#[test]
fn a_profile_for_no_such_limit_is_an_error() {
    let bench = Bench::with("limit low = 11 V\nprofile \"24 V\"\n  limit lowe = 22 V\nfault f\n");
    let ran = bench.lint();
    assert!(ran.status == 1 && ran.says(&["`lowe`", "`low`"]), "{ran:?}");
    let ran = bench.run(&["judge", "book.rulebook", "--profile", "24 V"], "");
    assert!(ran.status == 2 && ran.says(&["`lowe`", "`low`"]), "{ran:?}");
}

#[test]
fn an_unknown_profile_names_those_there_are() {
    let bench = Bench::with(VARIANTS);
    let ran = bench.run(&["judge", "book.rulebook", "--profile", "24V"], "");
    assert!(ran.says(&["24V", "`24 V`"]), "{ran:?}");
}

#[test]
fn a_profile_keeps_the_kind_of_a_limit() {
    let bench = Bench::with(
        "reading feed\n  unit V\nlimit low = 11 V\nprofile \"24 V\"\n  limit low = 22 ohm\nfault f\nrule r: feed below low implies f\n",
    );
    let ran = bench.lint();
    assert!(ran.status == 1 && ran.says(&["units/mismatch", "ohm"]), "{ran:?}");
}
