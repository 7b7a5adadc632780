//! Readings that decide something only reckoned together: a difference, a saturation temperature over the air. Neither has a
//! limit of its own while the other is not taken, so neither tells anything by itself. They are weighed as the second one
//! will be once the first is entered: the first at the middle of what it most likely shows, for where it lies is of little
//! account; what counts is how far off the other one is.

use crate::book::{ConditionRef, Node};
use crate::job::Job;
use crate::reasoning::cells::Cell;
use crate::units::Interval;

use super::bundles::{Bundle, Shelf};
use super::candidates::Candidate;
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows, information};

/// What tests tell of which the last is cut at limits that hang on the others; none if they don't.
pub(super) fn coupled(
    asking: &Asking<'_>,
    pool: &Pool,
    shelf: &mut Shelf<'_>,
    tests: &[Candidate],
    conditions: &[ConditionRef],
) -> Option<Bundle> {
    let (last, first) = tests.split_last()?;
    let decides = conditions.iter().copied().find(|which| reckons(asking, *which, first, last))?;
    let mut job: Job = asking.job.clone();
    let mut gain = 0.0;
    for test in first {
        let (outlook, rows) = shelf.get(test);
        gain += told(pool, outlook, rows);
        let middle = middle(pool, outlook, rows)?;
        job.entries.add(asking.book, asking.entry(test, &middle));
    }
    let then = asking.supposing(&job);
    let outlook = then.outlook_by_book(last);
    let rows = pool.rows(&then, &outlook.table);
    gain += told(pool, &outlook, &rows);
    let seconds = tests.iter().map(|test| test.seconds).sum();
    Some(Bundle { tests: tests.to_vec(), decides, gain, seconds })
}

/// Whether a condition compares something that is reckoned from the last test and another one.
fn reckons(asking: &Asking<'_>, which: ConditionRef, first: &[Candidate], last: &Candidate) -> bool {
    let Some(condition) = asking.book.condition(which) else { return false };
    let compares = |node: &Node| {
        let Node::Compare(comparison) = node else { return false };
        let mut subject = Vec::new();
        comparison.subject.collect_slots(&mut subject);
        let all: Vec<_> = subject.into_iter().filter_map(|slot| condition.slot(slot)).collect();
        let has = |test: &Candidate| all.iter().any(|slot| slot.indication == test.indication);
        has(last) && first.iter().any(has)
    };
    any(&condition.node, &compares)
}

/// Whether some part of a condition is so.
fn any(node: &Node, is: &impl Fn(&Node) -> bool) -> bool {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().any(|part| any(part, is)),
        Node::Not(inner) | Node::Finding(_, inner, _) => any(inner, is),
        Node::Answer(..) | Node::Signal(_) | Node::Compare(_) => is(node),
    }
}

/// Information of a test by itself, in bits.
fn told(pool: &Pool, outlook: &Outlook, rows: &Rows) -> f64 {
    let blurred: Vec<Vec<f64>> = rows.rows.iter().map(|row| outlook.blurred(row)).collect();
    information(&blurred, &pool.masses(rows))
}

/// The middle of the likeliest range of a reading; none where that has no two ends.
fn middle(pool: &Pool, outlook: &Outlook, rows: &Rows) -> Option<Cell> {
    let masses = pool.masses(rows);
    let chance = |place: usize| -> f64 {
        let each = rows.rows.iter().zip(&masses);
        each.map(|(row, mass)| mass * row.get(place).copied().unwrap_or(0.0)).sum()
    };
    let places = outlook.cells.iter().enumerate();
    let (_, likeliest) = places.reduce(|a, b| if chance(b.0) > chance(a.0) { b } else { a })?;
    let Cell::Range { inside, .. } = likeliest else { return None };
    let point = Interval::point(inside.centre()?);
    Some(Cell::Range { inside: point.clone(), owned: point })
}
