//! Findings for people: each drawn into its book, with the little job that shows it below, ready to be pasted.

use std::fmt::Write;

use crate::lint::{Linted, Survey};
use crate::problem::Problem;

use super::clean::clean;
use super::diagnostic::{MOST_DRAWN, Style, draw};
use super::words::counted;

/// The findings of one file, the first hundred in full, and what was not decided.
pub fn findings(linted: &Linted, style: Style) -> String {
    let mut out = String::new();
    for finding in linted.findings.iter().take(MOST_DRAWN) {
        let problem: &Problem = &finding.problem;
        out.push_str(&draw(problem, &linted.sources, style));
        if let Some(witness) = &finding.witness {
            out.push_str("  to see it, in `ruleout ask`:\n");
            for line in witness.typed() {
                let _written = writeln!(out, "    {}", clean(&line));
            }
        }
        out.push('\n');
    }
    if linted.findings.len() > MOST_DRAWN {
        let _written = writeln!(out, "and {} more", linted.findings.len() - MOST_DRAWN);
    }
    if let Some(survey) = linted.survey.as_ref().filter(|survey| survey.total() > 0) {
        out.push_str(&undecided(&linted.file, survey));
    }
    out
}

/// What was asked by meaning and not decided.
pub fn undecided(file: &str, survey: &Survey) -> String {
    let each: Vec<String> = survey.open.iter().map(|(id, count)| format!("{count} of {id}")).collect();
    let what = counted(survey.total(), "question", "questions");
    format!("{}: {what} not decided by meaning: {}\n", clean(file), each.join(", "))
}
