//! What a technician is told at once about a line that was taken.

/// What kind of word it is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum NoticeKind {
    /// Set because something needs it.
    Brought,
    /// Taken away because it is excluded or lost its need.
    Removed,
    /// The entry decides nothing as things stand.
    Idle,
    /// The same reading counts under two setups.
    BothCount,
    /// An earlier entry was replaced.
    Replaced,
    /// A value was converted.
    Converted,
    /// A line was taken back.
    TakenBack,
    /// Something of a log could not be used, and is counted.
    LogRows,
    /// Something of a log is missing, and is counted.
    LogGaps,
    /// A log is not the one that was entered.
    LogChanged,
    /// Something else worth a word.
    Note,
}

/// One thing to tell.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Notice {
    /// Of what kind.
    pub kind: NoticeKind,
    /// The words: lower case, no full stop.
    pub text: String,
}

impl Notice {
    /// A notice of that kind.
    pub fn new(kind: NoticeKind, text: impl Into<String>) -> Self {
        Self { kind, text: text.into() }
    }
}
