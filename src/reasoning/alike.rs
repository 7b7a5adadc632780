//! Whether two conditions ask the same, wherever they stand in the book.

use crate::book::{Comparison, Condition, Moment, Node, Over, SignalTest, Test, ToleranceLine};

/// Whether two conditions are the same but for their places.
pub fn alike(a: &Condition, b: &Condition) -> bool {
    a.slots == b.slots && nodes(&a.node, &b.node)
}

fn nodes(a: &Node, b: &Node) -> bool {
    match (a, b) {
        (Node::All(x), Node::All(y)) | (Node::Any(x), Node::Any(y)) => each(x, y, nodes),
        (Node::Not(x), Node::Not(y)) => nodes(x, y),
        (Node::Finding(x, _, _), Node::Finding(y, _, _)) => x == y,
        (Node::Answer(x, m, _), Node::Answer(y, n, _)) => x == y && m == n,
        (Node::Compare(x), Node::Compare(y)) => comparisons(x, y),
        (Node::Signal(x), Node::Signal(y)) => signals(x, y),
        _ => false,
    }
}

fn signals(a: &SignalTest, b: &SignalTest) -> bool {
    let moments = |a: &Moment, b: &Moment| a.turned == b.turned && comparisons(&a.comparison, &b.comparison);
    let over = match (&a.over, &b.over) {
        (Over::Within(x, after), Over::Within(y, other)) => x == y && moments(after, other),
        (x, y) => x == y,
    };
    over && moments(&a.what, &b.what)
}

fn each<T>(a: &[T], b: &[T], same: impl Fn(&T, &T) -> bool) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| same(x, y))
}

fn comparisons(a: &Comparison, b: &Comparison) -> bool {
    let tests = match (&a.test, &b.test) {
        (Test::Tolerance(x, lines), Test::Tolerance(y, others)) => x == y && each(lines, others, same_line),
        (x, y) => x == y,
    };
    tests && a.subject == b.subject && a.slots == b.slots
}

fn same_line(a: &ToleranceLine, b: &ToleranceLine) -> bool {
    a.demand == b.demand && a.low == b.low && a.high == b.high
}
