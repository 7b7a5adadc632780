//! The command line: a finding by meaning comes with the job that shows it; `--by name` leaves them out.

use std::process::Command;

const BOOK: &str = "rulebook \"Fan feed\"\n  language 1\n  revision 1\n  scope \"One fan\"\n  source \"common practice, no source\"\n\
                    reading supply at fan\n  unit V\n  from 0 V to 32 V\n  where \"Plug\"\n  takes 2 min\n\
                    fault open feed wire\n  \"Open wire\"\n  share 5\n  remedy \"Repair the wire.\"\n  shows supply at fan below 8 V\n  verify supply at fan above 20 V\n\
                    rule fed:\n  supply at fan above 9 V\n  rules out open feed wire\n  because \"It is fed.\"\n\
                    rule starved:\n  supply at fan below 10 V\n  implies open feed wire\n  because \"It is not fed.\"\n\
                    case starved:\n  supply at fan = 2 V\n  expect open feed wire proved\n";

fn lint(arguments: &[&str]) -> (String, i32) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("fan.rulebook"), BOOK).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    let output = command.current_dir(folder.path()).args(["lint", "fan.rulebook"]).args(arguments).output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn a_finding_by_meaning_shows_its_job() {
    let (out, code) = lint(&[]);
    assert_eq!(code, 1);
    let shown = "to see it, in `ruleout ask`:\n    supply at fan = 9.5 V\n";
    assert!(out.contains("proved-and-ruled-out") && out.contains(shown), "{out}");
}

#[test]
fn json_has_the_lines_of_the_job() {
    let (out, _) = lint(&["--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    let found = value["findings"].as_array().unwrap().iter().find(|one| one["id"] == "proved-and-ruled-out").unwrap();
    assert_eq!(found["witness"], serde_json::json!(["supply at fan = 9.5 V"]));
}

#[test]
fn by_name_leaves_them_out() {
    let (out, _) = lint(&["--by", "name"]);
    assert!(!out.contains("proved-and-ruled-out"), "{out}");
}
