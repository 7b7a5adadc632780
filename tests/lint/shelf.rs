//! Books in memory, and what lint says of them in a few words.

use std::collections::BTreeMap;
use std::path::Path;

use ruleout::book::load::plain;
use ruleout::book::{Library, load};
use ruleout::lint::{self, Choice, Linted, Opened};

/// Texts by path.
pub(crate) struct Shelf(BTreeMap<String, String>);

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        self.0.get(&plain(path).display().to_string()).cloned().ok_or_else(|| "there is no such file".into())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// Lints files of a run, given as path and text; the paths in `named` are looked at.
pub(crate) fn lint_files(files: &[(&str, &str)], named: &[&str], choice: &Choice) -> Vec<Linted> {
    let shelf = Shelf(files.iter().map(|(path, text)| (path.to_string(), text.to_string())).collect());
    let opened: Vec<Opened> =
        named.iter().map(|path| Opened::resolve(load(&shelf, Path::new(path)).unwrap())).collect();
    let outside = lint::outside(&opened);
    let each = opened.iter().zip(&outside).map(|(file, outside)| {
        let (findings, survey) = lint::examine(file, outside, choice);
        Linted {
            file: file.loaded.file.clone(),
            sources: file.loaded.sources.clone(),
            findings,
            survey,
            passed_over: false,
        }
    });
    each.collect()
}

/// Lints one text.
pub(crate) fn lint(text: &str) -> Linted {
    lint_files(&[("book.rulebook", text)], &["book.rulebook"], &Choice::default()).remove(0)
}

/// `(line, id)` of all findings, in order.
pub(crate) fn found(linted: &Linted) -> Vec<(usize, &'static str)> {
    linted.findings.iter().map(|finding| (linted.sources.line_column(finding.problem.span()).0, finding.id())).collect()
}

/// Findings drawn in a line each, for messages of failing tests.
pub(crate) fn told(linted: &Linted) -> String {
    let each = linted.findings.iter().map(|f| {
        let problem = &f.problem;
        format!(
            "{}: {} [{}] {}\n",
            linted.sources.place(problem.span()),
            problem.message,
            problem.code,
            problem.help.clone().unwrap_or_default()
        )
    });
    each.collect()
}
