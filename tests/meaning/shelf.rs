//! Books in memory, asked by meaning.

use std::path::Path;

use ruleout::book::{Library, load};
use ruleout::lint::{Choice, Depth, Finding, Opened, Outside, Survey, examine, meaning};
use ruleout::problem::Severity;

struct One(String);

impl Library for One {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// A book with what was found by meaning.
pub(crate) struct Asked {
    pub(crate) opened: Opened,
    pub(crate) findings: Vec<Finding>,
    pub(crate) survey: Survey,
}

impl Asked {
    /// The findings of one check.
    pub(crate) fn of(&self, id: &str) -> Vec<&Finding> {
        self.findings.iter().filter(|finding| finding.id() == id).collect()
    }

    /// Their messages.
    pub(crate) fn said(&self, id: &str) -> Vec<&str> {
        self.of(id).iter().map(|finding| finding.problem.message.as_str()).collect()
    }

    /// Every finding with its witness, for messages of failing tests.
    pub(crate) fn told(&self) -> String {
        let each = self.findings.iter().map(|finding| {
            let lines = finding.witness.as_ref().map_or_else(|| "no witness".into(), |w| w.lines.join("; "));
            format!("[{}] {} | {lines}\n", finding.id(), finding.problem.message)
        });
        each.collect()
    }
}

/// Asks a whole book; it must have no errors.
pub(crate) fn ask(text: &str) -> Asked {
    let opened = Opened::resolve(load(&One(text.to_string()), Path::new("book.rulebook")).unwrap());
    asked(opened)
}

/// Asks an opened book.
pub(crate) fn asked(opened: Opened) -> Asked {
    let errors: Vec<_> = opened.problems.iter().filter(|p| p.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let choice = Choice { depth: Depth::Meaning, ..Choice::default() };
    let (mut findings, survey) = examine(&opened, &Outside::default(), &choice);
    findings.retain(|finding| meaning::CHECKS.iter().any(|check| check.id == finding.id()));
    Asked { opened, findings, survey: survey.unwrap() }
}

/// Holds every witness against the real judge; every finding must have one.
#[track_caller]
pub(crate) fn assert_witnessed(asked: &Asked) {
    for finding in &asked.findings {
        let witness = finding.witness.as_ref().unwrap_or_else(|| panic!("no witness:\n{}", asked.told()));
        let book = asked.opened.loaded.resolve(witness.profile.as_deref()).0;
        assert!(!witness.lines.is_empty() && witness.holds(&book), "{finding:#?}");
    }
}
