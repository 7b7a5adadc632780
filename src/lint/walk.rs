//! Ways through the tree that checks share: names of a sum, tests of a condition, readings of a test.

use crate::book::{Book, IndicationId, Symbol};
use crate::syntax::tree::{
    Atom, Conclusion, Condition, Declaration, Expr, Field, FieldBody, Name, SetupItem, SignalWord, Test,
};

/// The condition that a field holds.
pub(crate) fn condition(field: &Field) -> Option<&Condition> {
    match &field.body {
        FieldBody::Condition(condition) | FieldBody::Shows(condition, _) => Some(condition),
        FieldBody::Sentence(sentence) => Some(&sentence.condition),
        _ => None,
    }
}

/// The conditions of a declaration.
pub(crate) fn conditions(declaration: &Declaration) -> impl Iterator<Item = &Condition> {
    declaration.fields.iter().filter_map(condition)
}

/// The names in a sum.
pub(crate) fn names<'t>(expr: &'t Expr, found: &mut dyn FnMut(&'t Name)) {
    match expr {
        Expr::Number(_) => {}
        Expr::Name(name) => found(name),
        Expr::Call { arguments, .. } => arguments.iter().for_each(|argument| names(argument, found)),
        Expr::Negative(inner, _) => names(inner, found),
        Expr::Binary { left, right, .. } => {
            names(left, found);
            names(right, found);
        }
    }
}

/// The sums that a test compares with.
pub(crate) fn limits(test: &Test) -> impl Iterator<Item = &Expr> {
    let (first, second) = match test {
        Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x) => (Some(x), None),
        Test::Between(ends) | Test::Outside(ends) => (Some(&ends.0), Some(&ends.1)),
        _ => (None, None),
    };
    first.into_iter().chain(second)
}

/// Every name in a condition: readings, limits, findings, states, changes.
pub(crate) fn condition_names<'t>(condition: &'t Condition, found: &mut dyn FnMut(&'t Name)) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| condition_names(part, found)),
        Condition::Not(inner, _) => condition_names(inner, found),
        Condition::Group(inner, setup, _) => {
            setup.iter().for_each(|item| found(&item.name));
            condition_names(inner, found);
        }
        Condition::Atom(atom) => {
            names(&atom.subject, found);
            atom.test.iter().flat_map(limits).for_each(|limit| names(limit, found));
            atom.setup.iter().for_each(|item| found(&item.name));
            for signal in &atom.signal {
                if let SignalWord::Within(_, inner) = signal {
                    condition_names(inner, found);
                }
            }
        }
    }
}

/// Every test of a condition.
pub(crate) fn atoms<'t>(condition: &'t Condition, found: &mut dyn FnMut(&'t Atom)) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| atoms(part, found)),
        Condition::Not(inner, _) | Condition::Group(inner, ..) => atoms(inner, found),
        Condition::Atom(atom) => found(atom),
    }
}

/// Every part of a condition that has setup words, with those words.
pub(crate) fn setups<'t>(condition: &'t Condition, found: &mut dyn FnMut(&'t Condition, &'t [SetupItem])) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| setups(part, found)),
        Condition::Not(inner, _) => setups(inner, found),
        Condition::Group(inner, setup, _) => {
            found(condition, setup);
            setups(inner, found);
        }
        Condition::Atom(atom) => found(condition, &atom.setup),
    }
}

/// Every `and` and `or` of a condition, as a whole and with its parts.
pub(crate) fn joints<'t>(condition: &'t Condition, found: &mut dyn FnMut(&'t Condition, &'t [Condition])) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => {
            found(condition, parts);
            parts.iter().for_each(|part| joints(part, found));
        }
        Condition::Not(inner, _) | Condition::Group(inner, ..) => joints(inner, found),
        Condition::Atom(_) => {}
    }
}

/// The readings and observations that part of a condition rests on at last, each once.
pub(crate) fn asked(book: &Book, condition: &Condition) -> Vec<IndicationId> {
    let mut found = Vec::new();
    condition_names(condition, &mut |name| match book.symbol(&name.text) {
        Some(Symbol::Indication(id)) => match book.indication(id).reading() {
            Some(reading) if reading.computed.is_some() => found.extend(reading.parts.iter().copied()),
            _ => found.push(id),
        },
        Some(Symbol::Finding(id)) => found.extend(book.finding(id).condition.slots.iter().map(|slot| slot.indication)),
        _ => {}
    });
    found.sort_unstable();
    found.dedup();
    found
}

/// The faults that conclusions name.
pub(crate) fn concluded(conclusions: &[Conclusion]) -> impl Iterator<Item = &Name> {
    conclusions.iter().flat_map(|conclusion| match conclusion {
        Conclusion::Implies(names, _)
        | Conclusion::ImpliesOneOf(names, _)
        | Conclusion::RulesOut(names, _)
        | Conclusion::Suggests(names, ..)
        | Conclusion::SpeaksAgainst(names, ..) => names,
    })
}
