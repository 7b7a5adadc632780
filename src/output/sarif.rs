//! Findings as SARIF 2.1.0, the OASIS exchange format for results of static analysis. Only the parts that are used
//! stand here; names and nesting are those of the standard (OASIS, Static Analysis Results Interchange Format 2.1.0,
//! errata 01, sections 3.13 to 3.58). The schema of the same edition checks the output in CI.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::lint::checks::CHECKS;
use crate::lint::{Check, Finding, Fix, Linted};
use crate::problem::{Label, Problem, Severity};
use crate::source::Span;

use super::clean::clean;
use super::lines::Lines;

/// A log: what a run of `ruleout lint` gives.
#[derive(Clone, Debug, Serialize)]
pub struct SarifLog {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: Vec<Run>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Run {
    tool: Tool,
    column_kind: &'static str,
    artifacts: Vec<Artifact>,
    results: Vec<SarifResult>,
}

#[derive(Clone, Debug, Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Driver {
    name: &'static str,
    semantic_version: &'static str,
    rules: Vec<Rule>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule {
    id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    short_description: Option<Message>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<Message>,
    default_configuration: Configuration,
}

#[derive(Clone, Debug, Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Clone, Debug, Serialize)]
struct Message {
    text: String,
}

#[derive(Clone, Debug, Serialize)]
struct Artifact {
    location: ArtifactLocation,
}

#[derive(Clone, Debug, Serialize)]
struct ArtifactLocation {
    uri: String,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct SarifResult {
    rule_id: &'static str,
    rule_index: usize,
    level: &'static str,
    message: Message,
    locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<SarifFix>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Message>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct PhysicalLocation {
    artifact_location: ArtifactLocation,
    region: SarifRegion,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct SarifRegion {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct SarifFix {
    description: Message,
    artifact_changes: Vec<ArtifactChange>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct ArtifactChange {
    artifact_location: ArtifactLocation,
    replacements: Vec<Replacement>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: SarifRegion,
    inserted_content: Message,
}

/// The findings of a run. Every check is a rule, and so is each id of what reading the books met.
pub fn sarif(files: &[Linted]) -> SarifLog {
    let mut rules: Vec<Rule> = CHECKS.iter().map(|check| rule(check)).collect();
    let mut places: BTreeMap<&str, usize> = rules.iter().enumerate().map(|(place, rule)| (rule.id, place)).collect();
    let mut results = Vec::new();
    for file in files {
        let lines = Lines::new(&file.sources);
        for finding in &file.findings {
            let id = finding.id();
            let place = *places.entry(id).or_insert_with(|| {
                let level = level(finding.problem.severity);
                rules.push(Rule {
                    id,
                    short_description: None,
                    help: None,
                    default_configuration: Configuration { level },
                });
                rules.len() - 1
            });
            results.push(result(finding, place, &lines));
        }
    }
    let artifacts = files.iter().map(|file| Artifact { location: artifact(&file.file) }).collect();
    let driver = Driver { name: "ruleout", semantic_version: env!("CARGO_PKG_VERSION"), rules };
    SarifLog {
        schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        version: "2.1.0",
        runs: vec![Run { tool: Tool { driver }, column_kind: "unicodeCodePoints", artifacts, results }],
    }
}

fn rule(check: &Check) -> Rule {
    let page = check.page();
    Rule {
        id: check.id,
        short_description: Some(Message { text: page.finds }),
        help: Some(Message { text: page.harm }),
        default_configuration: Configuration { level: level(check.level) },
    }
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Advice => "note",
    }
}

fn result(finding: &Finding, rule_index: usize, lines: &Lines<'_>) -> SarifResult {
    let problem = &finding.problem;
    SarifResult {
        rule_id: problem.code,
        rule_index,
        level: level(problem.severity),
        message: Message { text: words(problem) },
        locations: vec![location(problem.span(), problem.labels.first(), lines)],
        related_locations: problem
            .labels
            .iter()
            .skip(1)
            .map(|label| location(label.span, Some(label), lines))
            .collect(),
        fixes: finding.fix.iter().map(|fix| fixed(fix, lines)).collect(),
    }
}

fn words(problem: &Problem) -> String {
    let help = problem.help.as_ref().map_or_else(String::new, |help| format!(": {}", clean(help)));
    format!("{}{help}", clean(&problem.message))
}

fn location(span: Span, label: Option<&Label>, lines: &Lines<'_>) -> Location {
    let said = label.map(|label| clean(&label.text).into_owned()).filter(|text| !text.is_empty());
    Location {
        physical_location: PhysicalLocation {
            artifact_location: artifact(lines.file(span)),
            region: region(span, lines),
        },
        message: said.map(|text| Message { text }),
    }
}

fn region(span: Span, lines: &Lines<'_>) -> SarifRegion {
    let at = lines.region(span);
    SarifRegion { start_line: at.line, start_column: at.column, end_line: at.end_line, end_column: at.end_column }
}

fn fixed(fix: &Fix, lines: &Lines<'_>) -> SarifFix {
    let mut by_file: BTreeMap<&str, Vec<Replacement>> = BTreeMap::new();
    for edit in &fix.edits {
        let replacement = Replacement {
            deleted_region: region(edit.span, lines),
            inserted_content: Message { text: edit.text.clone() },
        };
        by_file.entry(lines.file(edit.span)).or_default().push(replacement);
    }
    let changes = by_file
        .into_iter()
        .map(|(file, replacements)| ArtifactChange { artifact_location: artifact(file), replacements });
    SarifFix { description: Message { text: fix.says.clone() }, artifact_changes: changes.collect() }
}

fn artifact(file: &str) -> ArtifactLocation {
    ArtifactLocation { uri: uri(file) }
}

/// A path as a URI reference (RFC 3986): relative paths stay relative, all that is not unreserved is percent-encoded.
fn uri(path: &str) -> String {
    let path = path.replace('\\', "/");
    let mut out = String::from(if path.starts_with('/') { "file://" } else { "" });
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => out.push(char::from(byte)),
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_becomes_a_uri() {
        assert_eq!(uri("books/roof unit.rulebook"), "books/roof%20unit.rulebook");
        assert_eq!(uri("/srv/a#1.rulebook"), "file:///srv/a%231.rulebook");
        assert_eq!(uri("lüfter.rulebook"), "l%C3%BCfter.rulebook");
    }
}
