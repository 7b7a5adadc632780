//! What a book says once it is resolved: every name an id, every number in base units.

use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

use crate::source::{Sources, Span};
use crate::syntax::tree::{self, Piece};
use crate::units::{Accuracy, Bound, Dimension, Exact, GuardBand, RootSumSquare, Unit};

use super::circuits::Circuit;
use super::condition::Condition;
use super::digest::Digest;
use super::ids::{CautionId, FaultId, IndicationId, PartId, SettingId};
use super::names::Symbol;
use super::setup::{Demand, Mask, Term};
use super::uses::Uses;

/// How the vehicle is run, or what was done to it for the test.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SettingKind {
    /// An operating state.
    State,
    /// A temporary change, to be put back.
    Change,
}

/// Which readings a change can alter.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Affects {
    /// Any.
    Everything,
    /// Only these; none if empty.
    Only(Vec<IndicationId>),
}

/// A state or a change.
#[derive(Clone, PartialEq, Debug)]
pub struct Setting {
    /// As declared.
    pub name: String,
    /// State or change.
    pub kind: SettingKind,
    /// Its values; off and on unless it says `one of`.
    pub values: Vec<String>,
    /// Whether it has values of its own.
    pub one_of: bool,
    /// The value at the start of a job.
    pub normal: u8,
    /// The value at which it brings nothing: off, not in place, the first.
    pub inactive: u8,
    /// Whether it brings out what shows only sometimes: heat, vibration, load, a wiggled harness.
    pub provokes: bool,
    /// What must hold while it is active.
    pub needs: Vec<Term>,
    /// What can't hold while it is active, both ways.
    pub excludes: Vec<Term>,
    /// What to do.
    pub steps: Steps,
    /// The part that a change swaps.
    pub swaps: Option<PartId>,
    /// How a change is put back.
    pub put_back: Option<Piece>,
    /// Which readings a change can alter.
    pub affects: Affects,
    /// Its name in the declaration.
    pub span: Span,
}

impl Setting {
    /// The set of all its values.
    pub fn every_value(&self) -> Mask {
        let count = self.values.len().clamp(1, 64);
        if count == 64 { Mask::MAX } else { (1 << count) - 1 }
    }

    /// The lowest value of a set; the inactive one if the set is empty.
    pub fn lowest(&self, allowed: Mask) -> u8 {
        let found = allowed & self.every_value();
        if found == 0 || found & (1 << self.inactive) != 0 {
            self.inactive
        } else {
            u8::try_from(found.trailing_zeros()).unwrap_or(0)
        }
    }

    /// How a sentence names it at a value: `relay swapped`, `speed selected is high`.
    pub fn said(&self, value: u8) -> String {
        if self.one_of {
            format!("{} is {}", self.name, self.values.get(usize::from(value)).map_or("", String::as_str))
        } else {
            self.name.clone()
        }
    }
}

/// How long and how dangerous something is, and how it is done.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Steps {
    /// What to do.
    pub how: Option<Piece>,
    /// Where.
    pub place: Option<Piece>,
    /// How long, in seconds.
    pub takes: Option<Exact>,
    /// Cautions of the book.
    pub cautions: Vec<CautionId>,
    /// Standing hazards.
    pub hazards: Vec<Hazard>,
}

/// A hazard that has a standing caution of its own.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[expect(missing_docs, reason = "each variant is the hazard's own word")]
pub enum Hazard {
    Moving,
    Hot,
    Pressurised,
    Battery,
    Refrigerant,
    Airbag,
    HighVoltage,
    Exhaust,
    Raised,
}

/// A tolerance line as written; comparisons resolve its limits for themselves.
#[derive(Clone, PartialEq, Debug)]
pub struct ToleranceWords {
    /// Lower end.
    pub low: tree::Expr,
    /// Upper end.
    pub high: tree::Expr,
    /// Its setup words, sorted.
    pub words: Vec<Term>,
    /// What they demand.
    pub demand: Demand,
    /// Where it stands.
    pub span: Span,
}

/// A named part of a reading's range.
#[derive(Clone, PartialEq, Debug)]
pub struct Band {
    /// As declared.
    pub name: String,
    /// Its own lower end; none for the lowest.
    pub low: Option<Exact>,
    /// The next one's lower end; none for the highest.
    pub high: Option<Exact>,
    /// Where it stands.
    pub span: Span,
}

/// A number taken with an instrument, or computed from such.
#[derive(Clone, PartialEq, Debug)]
pub struct Reading {
    /// The unit that it is shown in.
    pub unit: Option<&'static Unit>,
    /// What it measures.
    pub dimension: Dimension,
    /// What is physically possible, in base units.
    pub range: Option<(Bound, Bound)>,
    /// What a sound vehicle shows.
    pub tolerance: Vec<ToleranceWords>,
    /// How well it is usually read.
    pub meter: Option<Accuracy>,
    /// Named parts of its range, lowest first.
    pub bands: Vec<Band>,
    /// For a computed reading, from what.
    pub computed: Option<tree::Expr>,
    /// For a computed reading, whether the widths of its parts are joined by root sum square; else they add.
    pub root_sum_square: Option<RootSumSquare>,
    /// The readings that a computed one is made of, at last.
    pub parts: Vec<IndicationId>,
}

/// A thing seen, heard, or read as a code.
#[derive(Clone, PartialEq, Debug)]
pub struct Observation {
    /// The answers, in book order.
    pub answers: Vec<String>,
    /// Those of a sound vehicle; 0 if it doesn't say.
    pub sound: Mask,
}

/// Reading or observation.
#[derive(Clone, PartialEq, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "made once a line and walked by reference; boxing would only blur the pattern"
)]
pub enum IndicationKind {
    /// A number.
    Reading(Reading),
    /// An answer.
    Observation(Observation),
}

/// What a meter indicates or a technician sees.
#[derive(Clone, PartialEq, Debug)]
pub struct Indication {
    /// As declared.
    pub name: String,
    /// Number or answer.
    pub kind: IndicationKind,
    /// The setup words of its `needs`, sorted.
    pub needs: Vec<Term>,
    /// What they demand, all that follows included.
    pub demand: Demand,
    /// `unaffected by any change`
    pub unaffected_by_any: bool,
    /// Changes that can't alter it.
    pub unaffected_by: Vec<SettingId>,
    /// How it is taken.
    pub steps: Steps,
    /// Its name in the declaration.
    pub span: Span,
}

impl Indication {
    /// The reading, if it is one.
    pub fn reading(&self) -> Option<&Reading> {
        match &self.kind {
            IndicationKind::Reading(reading) => Some(reading),
            IndicationKind::Observation(_) => None,
        }
    }

    /// The observation, if it is one.
    pub fn observation(&self) -> Option<&Observation> {
        match &self.kind {
            IndicationKind::Observation(observation) => Some(observation),
            IndicationKind::Reading(_) => None,
        }
    }
}

/// A named value.
#[derive(Clone, PartialEq, Debug)]
pub struct Limit {
    /// As declared.
    pub name: String,
    /// In base units.
    pub value: Exact,
    /// What it measures.
    pub dimension: Dimension,
    /// The unit that it was written in.
    pub unit: Option<&'static Unit>,
    /// Why this value.
    pub because: Option<Piece>,
    /// Where it is published.
    pub source: Option<Piece>,
    /// Its name in the declaration.
    pub span: Span,
}

/// A component.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// As declared.
    pub name: String,
    /// Parts of one kind are exchangeable.
    pub kind: Option<Piece>,
    /// Where it sits.
    pub place: Option<Piece>,
    /// What it is rated for.
    pub rating: Option<Piece>,
    /// Whether it may be borrowed for a swap.
    pub may_lend: bool,
    /// Its name in the declaration.
    pub span: Span,
}

/// A warning.
#[derive(Clone, PartialEq, Debug)]
pub struct Caution {
    /// As declared.
    pub name: String,
    /// What it says.
    pub text: Piece,
    /// Work for licensed or qualified hands only.
    pub stop: bool,
    /// Its name in the declaration.
    pub span: Span,
}

/// What a fault makes the vehicle show.
#[derive(Clone, PartialEq, Debug)]
pub struct Shows {
    /// What.
    pub condition: Condition,
    /// In how many of how many cases; none: always.
    pub chance: Option<(u32, u32)>,
    /// Where it stands.
    pub span: Span,
}

/// A hypothesis.
#[derive(Clone, PartialEq, Debug)]
pub struct Fault {
    /// As declared.
    pub name: String,
    /// What is wrong, in a sentence.
    pub description: Option<Piece>,
    /// The part that is at fault.
    pub part: Option<PartId>,
    /// How often it is the cause, relative to the others.
    pub share: Exact,
    /// What mends it.
    pub remedy: Option<Piece>,
    /// How long the remedy takes, how dangerous it is.
    pub steps: Steps,
    /// What it shows.
    pub shows: Vec<Shows>,
    /// What must hold once it is repaired.
    pub verify: Vec<Condition>,
    /// Its name in the declaration.
    pub span: Span,
}

/// A name for a condition.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// As declared.
    pub name: String,
    /// What it stands for.
    pub condition: Condition,
    /// Why.
    pub because: Option<Piece>,
    /// Its name in the declaration.
    pub span: Span,
}

/// What a rule concludes.
#[derive(Clone, PartialEq, Debug)]
pub enum Conclusion {
    /// Every one of them is there.
    Implies(Vec<FaultId>),
    /// One of them is there.
    ImpliesOneOf(Vec<FaultId>),
    /// None of them is there.
    RulesOut(Vec<FaultId>),
    /// The odds of each are multiplied by this; below 1 where it speaks against.
    Odds(Vec<FaultId>, Exact),
}

/// One inference.
#[derive(Clone, PartialEq, Debug)]
pub struct Rule {
    /// Free text.
    pub label: String,
    /// When it applies.
    pub condition: Condition,
    /// What follows.
    pub conclusions: Vec<Conclusion>,
    /// Why.
    pub because: Option<Piece>,
    /// Where it is published.
    pub source: Option<Piece>,
    /// Its label.
    pub span: Span,
}

/// What the customer reports.
#[derive(Clone, PartialEq, Debug)]
pub struct Complaint {
    /// Free text.
    pub name: String,
    /// The faults that can explain it; none: it doesn't say.
    pub may_be: Option<Vec<FaultId>>,
    /// Baseline tests before any advice.
    pub first: Vec<IndicationId>,
    /// When it is gone.
    pub gone: Option<Condition>,
    /// Its name.
    pub span: Span,
}

/// A worked example.
#[derive(Clone, PartialEq, Debug)]
pub struct Case {
    /// Free text.
    pub label: String,
    /// Its lines, with their places.
    pub lines: Vec<(tree::Statement, Span)>,
    /// Its label.
    pub span: Span,
}

/// A resolved rulebook.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// Title of the book.
    pub title: String,
    /// Its file, as given.
    pub file: String,
    /// Revision of the book.
    pub revision: Option<String>,
    /// What it covers.
    pub scope: Option<String>,
    /// How many faults may be there at once.
    pub at_once: usize,
    /// The share of what the book doesn't know.
    pub uncovered_share: Exact,
    /// With which probability a limit must be kept before a reading is judged; none where a meter's limit of error counts as it is.
    pub guard_band: Option<GuardBand>,
    /// Digest of all its texts.
    pub digest: Digest,
    /// The profile that it was resolved for.
    pub profile: Option<String>,
    /// The profiles that it offers.
    pub profiles: Vec<String>,
    /// States and changes.
    pub settings: Vec<Setting>,
    /// Readings and observations.
    pub indications: Vec<Indication>,
    /// Limits.
    pub limits: Vec<Limit>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Cautions.
    pub cautions: Vec<Caution>,
    /// Faults.
    pub faults: Vec<Fault>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Rules.
    pub rules: Vec<Rule>,
    /// Complaints.
    pub complaints: Vec<Complaint>,
    /// Cases of the book's own file.
    pub cases: Vec<Case>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
    /// Names of the shared space, folded.
    pub names: IndexMap<String, Symbol, FxBuildHasher>,
    /// States and the indications that they matter to: the pairs that the book names together, sorted.
    pub matters: Vec<(SettingId, IndicationId)>,
    /// `Q out of tolerance`, by indication, for readings that have a tolerance.
    pub tolerance_tests: Vec<Option<Condition>>,
    /// Where each indication is asked for.
    pub uses: Vec<Uses>,
    /// By indication: the provoked setups in which some fault shows something only sometimes, see [`Book::is_try`].
    pub tries: Vec<Vec<Demand>>,
    /// Its texts.
    pub sources: Sources,
}
