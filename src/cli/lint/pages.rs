//! The list of checks and the help page of each.

use crate::lint::{self, Check, HelpPage};
use crate::output::Page;
use crate::output::lint_json::level;

use super::super::{Exit, out};

/// Lists every check with what it finds.
pub(super) fn list() -> Exit {
    let mut page = Page::new();
    for check in lint::all_checks() {
        let help = check.page();
        page.line(0, heading(check, &help)).line(1, first_sentence(&help.finds));
    }
    out::page(&page);
    Exit::Done
}

/// The help page of a check.
pub(super) fn explain(id: &str) -> Exit {
    let Some(check) = lint::find(id) else {
        let mut page = Page::new();
        page.line(
            0,
            format!("`{id}` is met when a book is read; what to type instead stands beside it where it is found"),
        );
        out::page(&page);
        return Exit::Done;
    };
    let help = check.page();
    let mut page = Page::new();
    page.line(0, heading(check, &help)).gap();
    page.line(0, format!("Finds: {}", help.finds)).gap();
    page.line(0, format!("Harm: {}", help.harm)).gap();
    if let Some(fix) = &help.fix {
        page.line(0, format!("Fix: {fix}")).gap();
    }
    out::page(&page);
    // Examples are lines of a rulebook and keep their own.
    out::text(&format!("Bad:\n{}\nGood:\n{}", indented(&help.bad), indented(&help.good)));
    out::text(&format!("\nTo allow it at a line, with the reason: # allow: {id} — …\n"));
    Exit::Done
}

fn heading(check: &Check, help: &HelpPage) -> String {
    let fix = if help.fix.is_some() { ", `--fix` mends it" } else { "" };
    format!("{} ({}{fix})", check.id, level(check.level))
}

fn first_sentence(text: &str) -> &str {
    text.split_once(". ").map_or(text, |(first, _)| first).trim_end_matches('.')
}

fn indented(example: &str) -> String {
    example.lines().map(|line| format!("    {line}\n")).collect()
}
