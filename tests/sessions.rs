//! Whole sessions and answers, as a person or program sees them: snapshots where layout matters.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs the command in the project's folder with these sentences on standard input; output, errors and status.
fn run(args: &[&str], input: &str) -> (String, String, i32) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(args)
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .env("NO_COLOR", "1")
        .env_remove("COLUMNS")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let done = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(done.stdout), text(done.stderr), done.status.code().unwrap())
}

const LAMP: &str = "tests/corpus/sessions/lamp.rulebook";

#[test]
fn a_job_from_complaint_to_verified_repair() {
    let sentences = "complaint the lamp stays dark\nwith lamp on\nbattery voltage = 12.6 V\nlamp lights is no\n\
                     supply at lamp = 12.5 V\nwhy broken bulb\nwhy not blown fuse\nrepaired broken bulb\nlamp lights is yes\n\
                     entries\nreport\nquit\n";
    let (out, err, status) = run(&["ask", LAMP], sentences);
    assert_eq!((err.as_str(), status), ("", 0));
    insta::assert_snapshot!("job", out);
}

#[test]
fn what_a_newcomer_mistypes() {
    let sentences = "supply at lamp = 12,5 V\nsupply at lamp = 12.5\nsupply at lamp = 12.5 ohm\nsuply at lamp = 12.5 V\n\
                     lamp lights = no\nlamp on = 3 V\nwhy bulb\nnxt\nsupply at lamp is 3 V\nwith lamp of\nlamp lights is noo\nsupply at lamp = 99 V\n";
    let (_, err, status) = run(&["ask", LAMP], sentences);
    assert_eq!(status, 1);
    insta::assert_snapshot!("mistypes", err);
}

#[test]
fn questions_before_and_after_an_entry() {
    let sentences = "what if lamp lights is no\nwhat decides blown fuse\nwith lamp on\nsupply at lamp = 12.5 V\nwhy broken bulb\n\
                     battery voltage = 12.9 V\nlamp lights is no\nwhat if fuse element is burnt\ntake back\nfaults\nhelp\n";
    let (out, err, status) = run(&["ask", LAMP], sentences);
    assert_eq!((err.as_str(), status), ("", 0));
    insta::assert_snapshot!("questions", out);
}

#[test]
fn a_judgement_for_machines() {
    let (out, _, status) = run(
        &["judge", LAMP, "--format", "json"],
        "with lamp on\nbattery voltage = 12.6 V\nlamp lights is no\nfoo = 3 V\n",
    );
    assert_eq!(status, 1, "a bad line is reported and skipped");
    let mut value: serde_json::Value = serde_json::from_str(&out).unwrap();
    value["book"]["digest"] = "of the book".into();
    insta::assert_snapshot!("judgement_json", serde_json::to_string_pretty(&value).unwrap());
}

#[test]
fn the_schema_of_the_judgement_is_kept() {
    let schema = schemars::schema_for!(ruleout::output::judgement_json::JsonJudgement);
    insta::assert_snapshot!("judgement_schema", serde_json::to_string_pretty(&schema).unwrap());
}

#[test]
fn the_shipped_job_of_the_readme_ends_in_a_proof() {
    let sentences = "complaint one condenser fan does not run\nwith battery rested\nbattery voltage = 25.2 V\nwith cooling demanded\n\
                     fan runs is no\nsecond fan runs is yes\nbattery voltage = 24.8 V\nsupply at fan connector = 24.6 V\nplug drop = 21.3 V\n\
                     repaired melted fan plug\nplug drop = 0.03 V\nfan current = 7.4 A\nfan runs is yes\n";
    let (out, err, status) = run(&["ask", "rulebooks/roof-unit-fans.rulebook"], sentences);
    assert_eq!((err.as_str(), status), ("", 0));
    for said in ["Proved: melted fan plug.", "The job is done", "all is well up to the plug and still it fails"] {
        assert!(out.contains(said), "{said}\n{out}");
    }
}

#[test]
fn a_capital_another_word_or_an_off_is_understood_or_answered() {
    let (out, err, status) = run(&["ask", LAMP], "With lamp on\nLamp lights Is no\nwith lamp off\nundo\nexit\n");
    assert_eq!(status, 1);
    assert!(out.contains("set up: with lamp on") && out.contains("lamp lights is no entered as entry 1"), "{out}");
    for said in ["type `without lamp on`", "here that is `take back`", "here that is `quit`"] {
        assert!(err.contains(said), "{said}: {err}");
    }
}

#[test]
fn an_entry_says_at_once_that_its_tolerance_waits_for_another_reading() {
    let fans = "rulebooks/roof-unit-fans.rulebook";
    let sentences = "with ignition on\nbattery voltage = 25.1 V\nwith cooling demanded\nsupply at fan connector = 14.1 V\n\
                     battery voltage = 24.9 V\nsupply at fan connector = 14.0 V\n";
    let (out, _, _) = run(&["ask", fans], sentences);
    let one_line = out.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in ["retake battery voltage with cooling demanded", "out of tolerance, 14 V"] {
        assert!(one_line.contains(said), "{said}: {out}");
    }
}

#[test]
fn the_customers_words_bring_the_complaints_nearest_to_them() {
    let (out, _, _) =
        run(&["ask", "rulebooks/roof-unit-fans.rulebook"], "complaint \"Batteries flat every morning.\"\n");
    let list = out.split("as `complaint …`:").nth(1).unwrap();
    assert_eq!(list.trim().lines().next().unwrap().trim(), "batteries flat in the morning", "{out}");
}

#[test]
fn a_replaced_entry_on_which_a_proof_rested_is_named() {
    let sentences = "with lamp on\nbattery voltage = 12.6 V\nsupply at lamp = 12.5 V\nlamp lights is no\nlamp lights is yes\ntake back\n";
    let (out, _, _) = run(&["ask", LAMP], sentences);
    let one_line = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        one_line.contains("the proof of broken bulb rested on what this replaces; `take back` restores it"),
        "{out}"
    );
}

#[test]
fn the_profile_of_a_books_header_is_told_and_gives_way_to_the_job() {
    let (out, _, _) =
        run(&["ask", "tests/corpus/points/15-profile.rulebook"], "feed = 12.4 V\nprofile \"24 V\"\nfaults\n");
    let faults = out.split("limits for 12 V").nth(1).unwrap();
    assert!(faults.contains("Proved: open wire"), "{out}");
}

#[test]
fn what_is_not_something_reads_as_one_answer() {
    let sentences = "with cooling demanded\nfan runs is no\nwhat decides burnt relay contact\n";
    let (out, _, _) = run(&["ask", "rulebooks/roof-unit-fans.rulebook"], sentences);
    assert!(out.contains("fan runs is not yes: yes") && !out.contains("not so: yes"), "{out}");
    let (proves, elsewhere) = (out.find("prove it").unwrap(), out.find("say that it is another").unwrap());
    assert!(proves < elsewhere, "proofs stand first: {out}");
}

#[test]
fn a_line_that_was_meant_as_a_sentence_is_answered_with_that_sentence() {
    let fans = "rulebooks/roof-unit-fans.rulebook";
    let sentences = "battery voltage 25.1 V\nignition on\nfan runs slowly\nfan slowly\nBoth Batteries\nwith failing fan = rear\n\
         fan runs is not\nfan runs badly\n";
    let (_, err, status) = run(&["ask", fans], sentences);
    assert_eq!(status, 1);
    for said in [
        "type `battery voltage = 25.1 V`",
        "type `with ignition on`",
        "type `fan runs is slowly`",
        "type `complaint fan runs slowly or cuts out`",
        "`=` does not stand here",
        "type `fan runs is no`",
        "its answers are `yes`, `slowly`, `no`: type for example",
    ] {
        assert!(err.contains(said), "{said}: {err}");
    }
}

#[test]
fn what_the_customer_says_is_taken_for_that_while_nothing_is_complained_of() {
    let book = ["ask", "rulebooks/compressor-clutch.rulebook"];
    let (_, err, _) = run(&book, "the ac clutch does not come in\n");
    let told: String = err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("type `complaint does not cool and the clutch stands still`"), "{err}");
    assert!(told.contains("or in quotes: `complaint \"the ac clutch does not come in\"`"), "{err}");
    let (_, err, _) = run(
        &book,
        "complaint does not cool and the clutch stands still\nthe ac clutch does not come in\nbattery voltage 12.6\n",
    );
    assert!(!err.contains("customer") && err.contains("type `battery voltage = 12.6 V`"), "{err}");
}

#[test]
fn a_caution_that_two_steps_share_is_said_once() {
    let book = ["ask", "rulebooks/compressor-clutch.rulebook"];
    let shared = "Fans, belts and pulleys can start by themselves";
    for (sentences, words) in [
        ("with cooling demanded, engine running\n", shared),
        ("with engine running\nwithout engine running\nwith cooling demanded, engine running\n", "moving parts: hands"),
    ] {
        let (out, _, _) = run(&book, sentences);
        assert_eq!(out.matches(words).count(), 1, "{sentences}: {out}");
    }
}

#[test]
fn of_names_that_the_book_lacks_the_nearest_are_listed_first() {
    let (_, err, status) = run(&["ask", "rulebooks/roof-unit-fans.rulebook"], "complaint the bus cools badly\n");
    assert_eq!(status, 1);
    let listed = err.split("it has `").nth(1).unwrap_or_default();
    assert!(listed.starts_with("cools badly though both fans turn`"), "{err}");
    assert!(err.contains("and others; Tab completes names"), "{err}");
}

const ROOF: &str = "rulebooks/roof-unit-fans.rulebook";
const DONE: &str = "rulebooks/jobs/burnt-contact.job";

#[test]
fn a_job_that_is_done_is_told_so_when_it_is_taken_up_again() {
    let (out, err, status) = run(&["next", ROOF, DONE], "");
    assert_eq!((out.trim_end().lines().count(), status), (1, 0), "{out}{err}");
    assert!(out.starts_with("The job is done: nothing is left to measure."), "{out}");
    let (out, ..) = run(&["next", "--format", "json", ROOF, DONE], "");
    assert!(out.contains("\"tests\": []") || out.contains("\"tests\":[]"), "{out}");
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("done.job");
    std::fs::copy(DONE, &copy).unwrap();
    let (out, err, _) = run(&["ask", ROOF, "--job", &copy.display().to_string()], "");
    assert!(out.contains("The job is done: repaired, verified, the complaint gone;"), "{out}{err}");
    assert!(out.contains("Complained of: ") && !out.contains("Nothing of this is kept"), "{out}");
}

#[test]
fn a_job_of_another_book_is_told_so() {
    let (_, err, _) = run(&["next", "rulebooks/radiator-fans.rulebook", DONE], "");
    assert!(err.contains("this job was recorded with another book"), "{err}");
}

#[test]
fn an_entry_with_its_own_setup_leaves_the_setup_as_it_is_and_says_so() {
    let (out, ..) =
        run(&["ask", ROOF], "with battery rested\nsupply at fan connector = 6 V with cooling demanded\nentries\n");
    assert!(out.contains("this ends `battery rested`, for this entry only"), "{out}");
    assert!(out.contains("(battery rested) > entries"), "{out}");
}

#[test]
fn what_decides_nothing_is_not_said_to_count() {
    let sentences =
        "with cooling demanded\nsupply at fan connector = 6 V\nwith battery rested\nsupply at fan connector = 0 V\n";
    let (out, ..) = run(&["ask", ROOF], sentences);
    assert!(out.contains("is kept but decides nothing") && !out.contains("both count"), "{out}");
}

#[test]
fn a_record_in_a_folder_that_is_not_there_names_the_folder() {
    let (_, err, status) = run(&["ask", ROOF, "--job", "not-there/bus7.job"], "");
    assert!(err.contains("its folder is not there") && status == 2, "{err}");
}

#[test]
fn a_word_that_begins_no_sentence_is_told_so() {
    let (_, err, status) = run(&["ask", LAMP], "verdict\n");
    assert!(err.contains("`verdict` begins no sentence") && err.contains("`help` lists") && status == 1, "{err}");
}

#[test]
fn completion_and_hints_know_where_they_stand() {
    use ruleout::repl::editor::Vocabulary;
    let disk = ruleout::cli::Disk::of(Path::new(LAMP), &ruleout::cli::ReadingArgs::default());
    let (book, _) = ruleout::book::load(&disk, Path::new(LAMP)).unwrap().resolve(None);
    let words = Vocabulary::of(&book);
    assert_eq!(words.complete("why not Br"), (8, vec!["broken bulb".to_string()]));
    assert_eq!(words.complete("Lamp lights is d"), (15, vec!["dim".to_string()]));
    assert_eq!(words.complete("with lamp on, l"), (14, vec!["lamp on".to_string()]));
    assert_eq!(words.complete("complaint "), (10, vec!["the lamp stays dark".to_string()]));
    assert_eq!(words.hint("battery voltage = 12.6").as_deref(), Some(" V"));
    assert_eq!(words.hint("battery v").as_deref(), Some("oltage = "));
    // Capitals that grow when they are made small: the place must stay inside what was typed.
    let typed = "with \u{130}\u{130}\u{130}\u{130}, ";
    assert_eq!(words.complete(typed).0, typed.len());
}
