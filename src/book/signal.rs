//! Conditions on recorded signals: a comparison, and over which samples it must hold. [`crate::job::signal`] answers them.

use crate::source::Span;
use crate::units::Exact;

use super::condition::Comparison;
use super::ids::SettingId;
use super::value::SlotIx;

/// A comparison at one moment of a log.
#[derive(Clone, PartialEq, Debug)]
pub struct Moment {
    /// The comparison.
    pub comparison: Comparison,
    /// Whether `is not` turns it.
    pub turned: bool,
}

/// Over which samples it must hold. Times are in seconds.
#[derive(Clone, PartialEq, Debug)]
pub enum Over {
    /// `ever`, `for at least 50 ms`, `3 times`: so many stretches of at least that length.
    Stretches {
        /// How long each must be; none: any length.
        lasting: Option<Exact>,
        /// How many.
        times: u32,
    },
    /// `always`
    Always,
    /// `within 2 s after …`, each time that this is seen to begin.
    Within(Exact, Box<Moment>),
}

/// A condition on a recorded signal; all its entries share one setup.
#[derive(Clone, PartialEq, Debug)]
pub struct SignalTest {
    /// What is compared.
    pub what: Moment,
    /// Over which samples.
    pub over: Over,
    /// The slots of all that is compared, those of tolerance lines too.
    pub slots: Vec<SlotIx>,
    /// Changes that a tolerance line of the subject names.
    pub loose: Vec<SettingId>,
    /// All of it.
    pub span: Span,
}

impl SignalTest {
    /// Whether one reading by itself can decide it: `ever` and `always` can be shown, or shown wrong, by one sample.
    pub fn one_sample_tells(&self) -> bool {
        matches!(self.over, Over::Always | Over::Stretches { lasting: None, times: 1 })
    }
}
