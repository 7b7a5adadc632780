//! Dangerous steps without words of their own.

use crate::book::SettingKind;
use crate::book::model::Steps;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::safety::carries_caution;
use crate::lint::subject::Subject;
use crate::source::Span;

check! {
    /// Finds: a change, reading or observation with a `hazard` and no `caution`, neither its own nor that of a state or
    /// change that it needs.
    ///
    /// Harm: the standing caution of a hazard knows nothing of this place: which fan starts by itself, which fuse to
    /// pull first. Those words are the author's to write.
    ///
    /// Bad:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Release the lock and pull the connector at the shroud."
    ///   hazard moving
    /// ```
    /// Good:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Release the lock and pull the connector at the shroud."
    ///   hazard moving
    ///   caution moving fans
    /// ```
    "hazard-without-caution", Advice, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    for (_, setting) in subject.own(&book.settings).filter(|(_, setting)| setting.kind == SettingKind::Change) {
        if !carries_caution(book, &setting.steps, &setting.needs) {
            report("change", &setting.name, setting.span, &setting.steps, found);
        }
    }
    for (_, indication) in subject.own(&book.indications) {
        if !carries_caution(book, &indication.steps, &indication.needs) {
            let kind = if indication.reading().is_some() { "reading" } else { "observation" };
            report(kind, &indication.name, indication.span, &indication.steps, found);
        }
    }
}

fn report(kind: &str, name: &str, span: Span, steps: &Steps, found: &mut Findings) {
    let Some(hazard) = steps.hazards.first() else { return };
    found.add(
        Finding::at(span, format!("{kind} `{name}` has the hazard `{}` and no caution of its own", hazard.word()))
            .help("declare a `caution` that says what is dangerous at this place, and name it here"),
    );
}
