//! A `with` that may have been meant for the whole `and`.

use crate::book::setup::{can_affect, closure, is_change};
use crate::book::{IndicationId, Term, resolve_item};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::lint::walk;
use crate::syntax::tree::{Condition, SetupItem};

check! {
    /// Finds: tests joined by `and` of which the last has a `with` and an earlier one no setup at all, though the state
    /// or change matters to it. Silent where the earlier reading needs that state anyhow, where the change can't
    /// affect it, and where every test says its own setup.
    ///
    /// Harm: `with` belongs to the test before it alone. The earlier reading is then one taken before the change, which
    /// may not be what the author meant.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost after the relay:
    ///   battery voltage above 24 V and supply at fan connector below 22.5 V with relay swapped
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost after the relay:
    ///   battery voltage above 24 V without relay swapped
    ///   and supply at fan connector below 22.5 V with relay swapped
    ///   implies open feed wire
    /// ```
    "with-on-last-test-only", Warning, Sound, find
}

/// More setup words of one test than this are not looked at.
const MOST: usize = 16;

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for declaration in subject.declarations() {
        for condition in walk::conditions(declaration) {
            walk::joints(condition, &mut |whole, parts| {
                if matches!(whole, Condition::All(_)) {
                    one(subject, parts, found);
                }
            });
        }
    }
}

fn one(subject: &Subject<'_>, parts: &[Condition], found: &mut Findings) {
    let Some((Condition::Atom(last), earlier)) = parts.split_last() else { return };
    for item in last.setup.iter().filter(|item| item.with).take(MOST) {
        let Ok(term) = resolve_item(subject.book, item) else { continue };
        let open = earlier.iter().find(|part| match part {
            Condition::Atom(atom) => {
                atom.setup.is_empty()
                    && walk::asked(subject.book, part).into_iter().any(|id| matters(subject, term, id))
            }
            _ => false,
        });
        if let Some(open) = open {
            found.add(dangling(item, open));
            return;
        }
    }
}

fn dangling(item: &SetupItem, open: &Condition) -> Finding {
    let name = &item.name.text;
    Finding::at(item.span, format!("`with {name}` belongs to the last test only"))
        .also(open.span(), "this one is asked for without it")
        .help(format!("for all of them write `(… and …) with {name}`; for the last alone put it first, or say `without {name}` on the others"))
}

/// Whether a setting makes a difference to a reading and is not settled by what the reading needs.
fn matters(subject: &Subject<'_>, term: Term, id: IndicationId) -> bool {
    let book = subject.book;
    if is_change(book, term.setting) && !can_affect(book, term.setting, id) {
        return false;
    }
    let needs = closure(&book.settings, &book.indication(id).needs);
    needs.allowed(term.setting) & !term.allowed & book.setting(term.setting).every_value() != 0
}
