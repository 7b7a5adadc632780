//! Readings joined by `and` that may come from two different moments.

use crate::book::Book;
use crate::book::setup::is_change;
use crate::book::{Condition, IndicationId, Node, SettingId, Slot};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::source::Span;

check! {
    /// Finds: two readings of the same kind joined by `and`, of which one asks for a state that the book never names
    /// together with the other. Silent where both name it, and between a reading and an observation.
    ///
    /// Harm: entries of one decision agree on the states that matter to both. A state that the book doesn't tie to the
    /// second reading may be on for the one and off for the other: 22 V under load is then compared with 25 V at rest.
    ///
    /// Bad:
    /// ```rulebook
    /// rule lost on the way:
    ///   supply at fan connector below 22.5 V with engine running
    ///   and battery voltage above 24 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule lost on the way:
    ///   supply at fan connector below 22.5 V with engine running, cooling demanded
    ///   and battery voltage above 24 V with engine running, cooling demanded
    ///   implies open feed wire
    /// ```
    "states-can-differ", Advice, Sound, find
}

/// More tests than this in one `and` are not compared pair by pair.
const MOST: usize = 32;

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let findings = subject.own(&book.findings).map(|(_, finding)| &finding.condition);
    for condition in subject.own(&book.rules).map(|(_, rule)| &rule.condition).chain(findings) {
        walk(book, condition, &condition.node, found);
    }
}

fn walk(book: &Book, condition: &Condition, node: &Node, found: &mut Findings) {
    match node {
        Node::All(parts) => {
            let tests: Vec<(Span, &Slot)> = parts.iter().filter_map(|part| test(condition, part)).take(MOST).collect();
            if let Some(finding) = pair(book, &tests) {
                found.add(finding);
            }
            parts.iter().for_each(|part| walk(book, condition, part, found));
        }
        Node::Any(parts) => parts.iter().for_each(|part| walk(book, condition, part, found)),
        Node::Not(inner) => walk(book, condition, inner, found),
        Node::Finding(..) | Node::Answer(..) | Node::Compare(_) | Node::Signal(_) => {}
    }
}

/// A comparison of one reading, with its slot.
fn test<'c>(condition: &'c Condition, node: &'c Node) -> Option<(Span, &'c Slot)> {
    let Node::Compare(comparison) = node else { return None };
    let [slot] = comparison.slots.as_slice() else { return None };
    Some((comparison.span, condition.slot(*slot)?))
}

fn pair(book: &Book, tests: &[(Span, &Slot)]) -> Option<Finding> {
    for (span, slot) in tests {
        for (other_span, other) in tests {
            if slot.indication == other.indication || kind(book, slot.indication) != kind(book, other.indication) {
                continue;
            }
            if let Some(state) = loose_state(book, slot, other) {
                let (state, reading) = (&book.setting(state).name, &book.indication(other.indication).name);
                return Some(
                    Finding::at(*other_span, format!("`{reading}` may have been taken with another `{state}` than the reading beside it"))
                        .also(*span, format!("this one asks for `{state}`"))
                        .help(format!("write `with {state}` on both, or `needs` under the reading; if it makes no difference, allow this and say why")),
                );
            }
        }
    }
    None
}

fn kind(book: &Book, id: IndicationId) -> Option<crate::units::Dimension> {
    book.indication(id).reading().map(|reading| reading.dimension)
}

/// A state that one test asks for and that the book never ties to the other's reading.
fn loose_state(book: &Book, slot: &Slot, other: &Slot) -> Option<SettingId> {
    let asked = slot.demand.terms.iter().filter(|term| {
        let Some(setting) = book.settings.get(term.setting.place()) else { return false };
        !is_change(book, term.setting) && term.allowed & (1 << setting.inactive) == 0
    });
    let every = |id: SettingId| book.settings.get(id.place()).map_or(0, crate::book::Setting::every_value);
    asked
        .map(|term| term.setting)
        .find(|id| !book.state_matters(*id, other.indication) && other.demand.allowed(*id) & every(*id) == every(*id))
}
