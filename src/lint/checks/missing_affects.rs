//! Changes that don't say what they leave alone, where it matters.

use std::collections::BTreeSet;

use crate::book::setup::{can_affect, is_change};
use crate::book::{Symbol, resolve_item};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::{Subject, has};
use crate::lint::walk;
use crate::source::Span;
use crate::syntax::tree::Condition;
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: a change without `affects` that no reading is `unaffected by`, where some `and` asks for one reading with
    /// it and for another without naming it.
    ///
    /// Harm: a change that says nothing affects every reading. The other reading, taken while the change is in place,
    /// then decides nothing, and the technician has to put the change back and take it again for no reason.
    ///
    /// Bad:
    /// ```rulebook
    /// change relay swapped
    ///   how "Exchange the relay."
    /// rule feed lost after the relay:
    ///   supply at fan connector below 22.5 V with relay swapped
    ///   and battery voltage at least 24 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// change relay swapped
    ///   how "Exchange the relay."
    ///   affects supply at fan connector
    /// rule feed lost after the relay:
    ///   supply at fan connector below 22.5 V with relay swapped
    ///   and battery voltage at least 24 V
    ///   implies open feed wire
    /// ```
    "missing-affects", Advice, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let mut costs: Vec<Option<(Span, String)>> = vec![None; book.settings.len()];
    for declaration in subject.trees.iter().flat_map(|tree| &tree.declarations) {
        for condition in walk::conditions(declaration) {
            walk::joints(condition, &mut |whole, parts| {
                if matches!(whole, Condition::All(_)) {
                    gather(subject, parts, &mut costs);
                }
            });
        }
    }
    for change in subject.of(DeclarationWord::Change).filter(|change| !has(change, FieldWord::Affects)) {
        let Some(Symbol::Setting(id)) = book.symbol(&change.name.text) else { continue };
        let spared = book.indications.iter().any(|i| i.unaffected_by_any || i.unaffected_by.contains(&id));
        let Some(Some((span, name))) = costs.get(id.place()).filter(|_| !spared) else { continue };
        found.add(
            Finding::at(
                change.name.span,
                format!("`{}` doesn't say what it affects, so it counts for everything", change.name.text),
            )
            .also(*span, format!("`{name}` is asked for here and would have to be taken without it"))
            .help("add `affects` with the readings that it can alter, or `affects nothing`"),
        );
    }
}

/// For each change that one part of an `and` names, the first part that doesn't and could be altered by it.
fn gather(subject: &Subject<'_>, parts: &[Condition], costs: &mut [Option<(Span, String)>]) {
    let book = subject.book;
    let mut tried = BTreeSet::new();
    for part in parts {
        walk::setups(part, &mut |_, setup| {
            for item in setup.iter().filter(|item| item.with) {
                let Ok(term) = resolve_item(book, item) else { continue };
                let Some(cost) = costs.get_mut(term.setting.place()).filter(|cost| cost.is_none()) else { continue };
                if !is_change(book, term.setting) || !tried.insert(term.setting) {
                    continue;
                }
                *cost = parts.iter().find_map(|other| {
                    let named = names(other, &item.name.key());
                    let asked = walk::asked(book, other).into_iter().find(|id| can_affect(book, term.setting, *id))?;
                    (!named).then(|| (other.span(), book.indication(asked).name.clone()))
                });
            }
        });
    }
}

fn names(condition: &Condition, key: &str) -> bool {
    let mut found = false;
    walk::setups(condition, &mut |_, setup| found |= setup.iter().any(|item| item.name.key() == key));
    found
}
