//! One limit written in several places.

use std::collections::HashMap;

use crate::book::{IndicationId, numbers};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::lint::walk;
use crate::source::Span;
use crate::syntax::tree::{Expr, FieldBody, Name, Number};
use crate::units::Exact;

check! {
    /// Finds: the same bare number held against the same reading in two places, tolerance lines included. Silent on 0,
    /// and where the number belongs to another reading.
    ///
    /// Harm: one day it is changed in one place only. From then on a value between the two is both good and bad.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 22.5 V
    ///   implies open feed wire
    /// rule feed there:
    ///   supply at fan connector at least 22.5 V
    ///   rules out open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// limit least fan feed = 22.5 V
    ///   because "Within 0.5 V of the lowest sound battery voltage under load"
    /// rule no feed:
    ///   supply at fan connector below least fan feed
    ///   implies open feed wire
    /// rule feed there:
    ///   supply at fan connector at least least fan feed
    ///   rules out open feed wire
    /// ```
    "repeated-number", Warning, Sound, find
}

/// A number held against a reading.
#[derive(Clone, Copy)]
struct Held<'t> {
    number: &'t Number,
    /// The unit of the number after it, where it has none itself (`22 to 29 V`).
    lent: Option<&'t Name>,
}

impl Held<'_> {
    /// Its value; 0 stands in every book and is none.
    fn value(&self) -> Option<Exact> {
        let number = Number { unit: self.number.unit.as_ref().or(self.lent).cloned(), ..self.number.clone() };
        let amount = numbers::amount(&number).ok()?;
        (!amount.typed.is_zero()).then_some(amount.base)
    }
}

/// The numbers that stand in a book.
struct Seen<'t> {
    /// The first number of each reading, by its place: with one alone there is nothing to compare.
    first: Vec<Option<Held<'t>>>,
    /// All others, with where each stands first; `false` once it is reported.
    values: HashMap<(IndicationId, Exact), (Span, bool)>,
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let mut seen = Seen { first: vec![None; subject.book.indications.len()], values: HashMap::new() };
    for declaration in subject.declarations() {
        for field in &declaration.fields {
            if let FieldBody::Tolerance(ends, _) = &field.body
                && let Some(id) = subject.book.find_indication(&declaration.name.text)
            {
                let (low, high) = &**ends;
                seen.note(id, low, Some(high), found);
                seen.note(id, high, None, found);
            }
            let Some(condition) = walk::condition(field) else { continue };
            walk::atoms(condition, &mut |atom| {
                let limits: Vec<&Expr> = atom.test.iter().flat_map(walk::limits).collect();
                let (Expr::Name(name), true) =
                    (&atom.subject, limits.iter().any(|limit| matches!(limit, Expr::Number(_))))
                else {
                    return;
                };
                let Some(id) = subject.book.find_indication(&name.text) else { return };
                for (place, limit) in limits.iter().enumerate() {
                    seen.note(id, limit, limits.get(place + 1).copied(), found);
                }
            });
        }
    }
}

impl<'t> Seen<'t> {
    /// Takes note of a number; one without a unit has that of the next.
    fn note(&mut self, id: IndicationId, limit: &'t Expr, next: Option<&'t Expr>, found: &mut Findings) {
        let (Expr::Number(number), Some(first)) = (limit, self.first.get_mut(id.place())) else { return };
        let lent = if let Some(Expr::Number(next)) = next { next.unit.as_ref() } else { None };
        let held = Held { number, lent };
        let Some(earlier) = *first else {
            *first = Some(held);
            return;
        };
        if let Some(value) = earlier.value() {
            self.values.entry((id, value)).or_insert((earlier.number.span, true));
        }
        let Some(value) = held.value() else { return };
        let (place, fresh) = self.values.entry((id, value)).or_insert((number.span, true));
        if *place != number.span && *fresh {
            *fresh = false;
            let unit = number.unit.as_ref().or(lent).map_or(String::new(), |unit| format!(" {}", unit.text));
            found.add(
                Finding::at(
                    number.span,
                    format!("`{}{unit}` is held against this reading in more than one place", number.digits),
                )
                .also(*place, "here first")
                .help("declare it once as a `limit` with its reason, and write its name in all of them"),
            );
        }
    }
}
