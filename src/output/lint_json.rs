//! Findings for machines: JSON of a versioned shape. Places count lines and columns from 1, columns in characters; an
//! edit also says its bytes.

use schemars::JsonSchema;
use serde::Serialize;

use crate::lint::{Finding, Fix, Linted};
use crate::problem::{Label, Severity};
use crate::source::Span;

use super::clean::clean;
use super::lines::Lines;

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/lint/1";

/// A place in a file.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonPlace {
    /// The file, as given.
    pub file: String,
    /// Line of the first character, from 1.
    pub line: usize,
    /// Its column, in characters from 1.
    pub column: usize,
    /// Line of the end.
    pub end_line: usize,
    /// Column one past the last character.
    pub end_column: usize,
    /// Its first byte.
    pub start: u32,
    /// One past its last byte.
    pub end: u32,
}

/// A further place with its words.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonLabel {
    /// Where.
    pub place: JsonPlace,
    /// What is there.
    pub text: String,
}

/// Words put in the place of others.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonEdit {
    /// What goes.
    pub place: JsonPlace,
    /// What comes.
    pub text: String,
}

/// A safe fix.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonFix {
    /// What it does.
    pub says: String,
    /// All of it is done, or nothing.
    pub edits: Vec<JsonEdit>,
}

/// One finding.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonFinding {
    /// The check's id, or `phase/what-is-wrong` of what reading the book met.
    pub id: &'static str,
    /// `error`, `warning`, `advice`.
    pub level: &'static str,
    /// Where.
    pub place: JsonPlace,
    /// What is wrong.
    pub message: String,
    /// What to type instead.
    pub help: Option<String>,
    /// Further places.
    pub also: Vec<JsonLabel>,
    /// A safe fix, where there is one.
    pub fix: Option<JsonFix>,
    /// The lines of a little job that shows it; only findings by meaning have one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub witness: Option<Vec<String>>,
}

/// Questions by meaning that were not decided.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonUndecided {
    /// The file, as given.
    pub file: String,
    /// The check's id.
    pub id: &'static str,
    /// How many of its questions.
    pub questions: usize,
}

/// A run of `ruleout lint`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonLint {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The files looked at, in order.
    pub files: Vec<String>,
    /// What was found, by file and place.
    pub findings: Vec<JsonFinding>,
    /// What was asked by meaning and not decided, by file and check.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub undecided: Vec<JsonUndecided>,
}

/// The findings of a run.
pub fn json_lint(files: &[Linted]) -> JsonLint {
    let mut findings = Vec::new();
    for file in files {
        let lines = Lines::new(&file.sources);
        findings.extend(file.findings.iter().map(|finding| one(finding, &lines)));
    }
    let undecided = files.iter().flat_map(|file| {
        let open = file.survey.iter().flat_map(|survey| &survey.open);
        open.map(|(id, questions)| JsonUndecided { file: clean(&file.file).into_owned(), id, questions: *questions })
    });
    JsonLint {
        schema: SCHEMA,
        files: files.iter().map(|file| clean(&file.file).into_owned()).collect(),
        findings,
        undecided: undecided.collect(),
    }
}

fn one(finding: &Finding, lines: &Lines<'_>) -> JsonFinding {
    let problem = &finding.problem;
    let label = |label: &Label| JsonLabel { place: place(label.span, lines), text: clean(&label.text).into_owned() };
    JsonFinding {
        id: problem.code,
        level: level(problem.severity),
        place: place(problem.span(), lines),
        message: clean(&problem.message).into_owned(),
        help: problem.help.as_ref().map(|help| clean(help).into_owned()),
        also: problem.labels.iter().skip(1).map(label).collect(),
        fix: finding.fix.as_ref().map(|fix| self::fix(fix, lines)),
        witness: finding
            .witness
            .as_ref()
            .map(|witness| witness.typed().iter().map(|line| clean(line).into_owned()).collect()),
    }
}

fn fix(fix: &Fix, lines: &Lines<'_>) -> JsonFix {
    let edits = fix.edits.iter().map(|edit| JsonEdit { place: place(edit.span, lines), text: edit.text.clone() });
    JsonFix { says: fix.says.clone(), edits: edits.collect() }
}

fn place(span: Span, lines: &Lines<'_>) -> JsonPlace {
    let region = lines.region(span);
    JsonPlace {
        file: clean(lines.file(span)).into_owned(),
        line: region.line,
        column: region.column,
        end_line: region.end_line,
        end_column: region.end_column,
        start: span.start,
        end: span.end,
    }
}

/// A level as JSON spells it.
pub fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Advice => "advice",
    }
}
