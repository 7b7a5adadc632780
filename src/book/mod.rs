//! From trees to a resolved book: names to ids, units to base units, setups to demands, conditions to tests of
//! slots. A book is a value; files reach it only through [`load::Library`].

pub(crate) mod affine;
pub mod circuits;
pub mod condition;
mod digest;
mod following;
mod hazards;
pub mod ids;
pub mod load;
mod lookup;
pub mod model;
pub mod names;
mod resolve;
pub mod setup;
pub mod signal;
mod tries;
pub mod uses;
pub mod value;

pub use circuits::Circuit;
pub use condition::{Comparison, Condition, Node, Slot, Test, ToleranceLine, ToleranceSide};
pub use digest::Digest;
pub use ids::{
    CautionId, CircuitId, ComplaintId, ElementIx, FaultId, FindingId, IndicationId, LimitId, PartId, PointIx, RuleId,
    SettingId,
};
pub use load::{Library, Loaded, load, load_part};
pub use model::{
    Affects, Band, Book, Case, Caution, Complaint, Conclusion, Fault, Finding, Hazard, Indication, IndicationKind,
    Limit, Observation, Part, Reading, Rule, Setting, SettingKind, Shows, Steps, ToleranceWords,
};
pub use names::Symbol;
pub use resolve::entries::{EntryProblem, resolve_item, resolve_items};
pub use resolve::numbers;
pub use resolve::unknown_name;
pub use setup::{Consequences, Demand, Mask, Setup, Term};
pub use signal::{Moment, Over, SignalTest};
pub use uses::{Asked, ConditionRef, Uses};
pub use value::{CallArgument, SlotIx, Value};
