//! A measuring order as an indented tree. A moment that several paths lead to, or that lies deep, is written once by
//! itself and named by its number.

use std::collections::VecDeque;

use crate::advice::order::MeasuringOrder;
use crate::advice::planner::{Branch, Node, Plan, Step};
use crate::book::FaultId;
use crate::job::setup_words;
use crate::reasoning::cells::Cell;

use super::advice_text::duration;
use super::page::Page;
use super::words::{Wording, about, counted};

/// How deep a tree is indented before it goes on by itself.
const DEEPEST: usize = 4;

/// A tree while it is written.
struct Writing<'a> {
    order: &'a MeasuringOrder,
    plan: &'a Plan,
    written: Vec<bool>,
    waiting: VecDeque<usize>,
}

impl Writing<'_> {
    fn is_written(&self, at: usize) -> bool {
        self.written.get(at).copied().unwrap_or(false)
    }

    fn mark(&mut self, at: usize) {
        if let Some(mark) = self.written.get_mut(at) {
            *mark = true;
        }
    }
}

impl Wording<'_> {
    /// The order: what it costs, how good it is proved to be, and the tree.
    pub fn order(&self, order: &MeasuringOrder) -> Page {
        let mut page = Page::new();
        let Some(plan) = &order.plan else {
            page.line(0, "No test on offer tells apart what is left.");
            self.left(&mut page, 0, order, &(0..order.sets.len()).collect::<Vec<_>>());
            return page;
        };
        page.line(0, order_quality(plan));
        if order.handed_over > 0 {
            let tests = counted(order.handed_over, "test is", "tests are");
            page.line(0, format!("{tests} left out: work for licensed or qualified staff."));
        }
        if order.left_out > 0 {
            let tests = counted(order.left_out, "further test tells", "further tests tell");
            page.line(0, format!("{tests} less for the time and stand aside; the proof is about the others."));
        }
        let mut tree =
            Writing { order, plan, written: vec![false; plan.tree.nodes.len()], waiting: VecDeque::from([0]) };
        while let Some(at) = tree.waiting.pop_front() {
            page.gap();
            self.node(&mut page, 0, &mut tree, at);
        }
        page
    }

    fn node(&self, page: &mut Page, depth: usize, tree: &mut Writing<'_>, at: usize) {
        let (order, plan) = (tree.order, tree.plan);
        let Some(node) = plan.tree.nodes.get(at) else { return };
        match &node.step {
            Step::Stop => self.left(page, depth, order, &node.left),
            Step::Later => {
                page.line(depth, "ask again from here with `next`; what may still be there:");
                self.left(page, depth + 1, order, &node.left);
            }
            Step::Measure { .. } if depth > 0 && (tree.is_written(at) || depth > DEEPEST) => {
                page.line(depth, format!("go on at {}", at + 1));
                if !tree.is_written(at) {
                    tree.mark(at);
                    tree.waiting.push_back(at);
                }
            }
            Step::Measure { test, cost, branches } => {
                tree.mark(at);
                let Some(test) = order.tests.get(*test) else { return };
                let setup = setup_words(self.book, &test.setup);
                page.line(
                    depth,
                    format!("{}. {}, {setup}, {}", at + 1, self.indication(test.indication), duration(*cost)),
                );
                for way in ways(plan, &test.answers, branches) {
                    let when = self.cells(test.indication, &way.cells);
                    page.line(depth + 1, format!("{when} ({}):", about(way.chance)));
                    self.node(page, depth + 2, tree, way.next);
                }
            }
        }
    }

    /// What is left at the end of a path.
    fn left(&self, page: &mut Page, depth: usize, order: &MeasuringOrder, left: &[usize]) {
        page.line(depth, format!("left: {}", self.order_left(order, left)));
    }

    /// The faults of a moment, by name.
    pub fn order_left(&self, order: &MeasuringOrder, left: &[usize]) -> String {
        let name = |set: &Vec<FaultId>| {
            set.iter().map(|id| self.book.fault(*id).name.as_str()).collect::<Vec<_>>().join(" with ")
        };
        left.iter().filter_map(|n| order.sets.get(*n)).map(name).collect::<Vec<_>>().join(", ")
    }

    /// A moment of an order in one line.
    pub fn order_step(&self, order: &MeasuringOrder, node: &Node) -> String {
        match &node.step {
            Step::Measure { test, cost, .. } => order
                .tests
                .get(*test)
                .map_or(String::new(), |test| format!("{}, {}", self.indication(test.indication), duration(*cost))),
            Step::Later => format!("ask again: {}", self.order_left(order, &node.left)),
            Step::Stop => self.order_left(order, &node.left),
        }
    }
}

/// Answers of a test that lead to the same.
pub(super) struct Way {
    /// The answers.
    pub(super) cells: Vec<Cell>,
    /// Their chance together.
    pub(super) chance: f64,
    /// The node that they lead to.
    pub(super) next: usize,
}

/// The ways on from a test, its answers in order.
pub(super) fn ways(plan: &Plan, answers: &[Vec<Cell>], branches: &[Branch]) -> Vec<Way> {
    let node = |at: usize| plan.tree.nodes.get(at);
    let ends = |at: usize| node(at).filter(|node| node.step == Step::Stop).map(|node| &node.left);
    let same = |one: usize, other: usize| one == other || ends(one).is_some() && ends(one) == ends(other);
    let mut sorted: Vec<&Branch> = branches.iter().collect();
    sorted.sort_by_key(|branch| branch.answer);
    let mut ways: Vec<Way> = Vec::new();
    for branch in sorted {
        let cells = answers.get(branch.answer).cloned().unwrap_or_default();
        match ways.iter_mut().find(|way| same(way.next, branch.next)) {
            Some(way) => {
                way.cells.extend(cells);
                way.chance += branch.chance;
            }
            None => ways.push(Way { cells, chance: branch.chance, next: branch.next }),
        }
    }
    ways
}

/// What an order costs and how good it is proved to be.
pub fn order_quality(plan: &Plan) -> String {
    let cost = duration(plan.expected_cost);
    let proof = match (plan.exact, plan.gap()) {
        (true, _) => "the best possible, proved".to_string(),
        (false, Some(gap)) if gap <= 1.0 => format!("within {:.0} % of the best possible", (gap * 100.0).ceil()),
        _ => format!("the best found; proved is only that none takes less than {}", duration(plan.lower_bound)),
    };
    let most = if plan.tree.is_whole() { "" } else { "at most " };
    format!(
        "Measuring order: {most}{cost} on average; {proof} ({} looked at).",
        counted(plan.states, "state", "states")
    )
}
