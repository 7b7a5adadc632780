//! Names and answers in cases that the book doesn't have.

use crate::book::{Book, Symbol, unknown_name};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::problem::did_you_mean;
use crate::syntax::tree::{EntryWords, Expected, FieldBody, Name, SetupItem, Statement, Value, is_alike};
use crate::syntax::words::DeclarationWord;

check! {
    /// Finds: a name in a `case` that the book doesn't declare, or declares as something else; an answer that an
    /// observation never gets.
    ///
    /// Harm: the line enters or expects nothing, and `ruleout cases` counts the case as failed.
    ///
    /// Bad:
    /// ```rulebook
    /// case the fan stands still:
    ///   fan runs is no
    ///   expect open feed wyre open
    /// ```
    /// Good:
    /// ```rulebook
    /// case the fan stands still:
    ///   fan runs is no
    ///   expect open feed wire open
    /// ```
    "unknown-name-in-case", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let fields = subject.of(DeclarationWord::Case).flat_map(|case| &case.fields);
    for field in fields {
        if let FieldBody::Statement(statement) = &field.body {
            Names { book: subject.book, found }.statement(statement);
        }
    }
}

struct Names<'a> {
    book: &'a Book,
    found: &'a mut Findings,
}

impl Names<'_> {
    fn statement(&mut self, statement: &Statement) {
        match statement {
            Statement::Setup(items) | Statement::ThatWas(items, _) => self.items(items),
            Statement::Entry(entry) => self.entry(entry),
            Statement::Complaint(name) => self.complaint(name),
            Statement::Repaired(name) => self.fault(name),
            Statement::CannotReach(name) => self.indication(name),
            Statement::Expect(expected, _) => {
                for one in expected {
                    if let Expected::Fault(name, _) = one {
                        self.fault(name);
                    }
                }
            }
            _ => {}
        }
    }

    fn items(&mut self, items: &[SetupItem]) {
        for item in items {
            if !matches!(self.book.symbol(&item.name.text), Some(Symbol::Setting(_))) {
                self.add(&item.name, "a state or change", self.book.settings.iter().map(|s| s.name.as_str()));
            }
        }
    }

    fn entry(&mut self, entry: &EntryWords) {
        self.items(&entry.setup);
        self.indication(&entry.name);
        let Value::Word(word) = &entry.value else { return };
        let observation = self.book.find_indication(&entry.name.text).map(|id| self.book.indication(id));
        let Some(answers) = observation.and_then(|one| one.observation()).map(|one| &one.answers) else { return };
        if !answers.iter().any(|answer| is_alike(answer, &word.text)) {
            let near = did_you_mean(&word.text, answers.iter().map(String::as_str));
            let message = format!("`{}` is never answered `{}`", entry.name.text, word.text);
            let help = near.unwrap_or_else(|| format!("its answers are `{}`", answers.join("`, `")));
            self.found.add(Finding::at(word.span, message).help(help));
        }
    }

    fn indication(&mut self, name: &Name) {
        if self.book.find_indication(&name.text).is_none() {
            self.add(name, "a reading or observation", self.book.indications.iter().map(|i| i.name.as_str()));
        }
    }

    fn complaint(&mut self, name: &Name) {
        if !matches!(self.book.symbol(&name.text), Some(Symbol::Complaint(_))) {
            self.add(name, "a complaint", self.book.complaints.iter().map(|c| c.name.as_str()));
        }
    }

    fn fault(&mut self, name: &Name) {
        if self.book.find_fault(&name.text).is_none() {
            self.add(name, "a fault", self.book.faults.iter().map(|f| f.name.as_str()));
        }
    }

    fn add<'n>(&mut self, name: &Name, wanted: &str, known: impl Iterator<Item = &'n str>) {
        let problem = unknown_name(name, wanted, known);
        let help = problem.help.clone().unwrap_or_default();
        self.found.add(Finding::at(problem.span(), problem.message).help(help));
    }
}
