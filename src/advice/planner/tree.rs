//! A measuring order written out: which test comes first, and for each answer which one then.
//!
//! A list of nodes rather than nested boxes: two paths that lead to the same state share a node, and
//! depth never costs stack. It must not know how tests are chosen.

/// A measuring order. `nodes[0]` is where it starts; a node comes after none of those it leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// The nodes by falling number of tests that were still on offer there.
    pub nodes: Vec<Node>,
}

/// One moment of a measuring order.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The hypotheses still possible, rising.
    pub left: Vec<usize>,
    /// The chance of ever coming here, from the start.
    pub reached: f64,
    /// What the rest costs on average once here (for [`Step::Later`]: at most).
    pub expected_cost: f64,
    /// What to do.
    pub step: Step,
}

/// What to do at a node.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Take a test and follow its answer.
    Measure {
        /// The test's number.
        test: usize,
        /// What it costs here.
        cost: f64,
        /// Its possible answers, rising.
        branches: Vec<Branch>,
    },
    /// One hypothesis is left, or no test separates those left any further.
    Stop,
    /// Tests would help, but the order was not written out beyond this point: plan again from here.
    Later,
}

/// One answer of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// The answer's number.
    pub answer: usize,
    /// Its chance at this node.
    pub chance: f64,
    /// The place in [`Tree::nodes`] of what follows.
    pub next: usize,
}

impl Tree {
    /// What the whole order costs on average. At most that, if it is not [whole](Tree::is_whole).
    #[must_use]
    pub fn expected_cost(&self) -> f64 {
        self.nodes.first().map_or(0.0, |node| node.expected_cost)
    }

    /// Whether every path is written out to its end.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.nodes.iter().all(|node| node.step != Step::Later)
    }

    /// How many nodes take a test.
    #[must_use]
    pub fn tests(&self) -> usize {
        self.nodes.iter().filter(|node| !node.branches().is_empty()).count()
    }

    /// The test taken first, if any.
    #[must_use]
    pub fn first_test(&self) -> Option<usize> {
        match self.nodes.first().map(|node| &node.step) {
            Some(Step::Measure { test, .. }) => Some(*test),
            _ => None,
        }
    }
}

impl Node {
    /// The answers that can come here; none where nothing is measured.
    #[must_use]
    pub fn branches(&self) -> &[Branch] {
        match &self.step {
            Step::Measure { branches, .. } => branches,
            Step::Stop | Step::Later => &[],
        }
    }
}
