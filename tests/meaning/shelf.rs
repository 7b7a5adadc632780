//! Books in memory, asked by meaning.

use std::collections::BTreeSet;
use std::path::Path;

use rayon::prelude::*;
use ruleout::book::load;
use ruleout::lint::{Choice, Depth, Finding, Opened, Outside, Survey, examine, meaning};
use ruleout::problem::Severity;

use crate::text::Text;

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
    let opened = Opened::resolve(load(&Text(text.to_string()), Path::new("book.rulebook")).unwrap());
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

/// What is found in a book, in words.
pub(crate) type Found = BTreeSet<String>;

/// What the checks find in random books, by book; `one` makes that of a seed, with what of it is compared, and what brute force finds. Fails
/// where the two differ.
pub(crate) fn held_against(books: u64, one: impl Fn(u64) -> (Asked, Found, Found) + Sync) -> Vec<Found> {
    let each = |seed: u64| {
        let (asked, found, expected) = one(seed);
        assert_witnessed(&asked);
        let wrong: Vec<&String> = found.symmetric_difference(&expected).collect();
        let file = &asked.opened.loaded.sources.get(Default::default()).unwrap().text;
        let told = if wrong.is_empty() { String::new() } else { format!("{wrong:?}\n{file}\n{}", asked.told()) };
        (found, told)
    };
    let (all, told): (Vec<Found>, Vec<String>) = (1..=books).into_par_iter().map(each).unzip();
    let wrong: Vec<&str> = told.iter().map(String::as_str).filter(|told| !told.is_empty()).collect();
    assert!(wrong.is_empty(), "{} of {books}:\n{}", wrong.len(), wrong.iter().take(4).copied().collect::<String>());
    all
}
