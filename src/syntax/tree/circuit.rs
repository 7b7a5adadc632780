//! Lines of a circuit, as words.

use crate::source::Span;

use super::{Expr, Name, Number, SetupItem};

/// One element line of a circuit, kept as words until the circuit is built.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Element {
    /// `battery`, `wire`, …
    pub kind: Name,
    /// Its name, if it has one.
    pub name: Option<Name>,
    /// `from … to …`
    pub ends: Option<(Name, Name)>,
    /// What is said of it.
    pub properties: Vec<Property>,
    /// All of it.
    pub span: Span,
}

/// A value with its spread: `10 mohm to 30 mohm`, `255 ohm ± 10 %`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spread {
    /// The value, or the lower end.
    pub low: Expr,
    /// The upper end, if given.
    pub high: Option<Expr>,
    /// `± 10 %`
    pub percent: Option<Number>,
}

/// What is said of an element.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Property {
    /// `EMF …`
    Emf(Spread),
    /// `EMF 49 % to 51 % of battery voltage`
    EmfShare(Spread, Name),
    /// `behind …`
    Behind(Spread),
    /// `coil from … to …`
    Coil(Name, Name),
    /// `contact from … to …`; `true` for a break contact
    Contact(Name, Name, bool),
    /// `opens with …`
    OpensWith(Vec<SetupItem>),
    /// `closed with …`
    ClosedWith(Vec<SetupItem>),
    /// `open with …`
    OpenWith(Vec<SetupItem>),
    /// `pulls in at …`
    PullsIn(Spread),
    /// `drops out at …`
    DropsOut(Spread),
    /// `driven at …`
    Driven(Spread),
    /// `6 m of 2.5 mm²`
    Size(Expr, Number),
    /// `6 A to 9 A at 26 V`, `stalled 30 A at 26 V with …`
    Load {
        /// `true` after `stalled`.
        stalled: bool,
        /// The current.
        current: Spread,
        /// At which voltage.
        voltage: Number,
        /// Under which setup.
        setup: Vec<SetupItem>,
    },
    /// `at most 5 mohm` (`true`) or `at least …` (`false`)
    Limit(bool, Expr),
    /// `20 A`, `255 ohm ± 10 %`
    Value(Spread),
}

/// What a fault does to a circuit.
#[derive(Clone, PartialEq, Eq, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "made once a line and walked by reference; boxing would only blur the pattern"
)]
pub enum CircuitFault {
    /// `opens E`
    Opens(Name),
    /// `may open E`
    MayOpen(Name),
    /// `shorts A to B`
    Shorts(Name, Name),
    /// `adds 0.2 ohm to 5 ohm at E`
    Adds(Spread, Name),
    /// `sticks E open` (`false`), `sticks E closed` (`true`), `sticks M1` of a motor held fast
    Sticks(Name, Option<bool>),
    /// `weakens E to EMF [behind R]`
    Weakens(Name, Spread, Option<Spread>),
    /// `fits 30 A at F3`
    Fits(Spread, Name),
}

/// What a voltage is taken with, if not with an ordinary voltmeter.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum TakenWith {
    /// `low-impedance meter`, `low-impedance meter of 400 kohm`
    LowImpedance(Option<Spread>),
    /// `test lamp 21 W at 24 V`
    TestLamp(Spread, Number),
}

/// One line of a circuit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum CircuitLine {
    /// An element between two points.
    Element(Element),
    /// `reading Q across A and B`, `…, test lamp 21 W at 24 V`
    Across(Name, Name, Name, Option<TakenWith>),
    /// `reading Q through E`
    Through(Name, Name),
    /// `fault F opens E`
    Fault(Name, CircuitFault),
    /// `fault F, G changes nothing`
    Untouched(Vec<Name>),
    /// `other faults change nothing`
    OthersUntouched,
}
