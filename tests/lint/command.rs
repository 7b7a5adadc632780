//! The command line of `ruleout lint`: what it prints and how it ends.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use tempfile::TempDir;

const GOOD: &str = include_str!("../corpus/lint/clean/base.rulebook");
/// `GOOD` with a fault that `--fix` mends and one that it doesn't.
fn bad() -> String {
    GOOD.replace("  language 1\n", "").replace("  takes 1 min\n", "")
}

fn ruleout(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.current_dir(folder).args(["lint", "--by", "name"]).args(arguments).env_remove("COLUMNS");
    command
}

/// Standard output, standard error, exit status.
fn run(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let output = ruleout(folder, arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr), output.status.code().unwrap())
}

fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

#[test]
fn a_clean_book_ends_with_0_and_a_finding_with_1() {
    let folder = folder(&[("good.rulebook", GOOD), ("bad.rulebook", &bad())]);
    assert_eq!(run(folder.path(), &["good.rulebook"]), ("0 problems found in 1 file\n".into(), String::new(), 0));
    let (out, err, code) = run(folder.path(), &["bad.rulebook"]);
    assert_eq!((err.as_str(), code), ("", 1));
    assert!(out.contains("incomplete-header") && out.contains("missing-takes"), "{out}");
    assert!(out.ends_with("2 problems found in 1 file; `--fix` mends 1\n"), "{out}");
}

#[test]
fn a_missing_path_ends_with_2() {
    let folder = folder(&[("good.rulebook", GOOD)]);
    let (out, err, code) = run(folder.path(), &["good.rulebook", "gone.rulebook"]);
    assert_eq!((out.as_str(), code), ("", 2));
    assert!(err.contains("`gone.rulebook`") && err.contains("there is no such file"), "{err}");
    assert_eq!(run(folder.path(), &[]).2, 2);
}

#[test]
fn an_unreadable_file_ends_with_2_and_the_rest_is_looked_at() {
    let folder = folder(&[("bad.rulebook", &bad())]);
    std::fs::write(folder.path().join("broken.rulebook"), b"rulebook \"\xFF\"\n").unwrap();
    let (out, err, code) = run(folder.path(), &["."]);
    assert_eq!(code, 2);
    assert!(err.contains("broken.rulebook") && err.contains("line 1 is not UTF-8"), "{err}");
    assert!(out.contains("missing-takes"), "{out}");
}

#[test]
fn folders_are_walked_and_the_order_is_that_of_the_paths() {
    let folder = folder(&[
        ("b/two.rulebook", &bad()),
        ("a/one.rulebook", &bad()),
        ("a/notes.txt", "x"),
        ("skip/three.rulebook", &bad()),
        (".gitignore", "skip\n"),
    ]);
    let (out, _, code) = run(folder.path(), &[".", "b", "--format", "github"]);
    let files: Vec<&str> =
        out.lines().map(|line| line.split("file=").nth(1).unwrap().split(',').next().unwrap()).collect();
    assert_eq!(
        (files, code),
        (vec!["./a/one.rulebook", "./a/one.rulebook", "./b/two.rulebook", "./b/two.rulebook"], 1)
    );
    let again = run(folder.path(), &[".", "b", "--format", "github"]).0;
    assert_eq!(out, again);
}

#[test]
fn sarif_and_json_are_whole_on_standard_output() {
    let folder = folder(&[("bad.rulebook", &bad())]);
    for (format, count) in [("sarif", "/runs/0/results"), ("json", "/findings")] {
        let (out, err, code) = run(folder.path(), &["bad.rulebook", "--format", format]);
        let value: serde_json::Value = serde_json::from_str(&out).unwrap();
        assert_eq!(value.pointer(count).unwrap().as_array().unwrap().len(), 2);
        assert_eq!((err.as_str(), code), ("", 1));
    }
}

#[test]
fn explain_shows_the_page_and_an_unknown_id_the_nearest() {
    let folder = folder(&[]);
    let (out, _, code) = run(folder.path(), &["--explain", "missing-takes"]);
    assert_eq!(code, 0);
    for part in [
        "missing-takes (warning)",
        "Finds: ",
        "Harm: ",
        "Bad:\n    observation lamp lit",
        "Good:\n",
        "  takes 1 min",
        "# allow: missing-takes — …",
    ] {
        assert!(out.contains(part), "{part} is not in\n{out}");
    }
    let (_, err, code) = run(folder.path(), &["--explain", "mising-takes"]);
    assert_eq!(code, 2);
    assert!(err.contains("did you mean `missing-takes`?"), "{err}");
    let (_, err, code) = run(folder.path(), &[".", "--deny", "nonsense-of-mine"]);
    assert_eq!(code, 2);
    assert!(err.contains("no check is called `nonsense-of-mine`"), "{err}");
}

#[test]
fn list_names_every_check() {
    let folder = folder(&[]);
    let (out, _, code) = run(folder.path(), &["--list"]);
    assert_eq!(code, 0);
    for check in ruleout::lint::checks::CHECKS {
        assert!(out.lines().any(|line| line.starts_with(&format!("{} (", check.id))), "{}", check.id);
    }
}

#[test]
fn allow_leaves_out_and_may_end_with_0() {
    let folder = folder(&[("bad.rulebook", &bad())]);
    let (_, _, code) =
        run(folder.path(), &["bad.rulebook", "--allow", "missing-takes", "--allow", "incomplete-header"]);
    assert_eq!(code, 0);
    let (out, _, code) = run(folder.path(), &["bad.rulebook", "--deny", "missing-takes", "--format", "github"]);
    assert_eq!(code, 1);
    assert!(out.lines().any(|line| line.starts_with("::error") && line.contains("title=missing-takes")), "{out}");
}

#[test]
fn fix_writes_what_is_safe_and_says_what_is_left() {
    let folder = folder(&[("bad.rulebook", &bad())]);
    let (out, err, code) = run(folder.path(), &["bad.rulebook", "--fix"]);
    assert_eq!((err.as_str(), code), ("1 finding of `bad.rulebook` fixed\n", 1));
    assert!(out.contains("missing-takes") && !out.contains("incomplete-header"), "{out}");
    let text = std::fs::read_to_string(folder.path().join("bad.rulebook")).unwrap();
    assert_eq!(text, GOOD.replace("  takes 1 min\n", ""));
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "nothing is left beside the book");
}

#[test]
fn a_read_only_book_is_not_fixed_but_said() {
    let folder = folder(&[("bad.rulebook", &bad())]);
    let path = folder.path().join("bad.rulebook");
    let mut mode = std::fs::metadata(&path).unwrap().permissions();
    mode.set_readonly(true);
    std::fs::set_permissions(&path, mode).unwrap();
    let (_, err, code) = run(folder.path(), &["bad.rulebook", "--fix"]);
    assert_eq!(code, 2);
    assert!(err.contains("can't be written: permission is denied"), "{err}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), bad());
}

#[test]
fn a_fix_that_would_make_an_error_is_left_out() {
    // The plain name is taken by a part-less fault of the same spelling; putting the Latin letter would declare it twice.
    let text = GOOD
        .replace("  share 5\n", "  share 5\n  # s\u{435}ized fan is meant\n")
        .replace("fault seized fan", "fault s\u{435}ized fan");
    let folder = folder(&[(
        "twice.rulebook",
        &format!("{text}fault seized fan\n  \"x\"\n  share 1\n  remedy \"y\"\n  verify fan runs is yes\n"),
    )]);
    let before = std::fs::read_to_string(folder.path().join("twice.rulebook")).unwrap();
    run(folder.path(), &["twice.rulebook", "--fix"]);
    assert_eq!(std::fs::read_to_string(folder.path().join("twice.rulebook")).unwrap(), before);
}

#[test]
fn watch_looks_again_when_a_file_changes() {
    let folder = folder(&[("book.rulebook", GOOD)]);
    let mut child = ruleout(folder.path(), &["book.rulebook", "--watch", "--format", "github"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut told = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    told.read_line(&mut line).unwrap();
    assert_eq!(line, "watching 1 file; Ctrl-C ends\n");
    std::fs::write(folder.path().join("book.rulebook"), GOOD.replace("  takes 1 min\n", "")).unwrap();
    let mut found = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut found).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(found.contains("title=missing-takes"), "{found}");
}
