//! `ruleout worksheet` and `ruleout lesson`.

use super::bench::{Folder, LAMP, STORY};
use super::report::sound;

const COMPLAINT: &[&str] = &["worksheet", "lamp.rulebook", "--complaint", "the lamp stays dark"];

#[test]
fn a_worksheet_in_text() {
    let ran = Folder::new().run(COMPLAINT);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80));
    insta::assert_snapshot!("worksheet", ran.out);
}

#[test]
fn cautions_stand_before_the_first_step_in_full() {
    let ran = Folder::new().run(COMPLAINT);
    let caution = ran.out.find("The lamp burns skin minutes after it was lit.").unwrap();
    assert!(caution < ran.out.find("First of all").unwrap() && caution < ran.out.find("1. ").unwrap());
}

#[test]
fn a_worksheet_as_a_page_leads_from_step_to_step() {
    let folder = Folder::new();
    let book = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks/refrigerant-circuit.rulebook");
    let ran = folder.run(&["worksheet", &book.display().to_string(), "--format", "html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    // Every link leads to a step that is there: `sound` follows them.
    sound(&ran.out);
    assert!(ran.out.matches("<section class=\"step\"").count() > 5 && ran.out.contains("href=\"#step-2\""));
    assert!(ran.out.contains("class=\"box\"") && ran.out.contains("class=\"tick\""));
}

#[test]
fn the_worksheet_of_a_job_begins_where_the_job_stands() {
    let folder = Folder::new();
    folder.record("a.job", "van 1", &STORY[..7]);
    let ran = folder.run(&["worksheet", "lamp.rulebook", "a.job"]);
    assert_eq!(ran.status, 0, "{ran:?}");
    for said in ["\"No light on the left.\"", "battery voltage = 12.6 V, with lamp on"] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    folder.record("a.job", "van 1", STORY);
    let done = folder.run(&["worksheet", "lamp.rulebook", "--complaint", "no such complaint"]);
    assert_eq!(done.status, 2, "{done:?}");
    assert!(done.flat().contains("this book has no complaint `no such complaint`"), "{done:?}");
}

#[test]
fn limits_stand_with_their_values() {
    let folder = Folder::new();
    let book = LAMP.replace("tolerance 12.4 V to 14.7 V", "tolerance least rested to 14.7 V")
        .replace("\npart bulb\n", "\nlimit least rested = 12.4 V\n  because \"Half charged.\"\n  source \"common practice, no source\"\n\npart bulb\n")
        .replace("  supply at lamp below tolerance\n", "  supply at lamp below least rested\n");
    folder.write("lamp.rulebook", &book);
    let sheet = folder.run(COMPLAINT);
    assert!(sheet.out.contains("A sound vehicle shows: 12.4 V to 14.7 V"), "{}", sheet.out);
    let lesson = folder.run(&["lesson", "lamp.rulebook"]);
    assert!(
        lesson.flat().contains("supply at lamp below least rested (12.4 V) and fuse element is whole"),
        "{}",
        lesson.out
    );
}

#[test]
fn a_lesson_in_text() {
    let ran = Folder::new().run(&["lesson", "lamp.rulebook"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    insta::assert_snapshot!("lesson", ran.out);
}

#[test]
fn a_lesson_as_a_page_has_its_solutions_on_a_sheet_of_their_own() {
    let ran = Folder::new().run(&["lesson", "lamp.rulebook", "--format", "html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    sound(&ran.out);
    let (exercises, solutions) = ran.out.split_once("<h2>Solutions</h2>").unwrap();
    assert!(exercises.trim_end().ends_with("<div class=\"new-page\"></div>"));
    let exercises = exercises.split_once("<h2>Exercises</h2>").unwrap().1;
    assert!(!exercises.contains("Proved") && !exercises.contains("a fuse that opened"), "the label would give it away");
    assert!(solutions.contains("Proved: blown fuse.") && solutions.contains("a fuse that opened"));
    assert!(ran.out.contains("<svg") && ran.out.contains("lamp feed, with lamp on"));
}

#[test]
fn a_lesson_whose_cases_fail_says_so() {
    let folder = Folder::new();
    folder.write("lamp.rulebook", &LAMP.replace("expect blown fuse proved", "expect broken bulb proved"));
    let ran = folder.run(&["lesson", "lamp.rulebook"]);
    assert_eq!(ran.status, 1);
    assert!(ran.err.contains("its solutions may be wrong"), "{ran:?}");
}

#[test]
fn text_of_a_book_is_inert_on_both_pages() {
    let folder = Folder::new();
    let bad = "<script>alert(1)</script>\\\" onload=x <b>&";
    folder.write(
        "lamp.rulebook",
        &LAMP
            .replace("Switch on the dash.", bad)
            .replace("On the battery posts", bad)
            .replace("An open element passes nothing.", bad),
    );
    for command in [&[COMPLAINT, &["--format", "html"]].concat()[..], &["lesson", "lamp.rulebook", "--format", "html"]]
    {
        let ran = folder.run(command);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert!(ran.out.contains("&lt;script&gt;") && !ran.out.contains("<script") && !ran.out.contains("<b>"));
    }
}

#[test]
fn a_lesson_reads_the_logs_that_its_cases_name() {
    let folder = Folder::new();
    folder.write("battery.csv", "time (s),battery voltage\n0,12.6\n1,12.5\n2,12.6\n");
    let case = "case read from a log:\n  battery voltage from \"battery.csv\"\n  expect blown fuse open\n";
    folder.write("lamp.rulebook", &format!("{LAMP}\n{case}"));
    let lesson = folder.run(&["lesson", "lamp.rulebook"]);
    assert_eq!((lesson.status, lesson.err.as_str()), (0, ""));
    folder.write("lamp.rulebook", &format!("{LAMP}\n{}", case.replace("battery.csv", "another.csv")));
    assert_eq!(folder.run(&["lesson", "lamp.rulebook"]).status, 1);
}
