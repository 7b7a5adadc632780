//! One limit written in several places.

use crate::book::{IndicationId, numbers};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::lint::walk;
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
struct Held<'t> {
    number: &'t Number,
    /// The unit of the number after it, where it has none itself (`22 to 29 V`).
    lent: Option<&'t Name>,
    reported: bool,
}

impl Held<'_> {
    /// Its value; 0 stands in every book and is none.
    fn value(&self) -> Option<Exact> {
        let number = Number { unit: self.number.unit.as_ref().or(self.lent).cloned(), ..self.number.clone() };
        let amount = numbers::amount(&number).ok()?;
        (!amount.typed.is_zero()).then_some(amount.base)
    }
}

/// The numbers held against each reading, each once, by the reading's place.
type Seen<'t> = Vec<Vec<Held<'t>>>;

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let mut seen: Seen<'_> = subject.book.indications.iter().map(|_| Vec::new()).collect();
    for declaration in subject.declarations() {
        for field in &declaration.fields {
            if let FieldBody::Tolerance(low, high, _) = &field.body {
                if let Some(id) = subject.book.find_indication(&declaration.name.text) {
                    note(id, low, Some(high), &mut seen, found);
                    note(id, high, None, &mut seen, found);
                }
            }
            let Some(condition) = walk::condition(field) else { continue };
            walk::atoms(condition, &mut |atom| {
                let limits: Vec<&Expr> = atom.test.iter().flat_map(walk::limits).collect();
                let (Expr::Name(name), true) = (&atom.subject, limits.iter().any(|limit| matches!(limit, Expr::Number(_)))) else { return };
                let Some(id) = subject.book.find_indication(&name.text) else { return };
                for (place, limit) in limits.iter().enumerate() {
                    note(id, limit, limits.get(place + 1).copied(), &mut seen, found);
                }
            });
        }
    }
}

/// Takes note of a number; one without a unit has that of the next.
fn note<'t>(id: IndicationId, limit: &'t Expr, next: Option<&'t Expr>, seen: &mut Seen<'t>, found: &mut Findings) {
    let (Expr::Number(number), Some(held)) = (limit, seen.get_mut(id.place())) else { return };
    let lent = if let Some(Expr::Number(next)) = next { next.unit.as_ref() } else { None };
    let one = Held { number, lent, reported: false };
    // A reading that is held against one number only needs no arithmetic.
    let value = if held.is_empty() { None } else { one.value() };
    let same = value.and_then(|value| held.iter_mut().find(|other| other.value().as_ref() == Some(&value)));
    match same {
        None => held.push(one),
        Some(first) if !first.reported => {
            first.reported = true;
            let unit = number.unit.as_ref().or(lent).map_or(String::new(), |unit| format!(" {}", unit.text));
            found.add(
                Finding::at(number.span, format!("`{}{unit}` is held against this reading in more than one place", number.digits))
                    .also(first.number.span, "here first")
                    .help("declare it once as a `limit` with its reason, and write its name in all of them"),
            );
        }
        Some(_) => {}
    }
}
