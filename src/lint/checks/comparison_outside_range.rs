//! Comparisons that are never true, or always.

use crate::book::Book;
use crate::book::{Comparison, Condition, IndicationKind, Node, Slot, Test, Value};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::units::{Bound, Exact, Interval};

check! {
    /// Finds: a comparison that is never true, or always, for any value within `from … to …` of its readings. Silent on
    /// `above` the upper end itself, which asks for over range (OL).
    ///
    /// Harm: a slip of the decimal point or the unit. The rule never applies, or always does.
    ///
    /// Bad:
    /// ```rulebook
    /// reading coil drop
    ///   unit V
    ///   from 0 V to 32 V
    /// rule coil wire bad:
    ///   coil drop above 225 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// reading coil drop
    ///   unit V
    ///   from 0 V to 32 V
    /// rule coil wire bad:
    ///   coil drop above 22.5 V
    ///   implies open feed wire
    /// ```
    "comparison-outside-range", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    let findings = book.findings.iter().map(|finding| &finding.condition);
    for condition in book.conditions().map(|(_, condition)| condition).chain(findings) {
        if subject.is_own(condition.span) {
            walk(book, condition, &condition.node, found);
        }
    }
}

fn walk(book: &Book, condition: &Condition, node: &Node, found: &mut Findings) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| walk(book, condition, part, found)),
        Node::Not(inner) => walk(book, condition, inner, found),
        // A finding's own comparisons are looked at where it is declared.
        Node::Finding(..) | Node::Answer(..) => {}
        Node::Compare(comparison) => one(book, condition, comparison, found),
        Node::Signal(test) => one(book, condition, &test.what.comparison, found),
    }
}

fn one(book: &Book, condition: &Condition, comparison: &Comparison, found: &mut Findings) {
    let Some(range) = range(book, &condition.slots, &comparison.subject) else { return };
    let Some(holds) = constant(&comparison.test, &range) else { return };
    let lies =
        comparison.unit.map_or_else(String::new, |unit| format!(": it lies {}", between(&unit.show_range(&range))));
    let when = if holds { "always" } else { "never" };
    found.add(
        Finding::at(comparison.span, format!("this is {when} true within the physical range{lies}"))
            .help("check decimal point and unit here, and the reading's `from … to …`"),
    );
}

fn between(range: &str) -> String {
    if range.contains(" to ") { format!("from {range}") } else { range.to_string() }
}

/// The values that a sum can have; `None` where a range is not known.
fn range(book: &Book, slots: &[Slot], value: &Value) -> Option<Interval> {
    let of = |value: &Value| range(book, slots, value);
    Some(match value {
        Value::Constant(number) => Interval::point(number.clone()),
        Value::Slot(slot) => match &book.indication(slots.get(slot.place())?.indication).kind {
            IndicationKind::Reading(reading) => {
                let (low, high) = reading.range.clone()?;
                Interval::new(low, high)?
            }
            IndicationKind::Observation(_) => return None,
        },
        Value::Negative(inner) => of(inner)?.neg(),
        Value::Joined(inner, ..) => of(inner)?,
        Value::Sum(a, b) => of(a)?.add(&of(b)?),
        Value::Difference(a, b) => of(a)?.sub(&of(b)?),
        Value::Product(a, b) => of(a)?.mul(&of(b)?),
        Value::Quotient(..) | Value::Call(..) => return None,
    })
}

/// Whether a test is true of the whole range (`Some(true)`) or of nothing in it (`Some(false)`).
fn constant(test: &Test, range: &Interval) -> Option<bool> {
    let (low, high) = (range.low.value()?, range.high.value()?);
    match test {
        Test::Below(x) => side(low >= x.as_constant()?, high < x.as_constant()?),
        Test::AtMost(x) => side(low > x.as_constant()?, high < x.as_constant()?),
        Test::Above(x) => side(high < x.as_constant()?, low > x.as_constant()?),
        Test::AtLeast(x) => side(high < x.as_constant()?, low >= x.as_constant()?),
        Test::Between(x, y) => inside(x.as_constant()?, y.as_constant()?, range),
        Test::Outside(x, y) => inside(x.as_constant()?, y.as_constant()?, range).map(|inside| !inside),
        Test::Band(..) | Test::Tolerance(..) => None,
    }
}

fn side(never: bool, always: bool) -> Option<bool> {
    if never { Some(false) } else { always.then_some(true) }
}

fn inside(x: &Exact, y: &Exact, range: &Interval) -> Option<bool> {
    let Some(wanted) = Interval::new(Bound::Closed(x.clone()), Bound::Closed(y.clone())) else { return Some(false) };
    if !range.intersects(&wanted) { Some(false) } else { range.is_within(&wanted).then_some(true) }
}
