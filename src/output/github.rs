//! Findings as the workflow commands by which a CI run of that hosting service marks lines: one line a finding,
//! `::warning file=…,line=…,col=…,title=…::message`. Source: the service's public page on workflow commands; escapes as
//! its own toolkit writes them (from memory).

use crate::lint::Linted;
use crate::problem::{Problem, Severity};

use super::clean::clean;
use super::lines::Lines;

/// All findings, in order.
pub fn annotations(files: &[Linted]) -> String {
    let mut out = String::new();
    for file in files {
        let lines = Lines::new(&file.sources);
        for finding in &file.findings {
            out.push_str(&annotation(&finding.problem, &lines));
            out.push('\n');
        }
    }
    out
}

fn annotation(problem: &Problem, lines: &Lines<'_>) -> String {
    let level = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Advice => "notice",
    };
    let span = problem.span();
    let region = lines.region(span);
    let help = problem.help.as_ref().map_or_else(String::new, |help| format!(" — {help}"));
    let message = format!("{}{help}", problem.message);
    // A column range is only understood on one line.
    let end_column =
        if region.line == region.end_line { format!(",endColumn={}", region.end_column) } else { String::new() };
    format!(
        "::{level} file={},line={},endLine={},col={}{end_column},title={}::{}",
        property(lines.file(span)),
        region.line,
        region.end_line,
        region.column,
        property(problem.code),
        data(&message),
    )
}

fn data(text: &str) -> String {
    // Line ends are escaped by hand; all else that can't be seen is written out.
    let lines: Vec<String> =
        text.split('\n').map(|line| clean(line.trim_end_matches('\r')).replace('%', "%25")).collect();
    lines.join("%0A")
}

fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_from_a_book_ends_a_command() {
        assert_eq!(data("50 %\n::error::x"), "50 %25%0A::error::x");
        assert_eq!(property("a:b,c\u{1b}"), "a%3Ab%2Cc\\u{1b}");
    }
}
