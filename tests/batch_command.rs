//! `ruleout batch` as it is typed: a table, lines of JSON, a folder; what can't be taken is named and counted.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn book() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks/roof-unit-fans.rulebook")
}

fn batch(folder: &Path, input: &str, format: &str) -> (Output, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.arg("batch").arg(book()).arg(input).args(["--format", format]).current_dir(folder);
    let output = command.output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    (output, out, err)
}

fn written(name: &str, text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join(name), text).unwrap();
    folder
}

const TABLE: &str = "job,with,battery voltage,fuse element,\"supply at fan connector with relay swapped\",second fan runs\n\
    bus 12,cooling demanded,24.8,blown,,yes\n\
    bus 14,cooling demanded,24.8,whole,4.20 V,yes\n\
    bus 15,cooling demanded,24.8 ohm,whole,,yes\n\
    bus 16,warm day,24.8,whole,,yes\n\
    \"bus 17, spare\",cooling demanded,,,,\n";

#[test]
fn a_table_is_judged_row_by_row_and_bad_rows_are_named() {
    let folder = written("jobs.csv", TABLE);
    let (output, out, err) = batch(folder.path(), "jobs.csv", "csv");
    assert_eq!(output.status.code(), Some(1), "{err}");
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines[0], "job,outcome,proved,open,conflict");
    assert_eq!(lines.len(), 4, "{out}");
    assert!(lines[1].starts_with("bus 12,open,,") && lines[1].contains("blown fan fuse"), "{}", lines[1]);
    assert!(lines[1].len() < lines[3].len(), "more is ruled out than by nothing:\n{out}");
    assert!(lines[2].starts_with("bus 14,open,"), "{}", lines[2]);
    assert!(lines[3].starts_with("\"bus 17, spare\",open,"), "{}", lines[3]);
    assert!(err.contains("row 4: `battery voltage`: `battery voltage` is a voltage, found a resistance"), "{err}");
    assert!(err.contains("row 5: setup `warm day`: this book has no state or change `warm day`"), "{err}");
    assert!(err.ends_with("3 jobs judged, 0 of them one by one; 2 skipped\n"), "{err}");
}

#[test]
fn lines_of_json_come_to_what_judge_says_of_each() {
    let lines = [
        r#"{"job": "a", "complaint": "one condenser fan does not run", "with": "cooling demanded", "entries": {"battery voltage": 24.80, "fuse element": "blown"}}"#,
        r#"{"job": "b", "entries": {"fuse element": "molten"}}"#,
        r#"{"job": "c", "entris": {}}"#,
        r#"{"job": "d", "with": "cooling demanded", "entries": {"fan runs": false, "battery voltage": null, "second fan runs": true}}"#,
        "not json",
    ];
    let folder = written("jobs.ndjson", &(lines.join("\n") + "\n"));
    let (output, out, err) = batch(folder.path(), "jobs.ndjson", "ndjson");
    assert_eq!(output.status.code(), Some(1));
    let answers: Vec<serde_json::Value> = out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(answers.len(), 2, "{out}\n{err}");
    let sentences = [
        "complaint one condenser fan does not run\nwith cooling demanded\nbattery voltage = 24.80 V\nfuse element is blown\n",
        "with cooling demanded\nfan runs is no\nsecond fan runs is yes\n",
    ];
    for (answer, sentences) in answers.iter().zip(sentences) {
        let folder = written("job.txt", sentences);
        let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
        command.arg("judge").arg(book()).arg("job.txt").args(["--format", "json"]).current_dir(folder.path());
        let judged: serde_json::Value = serde_json::from_slice(&command.output().unwrap().stdout).unwrap();
        assert_eq!(answer["outcome"], judged["outcome"]);
        let open: Vec<&serde_json::Value> = judged["verdicts"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|verdict| verdict["verdict"] == "open")
            .map(|verdict| &verdict["fault"])
            .collect();
        assert!(open.len() > 1);
        assert_eq!(answer["open"].as_array().unwrap().iter().collect::<Vec<_>>(), open);
    }
    assert!(err.contains("line 2: `fuse element`: `fuse element` is never answered `molten`"), "{err}");
    assert!(err.contains("line 3: unknown field `entris`"), "{err}");
    assert!(err.contains("line 5: ") && err.ends_with("2 jobs judged, 0 of them one by one; 3 skipped\n"), "{err}");
}

#[test]
fn a_folder_of_jobs_is_judged_in_order_of_names() {
    let folder = written("2.txt", "fuse element is blown\n");
    let inside = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    inside("1.txt", "with cooling demanded\nfan runs is yes\nsecond fan runs is yes\n");
    inside("3.txt", "fuse elemnt is blown\n");
    let (output, out, err) = batch(folder.path(), ".", "ndjson");
    assert_eq!(output.status.code(), Some(1));
    let names: Vec<String> = out
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap()["job"].as_str().unwrap().to_string())
        .collect();
    assert_eq!(names, ["1.txt", "2.txt"]);
    assert!(err.contains("3.txt: line 1: this book has no reading or observation `fuse elemnt`"), "{err}");
    assert!(err.ends_with("2 jobs judged, 2 of them one by one; 1 skipped\n"), "{err}");
}

#[test]
fn wrong_headings_and_wrong_files_are_refused() {
    let folder = written("jobs.csv", "job,supply at fan conector\nbus 12,24.8\n");
    let (output, out, err) = batch(folder.path(), "jobs.csv", "text");
    assert_eq!((output.status.code(), out.as_str()), (Some(2), ""));
    assert!(err.contains("`supply at fan connector`"), "{err}");
    let (output, _, err) = batch(folder.path(), "none.csv", "text");
    assert_eq!(output.status.code(), Some(2));
    assert!(err.contains("there is no such file"), "{err}");
    let (output, _, err) = batch(folder.path(), "jobs.xls", "text");
    assert_eq!(output.status.code(), Some(2));
    assert!(err.contains(".ndjson"), "{err}");
}

#[test]
fn what_a_spreadsheet_would_reckon_out_is_written_as_text() {
    let folder = written("jobs.csv", "job,fuse element\n=1+1,blown\n");
    let (output, out, _) = batch(folder.path(), "jobs.csv", "csv");
    assert_eq!(output.status.code(), Some(0));
    assert!(out.lines().nth(1).unwrap().starts_with("'=1+1,"), "{out}");
}

#[test]
fn circuits_are_left_out_where_that_is_asked_and_it_is_said() {
    let folder = written("jobs.csv", TABLE);
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.arg("batch").arg(book()).args(["jobs.csv", "--without-circuits"]).current_dir(folder.path());
    let err = String::from_utf8(command.output().unwrap().stderr).unwrap();
    assert!(err.ends_with("3 jobs judged, 0 of them one by one; 2 skipped; circuits left out\n"), "{err}");
}
