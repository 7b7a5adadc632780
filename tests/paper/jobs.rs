//! `ruleout jobs`.

use super::bench::{Folder, LAMP, STORY};

const VAIN: &[&str] = &[
    "complaint the lamp stays dark",
    "with lamp on",
    "lamp lights is no",
    "repaired broken bulb",
    "lamp lights is no",
    "fuse element is burnt",
    "repaired blown fuse",
    "lamp lights is yes",
];

/// Three jobs and four bad files.
fn folder() -> Folder {
    let folder = Folder::new();
    folder.record_on("jobs/a.job", "lamp.rulebook", "van 12", "2026-11-20", STORY);
    folder.record_on("jobs/deep/b.job", "../../lamp.rulebook", "van 3", "2026-11-22", VAIN);
    folder.record_on("jobs/c.job", "lamp.rulebook", "Van 3 of the depot", "2026-11-23", VAIN);
    folder.record_on("jobs/d.job", "lamp.rulebook", "van 4", "2026-11-24", &STORY[..8]);
    folder.write("jobs/list.job", "milk, bread\n");
    std::fs::write(folder.path("jobs/bytes.job"), b"ruleout job record 1\n\xff\xfe").unwrap();
    folder.record_on("jobs/lost.job", "other.rulebook", "van 9", "2026-11-24", STORY);
    folder
}

#[test]
fn a_folder_is_listed_counted_and_bad_files_are_named() {
    let ran = folder().run(&["jobs", "jobs"]);
    assert_eq!(ran.status, 1, "bad files were found: {ran:?}");
    insta::assert_snapshot!("jobs", ran.out);
}

#[test]
fn parts_replaced_that_proved_good_are_counted() {
    let answer = folder().run(&["jobs", "jobs", "--format", "json"]).json();
    assert_eq!(answer["schema"], "ruleout/jobs/1");
    let tally = &answer["tally"];
    assert_eq!((&tally["jobs"], &tally["done"], &tally["minutes"]), (&3.into(), &2.into(), &26.into()));
    let vain = tally["parts_in_vain"].as_array().unwrap();
    assert_eq!(vain.len(), 1);
    assert_eq!((&vain[0]["part"], &vain[0]["in_vain"], &vain[0]["repaired"]), (&"bulb".into(), &1.into(), &2.into()));
    assert_eq!(vain[0]["jobs"][0], "jobs/c.job");
    let bulb = tally["faults"].as_array().unwrap().iter().find(|fault| fault["fault"] == "broken bulb").unwrap();
    assert_eq!((&bulb["proved"], &bulb["repaired"], &bulb["verified"]), (&1.into(), &2.into(), &1.into()));
    let bad: Vec<&str> = answer["bad"].as_array().unwrap().iter().map(|bad| bad["file"].as_str().unwrap()).collect();
    assert_eq!(bad, ["jobs/bytes.job", "jobs/deep/b.job", "jobs/list.job", "jobs/lost.job"]);
    assert!(answer["bad"][1]["why"].as_str().unwrap().contains("leads out of the job's folder"));
}

#[test]
fn books_may_lie_elsewhere() {
    let answer = folder().run(&["jobs", "jobs", "--books", ".", "--format", "json"]).json();
    assert_eq!(answer["tally"]["jobs"], 4, "{answer}");
    assert_eq!(answer["tally"]["parts_in_vain"][0]["in_vain"], 2);
}

fn files(folder: &Folder, asked: &[&str]) -> Vec<String> {
    let answer = folder.run(&[&["jobs", "jobs", "--format", "json"], asked].concat()).json();
    answer["jobs"].as_array().unwrap().iter().map(|job| job["file"].as_str().unwrap().to_string()).collect()
}

#[test]
fn jobs_are_found_by_fault_vehicle_day_and_words() {
    let folder = folder();
    assert_eq!(files(&folder, &["--fault", "Blown  fuse"]), ["jobs/c.job"]);
    assert_eq!(files(&folder, &["--vehicle", "VAN 3"]), ["jobs/c.job"]);
    assert_eq!(files(&folder, &["--since", "2026-11-23"]), ["jobs/c.job", "jobs/d.job"]);
    assert_eq!(files(&folder, &["--until", "2026-11-23", "--since", "2026-11-21"]), ["jobs/c.job"]);
    assert_eq!(files(&folder, &["--search", "no light on"]), ["jobs/a.job", "jobs/d.job"]);
    assert_eq!(files(&folder, &["--search", "nowhere said"]), Vec::<String>::new());
    let ran = folder.run(&["jobs", "jobs", "--fault", "blown fuze"]);
    assert_eq!(ran.status, 2, "{ran:?}");
    assert!(ran.flat().contains("has a fault `blown fuze`") && ran.flat().contains("`blown fuse`"), "{ran:?}");
    for day in ["yesterday", "2026-02-30", "24.12.2026"] {
        let ran = folder.run(&["jobs", "jobs", "--since", day]);
        assert!(ran.status == 2 && ran.flat().contains("is no day"), "{ran:?}");
    }
    assert_eq!(folder.run(&["jobs", "nowhere"]).status, 2);
}

#[test]
fn a_changed_line_and_another_revision_are_said() {
    let folder = folder();
    std::fs::remove_dir_all(folder.path("jobs/deep")).unwrap();
    for bad in ["list", "bytes", "lost", "d", "c"] {
        std::fs::remove_file(folder.path(&format!("jobs/{bad}.job"))).unwrap();
    }
    let quiet = folder.run(&["jobs", "jobs"]);
    assert_eq!((quiet.status, quiet.err.as_str()), (0, ""), "{quiet:?}");
    folder.write("lamp.rulebook", &LAMP.replace("revision 3", "revision 4"));
    let other = folder.run(&["jobs", "jobs"]);
    assert_eq!(other.status, 0, "{other:?}");
    assert!(other.flat().contains("recorded with another state of the book (revision 3; now revision 4)"), "{other:?}");
    folder.write("jobs/a.job", &folder.read("jobs/a.job").replace("12.6 V", "12.7 V"));
    let changed = folder.run(&["jobs", "jobs"]);
    assert_eq!(changed.status, 1);
    assert!(changed.flat().contains("was changed after it was written"), "{changed:?}");
}

#[test]
fn the_schema_of_the_list_is_kept() {
    let schema = schemars::schema_for!(ruleout::output::jobs::JobList);
    insta::assert_snapshot!("jobs_schema", serde_json::to_string_pretty(&schema).unwrap());
}

#[test]
fn records_are_listed_by_what_they_say_without_their_books() {
    let folder = folder();
    let ran = folder.run(&["jobs", "jobs", "--list"]);
    assert_eq!(ran.status, 1, "two files are no records: {ran:?}");
    for said in [
        "2026-11-20 van 12",
        "broken bulb, blown fuse repaired (jobs/deep/b.job)",
        "(jobs/lost.job)",
        "5 jobs, nothing judged",
        "jobs/list.job",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    let answer = folder.run(&["jobs", "jobs", "--list", "--fault", "Blown Fuse", "--format", "json"]).json();
    assert_eq!(answer["schema"], "ruleout/job-listing/1");
    assert_eq!(answer["jobs"].as_array().unwrap().len(), 2);
    let whole = std::fs::read_to_string(folder.path("jobs/a.job")).unwrap();
    folder.write("jobs/a.job", &whole.replace("lamp lights is no", "lamp lights is yes"));
    let ran = folder.run(&["jobs", "jobs", "--list", "--vehicle", "van 12"]);
    assert!(ran.out.contains("or one before it was changed"), "{}", ran.out);
}
