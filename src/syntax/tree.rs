//! What a rulebook says, as a tree: declarations with fields, sentences, statements. Every node keeps its span.
//! Nothing is resolved here: a name is still only words, a unit only letters.

use crate::source::{SourceId, Span};

use super::words::{DeclarationWord, FieldWord};

mod circuit;
mod log;
mod name;

pub use circuit::{CircuitFault, CircuitLine, Element, Property, Spread, TakenWith};
pub use log::{LogColumn, LogWords};
pub use name::{Name, Piece, fold, is_alike};

/// A text in double quotes, escapes undone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Text {
    /// The words.
    pub text: Piece,
    /// Where they stand, quotes included.
    pub span: Span,
}

/// A number as typed, with its unit if it has one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Number {
    /// Digits, with a sign where one was typed.
    pub digits: Piece,
    /// The unit as typed.
    pub unit: Option<Name>,
    /// Digits and unit.
    pub span: Span,
}

/// What joins two numbers.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Operator {
    /// `+`
    Plus,
    /// `-`
    Minus,
    /// `*`
    Times,
    /// `/`
    Over,
}

/// A number, a name that stands for one, or a sum of such.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Expr {
    /// `11.5 V`
    Number(Number),
    /// A reading, limit or (before `is`) observation.
    Name(Name),
    /// `wire resistance(6 m, 2.5 mm²)`
    Call {
        /// The function.
        name: Name,
        /// What stands in the parentheses.
        arguments: Vec<Expr>,
        /// All of it.
        span: Span,
    },
    /// `- x`
    Negative(Box<Expr>, Span),
    /// `a + b`
    Binary {
        /// What joins them.
        operator: Operator,
        /// Left of it.
        left: Box<Expr>,
        /// Right of it.
        right: Box<Expr>,
    },
}

impl Expr {
    /// Where it stands.
    pub fn span(&self) -> Span {
        match self {
            Expr::Number(number) => number.span,
            Expr::Name(name) => name.span,
            Expr::Call { span, .. } | Expr::Negative(_, span) => *span,
            Expr::Binary { left, right, .. } => left.span().to(right.span()),
        }
    }
}

/// One state or change named after `with`, `without`, `needs` or `excludes`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetupItem {
    /// The state or change.
    pub name: Name,
    /// `false` after `without`.
    pub with: bool,
    /// `is high`, or `is not high` (then `false`).
    pub value: Option<(bool, Name)>,
    /// All of it.
    pub span: Span,
}

/// What is asked of a number or an answer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Test {
    /// `below x`
    Below(Expr),
    /// `above x`
    Above(Expr),
    /// `at least x`
    AtLeast(Expr),
    /// `at most x`
    AtMost(Expr),
    /// `between x and y`
    Between(Box<(Expr, Expr)>),
    /// `outside x to y`
    Outside(Box<(Expr, Expr)>),
    /// `in tolerance`
    InTolerance,
    /// `out of tolerance`
    OutOfTolerance,
    /// `below tolerance`
    BelowTolerance,
    /// `above tolerance`
    AboveTolerance,
    /// `is word`
    Is(Name),
}

/// Over which samples of a recorded signal a test must hold.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum SignalWord {
    /// `ever`
    Ever,
    /// `always`
    Always,
    /// `for at least 50 ms`
    ForAtLeast(Number),
    /// `3 times`
    Times(Number),
    /// `within 2 s after …`
    Within(Number, Box<Condition>),
}

/// One test of one subject under a setup.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Atom {
    /// What is tested; a bare name is an observation or a finding.
    pub subject: Expr,
    /// What is asked of it; `None`: a bare name.
    pub test: Option<Test>,
    /// Turned by `is not`.
    pub negated: bool,
    /// The setup that it was taken under.
    pub setup: Vec<SetupItem>,
    /// For logged signals.
    pub signal: Vec<SignalWord>,
    /// All of it.
    pub span: Span,
}

/// A condition.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Condition {
    /// All of them, joined by `and`.
    All(Vec<Condition>),
    /// One of them, joined by `or`.
    Any(Vec<Condition>),
    /// `not …`
    Not(Box<Condition>, Span),
    /// Parentheses, with a setup that goes to every reading inside.
    Group(Box<Condition>, Vec<SetupItem>, Span),
    /// One test.
    Atom(Box<Atom>),
}

impl Condition {
    /// Where it stands.
    pub fn span(&self) -> Span {
        match self {
            Condition::All(parts) | Condition::Any(parts) => match (parts.first(), parts.last()) {
                (Some(first), Some(last)) => first.span().to(last.span()),
                _ => Span::default(),
            },
            Condition::Not(_, span) | Condition::Group(_, _, span) => *span,
            Condition::Atom(atom) => atom.span,
        }
    }
}

/// Odds such as `5 to 1`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Odds {
    /// Before `to`.
    pub above: Number,
    /// After it.
    pub below: Number,
}

/// What a rule concludes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Conclusion {
    /// `implies A, B`: every one of them.
    Implies(Vec<Name>, Span),
    /// `implies A or B`: one of them.
    ImpliesOneOf(Vec<Name>, Span),
    /// `rules out A, B`
    RulesOut(Vec<Name>, Span),
    /// `suggests A 5 to 1`
    Suggests(Vec<Name>, Box<Odds>, Span),
    /// `speaks against A 3 to 1`
    SpeaksAgainst(Vec<Name>, Box<Odds>, Span),
}

/// A rule's body.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sentence {
    /// When it applies.
    pub condition: Condition,
    /// What follows, in order.
    pub conclusions: Vec<Conclusion>,
}

/// A meter's accuracy as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct AccuracyWords {
    /// `0.5 %`
    pub percent: Option<Number>,
    /// The count of `2 digits of 0.01 V`.
    pub count: Option<Number>,
    /// The digit of `2 digits of 0.01 V`, or a bare `± 0.05 V` (then the count is absent).
    pub digit: Option<Number>,
    /// All of it.
    pub span: Span,
}

/// One end of a band or one-sided value.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// `below`
    Below,
    /// `above`
    Above,
    /// `at least`
    AtLeast,
    /// `at most`
    AtMost,
}

/// The range of a band.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum BandRange {
    /// `below 0.5 V`, `above 15 V`
    Open(Side, Number),
    /// `0.5 V to 11.5 V`
    Between(Number, Number),
}

/// A named part of a reading's range.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Band {
    /// Its name.
    pub name: Name,
    /// What it covers.
    pub range: BandRange,
}

/// What was measured or seen.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Value {
    /// `10.9 V ± 0.1 V`
    Measured {
        /// The figure.
        number: Number,
        /// Its stated uncertainty; in `%` of the figure or in a unit.
        plus_minus: Option<Number>,
    },
    /// `11.8 to 12.1 V`
    Spread(Number, Number),
    /// `below 0.1 ohm`
    OneSided(Side, Number),
    /// `OL`
    OverRange(Span),
    /// `not measured`
    NotMeasured(Span),
    /// A word.
    Word(Name),
    /// A recorded signal.
    Log(Box<LogWords>),
}

/// How a value was joined to its name.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Joint {
    /// `=`
    Equals,
    /// `is`
    Is,
    /// Neither (`not measured`, `from "…"`).
    None,
}

/// An entry: something measured or seen.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EntryWords {
    /// The reading or observation.
    pub name: Name,
    /// `=` or `is`.
    pub joint: Joint,
    /// Where that stands.
    pub joint_span: Span,
    /// What was found.
    pub value: Value,
    /// A setup for this entry only.
    pub setup: Vec<SetupItem>,
    /// `5 times`: found so in as many tries.
    pub tries: Option<Number>,
    /// All of it.
    pub span: Span,
}

/// What a case expects of a fault.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ExpectedVerdict {
    /// `proved`
    Proved,
    /// `ruled out`
    RuledOut,
    /// `open` (the only one left included)
    Open,
    /// `the only one left`
    OnlyOneLeft,
    /// `in conflict`
    Conflict,
}

/// One expectation of a case.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Expected {
    /// A fault with its verdict.
    Fault(Name, ExpectedVerdict),
    /// `conflict`
    Conflict(Span),
    /// `no fault present`
    NoFaultPresent(Span),
}

/// One line of a case, a job or the REPL that enters something.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Statement {
    /// `with a, without b, s is high`
    Setup(Vec<SetupItem>),
    /// An entry.
    Entry(EntryWords),
    /// `take back`
    TakeBack(Span),
    /// `that was with …`
    ThatWas(Vec<SetupItem>, Span),
    /// `complaint "the customer's words"`
    CustomerWords(Text),
    /// `complaint NAME`
    Complaint(Name),
    /// `repaired F`
    Repaired(Name),
    /// `meter "bench 2" V 0.5 % + 2 digits of 0.01 V`
    Meter {
        /// Which meter.
        name: Option<Text>,
        /// For which unit.
        unit: Name,
        /// How well it reads.
        accuracy: AccuracyWords,
    },
    /// `ambient 31 degC, 98 kPa absolute`
    Ambient(Vec<Number>),
    /// `profile "24 V"`
    Profile(Text),
    /// `can't reach Q`
    CannotReach(Name),
    /// `expect …`, in cases
    Expect(Vec<Expected>, Span),
}

/// What a field says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum FieldBody {
    /// Nothing but its word (`may lend`, `stop`, `normally on`).
    Nothing,
    /// Texts.
    Text(Text),
    /// Names.
    Names(Vec<Name>),
    /// States and changes.
    Items(Vec<SetupItem>),
    /// A bare whole number.
    Count(u32, Span),
    /// A number, perhaps with a unit.
    Number(Number),
    /// A value.
    Value(Expr),
    /// `a to b`
    Range(Box<(Expr, Expr)>),
    /// `a to b with …`
    Tolerance(Box<(Expr, Expr)>, Vec<SetupItem>),
    /// A condition.
    Condition(Condition),
    /// A condition that a fault shows, `in m of n`.
    Shows(Condition, Option<(u32, u32, Span)>),
    /// A unit.
    Unit(Name),
    /// A meter's accuracy.
    Accuracy(Box<AccuracyWords>),
    /// Bands.
    Bands(Vec<Band>),
    /// `limit NAME = value` of a profile.
    LimitLine(Box<(Name, Expr)>),
    /// A rule's body.
    Sentence(Sentence),
    /// A line of a circuit.
    Circuit(Box<CircuitLine>),
    /// A line of a case.
    Statement(Box<Statement>),
}

/// One field of a declaration.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Field {
    /// Which.
    pub word: FieldWord,
    /// What it says.
    pub body: FieldBody,
    /// All of it, its word included.
    pub span: Span,
}

/// One declaration.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Declaration {
    /// Which.
    pub word: DeclarationWord,
    /// Its name, title or label.
    pub name: Name,
    /// Its body, head values (`= …`, `means …`) included, in order.
    pub fields: Vec<Field>,
    /// All of it.
    pub span: Span,
    /// Whether a line of it could not be read: then what is missing is not missed.
    pub broken: bool,
}

/// A rulebook's tree.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tree {
    /// Which text.
    pub source: SourceId,
    /// In the order of the file; broken ones are left out.
    pub declarations: Vec<Declaration>,
}
