//! Parts of a condition that make no difference.

use rayon::prelude::*;

use crate::book::{Condition, Node, RuleId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::large::{Side, same};
use crate::lint::space::solve::Answer;
use crate::lint::subject::Subject;
use crate::source::Span;

use super::claim::Claim;
use super::sides::Can;

check! {
    /// Finds: a part of a rule's condition that never decides: with all that the rule asks for entered, the rest comes
    /// to the same for all values.
    ///
    /// Harm: the author meant something else by it, or the reader trusts a safeguard that is none.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   and supply at fan connector below 8 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 8 V
    ///   and supply at fan connector above 5 V
    ///   implies open feed wire
    /// ```
    "idle-part", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let own: Vec<RuleId> = subject.own(&book.rules).map(|(place, _)| RuleId::at(place)).collect();
    let told: Vec<(Vec<Span>, usize)> = own
        .par_iter()
        .map(|rule| match sides.can_apply(*rule) {
            Can::No => (Vec::new(), 0),
            _ => idle(sides.book, &book.rule(*rule).condition),
        })
        .collect();
    for (id, (idle, open)) in own.into_iter().zip(told) {
        (0..open).for_each(|_| found.leave_open());
        let rule = book.rule(id);
        let joint = if let Can::Yes(joint) = sides.can_apply(id) { Some(joint) } else { None };
        for span in idle {
            let said = book.sources.slice(span);
            found.add(
                Finding::at(span, format!("`{said}` makes no difference in rule `{}`", rule.label))
                    .here("the rest of the condition comes to the same without it")
                    .help("take it out, or check its limit, and `and` against `or`")
                    .witness(joint.and_then(|joint| joint.shows(book, Claim::Apply(vec![id])))),
            );
        }
    }
}

/// The parts that make no difference, one at a time, the later first; and how many questions were left open.
fn idle(book: &crate::book::Book, condition: &Condition) -> (Vec<Span>, usize) {
    let (mut idle, mut open) = (Vec::new(), 0);
    let mut paths = Vec::new();
    parts(&condition.node, &mut Vec::new(), &mut paths);
    let whole = Side { condition, want: true };
    for path in paths.iter().rev() {
        let Some((without, span)) = left_out(&condition.node, path) else { continue };
        let rest = Condition { node: without, slots: condition.slots.clone(), span: condition.span };
        match same(book, whole, &rest) {
            Answer::Cannot => idle.push(span),
            Answer::Open => open += 1,
            Answer::Can(_) => {}
        }
    }
    // Where several could go, each in turn, the first found is said: the others may be needed once it is gone.
    idle.truncate(1);
    (idle, open)
}

/// The paths to all parts of `and` and `or`, findings left whole.
fn parts(node: &Node, path: &mut Vec<usize>, all: &mut Vec<Vec<usize>>) {
    match node {
        Node::All(list) | Node::Any(list) => {
            for (place, part) in list.iter().enumerate() {
                path.push(place);
                all.push(path.clone());
                parts(part, path, all);
                path.pop();
            }
        }
        Node::Not(inner) => {
            path.push(0);
            parts(inner, path, all);
            path.pop();
        }
        _ => {}
    }
}

/// The node without the part at a path, and the place of that part.
pub(crate) fn left_out(node: &Node, path: &[usize]) -> Option<(Node, Span)> {
    let (first, rest) = path.split_first()?;
    match node {
        Node::All(list) | Node::Any(list) => {
            let mut list = list.clone();
            let span = if rest.is_empty() {
                span_of(&list.remove(*first))?
            } else {
                let (inner, span) = left_out(list.get(*first)?, rest)?;
                *list.get_mut(*first)? = inner;
                span
            };
            let all = matches!(node, Node::All(_));
            let left = match list.len() {
                0 => return None,
                1 => list.remove(0),
                _ if all => Node::All(list),
                _ => Node::Any(list),
            };
            Some((left, span))
        }
        Node::Not(inner) => left_out(inner, rest).map(|(inner, span)| (Node::Not(Box::new(inner)), span)),
        _ => None,
    }
}

/// Where a node stands.
pub(crate) fn span_of(node: &Node) -> Option<Span> {
    match node {
        Node::All(list) | Node::Any(list) => Some(span_of(list.first()?)?.to(span_of(list.last()?)?)),
        Node::Not(inner) => span_of(inner),
        Node::Finding(_, _, span) | Node::Answer(_, _, span) => Some(*span),
        Node::Compare(comparison) => Some(comparison.span),
        Node::Signal(test) => Some(test.span),
    }
}
