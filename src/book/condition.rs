//! Resolved conditions: tests of slots, joined by and, or, not. Findings and computed readings are written out,
//! findings with their name kept for the explanation.

use crate::source::Span;
use crate::units::{Exact, Unit};

use super::ids::{FindingId, IndicationId, SettingId};
use super::setup::{Demand, Mask, Term};
use super::signal::SignalTest;
use super::value::{SlotIx, Value};

/// A place for one entry: the same reading with the same setup words is one slot throughout a condition.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Slot {
    /// Of which reading or observation.
    pub indication: IndicationId,
    /// The setup words as written (needs of computed readings included), sorted.
    pub words: Vec<Term>,
    /// What the words and the indication's needs demand, all that follows included.
    pub demand: Demand,
}

/// Which side of the tolerance is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ToleranceSide {
    /// `in tolerance`
    In,
    /// `out of tolerance`
    Out,
    /// `below tolerance`
    Below,
    /// `above tolerance`
    Above,
}

/// A tolerance line as one comparison sees it.
#[derive(Clone, PartialEq, Debug)]
pub struct ToleranceLine {
    /// The setup under which it holds.
    pub demand: Demand,
    /// How many settings it names.
    pub named: usize,
    /// The changes that it names: entries taken under them may be held against it.
    pub changes: Vec<SettingId>,
    /// Lower end.
    pub low: Value,
    /// Upper end.
    pub high: Value,
    /// The slots of readings in the limits.
    pub slots: Vec<SlotIx>,
    /// Where it stands.
    pub span: Span,
}

/// What a value is compared with.
#[derive(Clone, PartialEq, Debug)]
pub enum Test {
    /// `below x`
    Below(Value),
    /// `above x`
    Above(Value),
    /// `at least x`
    AtLeast(Value),
    /// `at most x`
    AtMost(Value),
    /// `between x and y`
    Between(Value, Value),
    /// `outside x to y`
    Outside(Value, Value),
    /// `is band`: from its own lower end up to the next one's; open ends where absent.
    Band(Option<Exact>, Option<Exact>),
    /// One of the tolerance tests, against the line that fits the entry's setup.
    Tolerance(ToleranceSide, Vec<ToleranceLine>),
}

/// One comparison; all its entries share one setup.
#[derive(Clone, PartialEq, Debug)]
pub struct Comparison {
    /// What is compared.
    pub subject: Value,
    /// With what.
    pub test: Test,
    /// The unit that the subject is shown in.
    pub unit: Option<&'static Unit>,
    /// The slots of the subject and of the limits (those of tolerance lines stand there).
    pub slots: Vec<SlotIx>,
    /// Changes that a tolerance line of the subject names.
    pub loose: Vec<SettingId>,
    /// The subject's words.
    pub subject_span: Span,
    /// All of it.
    pub span: Span,
}

/// A node of a condition.
#[derive(Clone, PartialEq, Debug)]
pub enum Node {
    /// All of them.
    All(Vec<Node>),
    /// One of them.
    Any(Vec<Node>),
    /// Not.
    Not(Box<Node>),
    /// A named condition, written out.
    Finding(FindingId, Box<Node>, Span),
    /// An observation is one of these answers.
    Answer(SlotIx, Mask, Span),
    /// A comparison.
    Compare(Box<Comparison>),
    /// A comparison over the samples of a log.
    Signal(Box<SignalTest>),
}

/// A condition with its slots.
#[derive(Clone, PartialEq, Debug)]
pub struct Condition {
    /// The tests.
    pub node: Node,
    /// The places for entries that they name.
    pub slots: Vec<Slot>,
    /// Where it stands.
    pub span: Span,
}

impl Condition {
    /// Whether a recorded signal is asked for somewhere in it.
    pub fn asks_a_log(&self) -> bool {
        fn asks(node: &Node) -> bool {
            match node {
                Node::All(parts) | Node::Any(parts) => parts.iter().any(asks),
                Node::Not(inner) | Node::Finding(_, inner, _) => asks(inner),
                Node::Signal(_) => true,
                Node::Answer(..) | Node::Compare(_) => false,
            }
        }
        asks(&self.node)
    }

    /// The slot at a place.
    pub fn slot(&self, slot: SlotIx) -> Option<&Slot> {
        self.slots.get(slot.place())
    }
}
