//! The ways in which a condition can come true: for each, the tests that must be so, which of them true and which
//! false. Kleene's tables read backwards; tolerance tests once for each line that may decide them.

use crate::book::{Condition, Node, SlotIx, Test, ToleranceLine};

/// The most ways of one condition that are looked at.
const MOST_WAYS: usize = 48;

/// One test that must come out as wanted.
#[derive(Clone, Copy)]
pub(super) struct Literal<'b> {
    /// The test: an answer or a comparison.
    pub(super) node: &'b Node,
    /// True or false.
    pub(super) want: bool,
    /// The tolerance line that is to decide it.
    pub(super) line: Option<&'b ToleranceLine>,
}

impl Literal<'_> {
    /// The slots that decide it, each once: first what it is compared with, so that a limit which hangs on another
    /// reading is known when its subject is read.
    pub(super) fn slots(&self) -> Vec<SlotIx> {
        let mut slots: Vec<SlotIx> = self.lines().iter().flat_map(|line| line.slots.iter().copied()).collect();
        match self.node {
            Node::Answer(slot, ..) => slots.push(*slot),
            Node::Compare(comparison) => {
                let mut subject = Vec::new();
                comparison.subject.collect_slots(&mut subject);
                slots.extend(comparison.slots.iter().filter(|slot| !subject.contains(slot)));
                slots.retain(|slot| !subject.contains(slot));
                slots.extend(subject);
            }
            Node::Signal(test) => slots.extend(&test.slots),
            _ => {}
        }
        let mut once = Vec::new();
        for slot in slots {
            if !once.contains(&slot) {
                once.push(slot);
            }
        }
        once
    }

    /// Its line, and those that hold wherever it does.
    pub(super) fn lines(&self) -> Vec<&ToleranceLine> {
        let (Some(own), Node::Compare(comparison)) = (self.line, self.node) else { return Vec::new() };
        match &comparison.test {
            Test::Tolerance(_, lines) => lines.iter().filter(|line| line.demand == own.demand).collect(),
            _ => Vec::new(),
        }
    }
}

/// All of these.
pub(super) type Way<'b> = Vec<Literal<'b>>;

/// The ways of a condition, and whether there are more than are looked at.
pub(super) fn ways(condition: &Condition) -> (Vec<Way<'_>>, bool) {
    let mut cut = false;
    let found = extended(&condition.node, true, vec![Vec::new()], &mut cut);
    (found, cut)
}

/// Each way so far with each way of a node.
fn extended<'b>(node: &'b Node, want: bool, so_far: Vec<Way<'b>>, cut: &mut bool) -> Vec<Way<'b>> {
    match (node, want) {
        (Node::Not(inner), _) => extended(inner, !want, so_far, cut),
        (Node::Finding(_, inner, _), _) => extended(inner, want, so_far, cut),
        (Node::All(parts), true) | (Node::Any(parts), false) => {
            parts.iter().fold(so_far, |ways, part| extended(part, want, ways, cut))
        }
        (Node::All(parts), false) | (Node::Any(parts), true) => {
            let mut all: Vec<Way<'b>> = Vec::new();
            for part in parts {
                all.extend(extended(part, want, so_far.clone(), cut));
                if all.len() > MOST_WAYS {
                    break;
                }
            }
            few(all, cut)
        }
        (Node::Answer(..) | Node::Signal(_), _) => with_each(so_far, &[Literal { node, want, line: None }], cut),
        (Node::Compare(comparison), _) => {
            let literals: Vec<Literal<'b>> = match &comparison.test {
                Test::Tolerance(_, lines) => {
                    lines.iter().map(|line| Literal { node, want, line: Some(line) }).collect()
                }
                _ => vec![Literal { node, want, line: None }],
            };
            with_each(so_far, &literals, cut)
        }
    }
}

fn with_each<'b>(so_far: Vec<Way<'b>>, literals: &[Literal<'b>], cut: &mut bool) -> Vec<Way<'b>> {
    let mut all = Vec::new();
    for literal in literals {
        for way in &so_far {
            let mut longer = way.clone();
            longer.push(*literal);
            all.push(longer);
        }
    }
    few(all, cut)
}

fn few<'b>(mut ways: Vec<Way<'b>>, cut: &mut bool) -> Vec<Way<'b>> {
    if ways.len() > MOST_WAYS {
        ways.truncate(MOST_WAYS);
        *cut = true;
    }
    ways
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Span;

    fn answer(slot: u32) -> Node {
        Node::Answer(SlotIx(slot), 1, Span::default())
    }

    fn said(node: Node) -> Vec<Vec<(u32, bool)>> {
        let condition = Condition { node, slots: Vec::new(), span: Span::default() };
        let literal = |literal: &Literal<'_>| (literal.slots()[0].0, literal.want);
        ways(&condition).0.iter().map(|way| way.iter().map(literal).collect()).collect()
    }

    #[test]
    fn not_turns_and_into_or() {
        let both = Node::All(vec![answer(0), answer(1)]);
        assert_eq!(said(both.clone()), [[(0, true), (1, true)]]);
        assert_eq!(said(Node::Not(Box::new(both))), [[(0, false)], [(1, false)]]);
        let nested = Node::All(vec![answer(0), Node::Any(vec![answer(1), answer(2)])]);
        assert_eq!(said(nested), [[(0, true), (1, true)], [(0, true), (2, true)]]);
    }

    #[test]
    fn a_condition_of_very_many_ways_is_cut() {
        let pair = |n: u32| Node::Any(vec![answer(2 * n), answer(2 * n + 1)]);
        let node = Node::All((0..20).map(pair).collect());
        let condition = Condition { node, slots: Vec::new(), span: Span::default() };
        let (found, cut) = ways(&condition);
        assert!(cut && found.len() == MOST_WAYS);
        assert!(found.iter().all(|way| way.len() == 20));
    }
}
