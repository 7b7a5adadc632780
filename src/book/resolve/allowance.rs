//! How large a book may grow once its findings, computed readings and tolerance lines are written out: in proportion
//! to its texts, so that no few lines fill the memory.

use crate::problem::Problem;
use crate::source::Span;

/// Nodes that any book may have.
const FREE: usize = 100_000;
/// A node more for so many bytes of text.
const BYTES_A_NODE: usize = 4;

/// What is left of it.
#[derive(Debug)]
pub(crate) struct Allowance {
    left: usize,
    /// The first thing that grew too large: what is built on it grows too large as well and is not told.
    first: Option<Problem>,
}

impl Allowance {
    /// For texts of so many bytes.
    pub(super) fn of(bytes: usize) -> Self {
        Self { left: FREE + bytes / BYTES_A_NODE, first: None }
    }

    /// Takes so many nodes for something at a place; `false`, and noted, where there are no more.
    pub(super) fn spend(&mut self, nodes: usize, span: Span) -> bool {
        let Some(left) = self.left.checked_sub(nodes) else {
            self.left = 0;
            let message = "this book grows too large once its findings and tolerances are written out; here it is full";
            self.refuse(span, message, "build rules on fewer and smaller findings");
            return false;
        };
        self.left = left;
        true
    }

    /// Notes that something grew too large.
    pub(super) fn refuse(&mut self, span: Span, message: &str, help: &str) {
        self.first.get_or_insert_with(|| Problem::error("book/too-large", span, message).help(help));
    }

    /// The problem of a book that grew too large.
    pub(super) fn problem(&self) -> Option<Problem> {
        self.first.clone()
    }
}
