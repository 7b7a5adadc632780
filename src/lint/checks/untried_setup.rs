//! States and changes that no case sets.

use crate::book::{SettingId, SettingKind, Symbol};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::safety::needed;
use crate::lint::subject::Subject;
use crate::syntax::tree::{SetupItem, Statement};

check! {
    /// Finds: a state or change that conditions ask for and that no case of the file ever sets. Silent in a file
    /// without cases.
    ///
    /// Harm: what is asked under that setup has never been tried, the wrong way round included.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost after the relay:
    ///   supply at fan connector below 22.5 V with relay swapped
    ///   implies open feed wire
    /// change relay swapped
    ///   how "Exchange the relay."
    /// case the fan stands still:
    ///   fan runs is no
    ///   expect open feed wire open
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost after the relay:
    ///   supply at fan connector below 22.5 V with relay swapped
    ///   implies open feed wire
    /// change relay swapped
    ///   how "Exchange the relay."
    /// case a swapped relay changes nothing:
    ///   with cooling demanded, relay swapped
    ///   supply at fan connector = 4.2 V
    ///   expect open feed wire proved
    /// ```
    "untried-setup", Advice, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    if book.cases.is_empty() {
        return;
    }
    let mut tried = vec![false; book.settings.len()];
    for (statement, _) in book.cases.iter().flat_map(|case| &case.lines) {
        for item in items(statement) {
            let Some(Symbol::Setting(id)) = book.symbol(&item.name.text) else { continue };
            mark(&mut tried, id);
            if let Ok(term) = crate::book::resolve_item(book, item) {
                needed(book, &[term]).into_iter().for_each(|id| mark(&mut tried, id));
            }
        }
    }
    for (place, setting) in subject.own(&book.settings) {
        if tried.get(place) == Some(&false) && subject.names.setting(SettingId::at(place)) {
            let kind = if setting.kind == SettingKind::Change { "change" } else { "state" };
            found.add(
                Finding::at(setting.span, format!("no case ever sets the {kind} `{}`", setting.name))
                    .help(format!("add a case with a line `with {}`", setting.name)),
            );
        }
    }
}

fn mark(tried: &mut [bool], id: SettingId) {
    if let Some(cell) = tried.get_mut(id.place()) {
        *cell = true;
    }
}

fn items(statement: &Statement) -> &[SetupItem] {
    match statement {
        Statement::Setup(items) | Statement::ThatWas(items, _) => items,
        Statement::Entry(entry) => &entry.setup,
        _ => &[],
    }
}
