//! One limit written in several places.

use std::collections::HashMap;

use crate::book::{IndicationId, numbers};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::lint::walk;
use crate::source::Span;
use crate::syntax::tree::{Expr, FieldBody, Number};
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

/// The numbers held against a reading, with where each stands first; `false` once it is reported.
type Seen = HashMap<(IndicationId, Exact), (Span, bool)>;

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let mut seen = Seen::new();
    for declaration in subject.declarations() {
        let reading = subject.book.find_indication(&declaration.name.text);
        for field in &declaration.fields {
            if let (FieldBody::Tolerance(low, high, _), Some(id)) = (&field.body, reading) {
                note(id, low, Some(high), &mut seen, found);
                note(id, high, None, &mut seen, found);
            }
            let Some(condition) = walk::condition(field) else { continue };
            walk::atoms(condition, &mut |atom| {
                let Expr::Name(name) = &atom.subject else { return };
                let Some(id) = subject.book.find_indication(&name.text) else { return };
                let limits: Vec<&Expr> = atom.test.iter().flat_map(walk::limits).collect();
                for (place, limit) in limits.iter().enumerate() {
                    note(id, limit, limits.get(place + 1).copied(), &mut seen, found);
                }
            });
        }
    }
}

/// Takes note of a number; one without a unit has that of the next.
fn note(id: IndicationId, limit: &Expr, next: Option<&Expr>, seen: &mut Seen, found: &mut Findings) {
    let Expr::Number(number) = limit else { return };
    let lent = if let Some(Expr::Number(next)) = next { next.unit.clone() } else { None };
    let number = Number { unit: number.unit.clone().or(lent), ..number.clone() };
    let Ok(amount) = numbers::amount(&number) else { return };
    if amount.typed.is_zero() {
        return;
    }
    let (first, fresh) = seen.entry((id, amount.base)).or_insert((number.span, true));
    if *first != number.span && *fresh {
        *fresh = false;
        let unit = number.unit.as_ref().map_or(String::new(), |unit| format!(" {}", unit.text));
        found.add(
            Finding::at(number.span, format!("`{}{unit}` is held against this reading in more than one place", number.digits))
                .also(*first, "here first")
                .help("declare it once as a `limit` with its reason, and write its name in all of them"),
        );
    }
}
