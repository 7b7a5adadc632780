//! What was found when a log was asked: yes, no, or why it can't be told.

/// One stretch of time in which a test held.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Episode {
    /// The last sample before it at which the test did not hold, in s; none where the log begins with it.
    pub after: Option<f64>,
    /// The first sample at which it held, in s since the first sample of the log.
    pub start: f64,
    /// The last sample at which it held, in s.
    pub last: f64,
    /// The first sample after it at which the test no longer held, in s; none where the log ends with it.
    pub end: Option<f64>,
    /// The lowest value seen in it, in base units.
    pub low: f64,
    /// The highest value seen in it, in base units.
    pub high: f64,
}

impl Episode {
    /// From the first sample at which it held to the first at which it no longer did: the usual figure of a dropout's
    /// length, in s. To the last sample of the log where it goes on there.
    pub fn length(&self) -> f64 {
        self.end.unwrap_or(self.last) - self.start
    }

    /// The shortest and the longest that it can have been, in s; no longest where the log begins or ends with it.
    pub fn bounds(&self) -> (f64, Option<f64>) {
        let longest = self.after.zip(self.end).map(|(after, end)| end - after);
        (self.last - self.start, longest)
    }
}

/// Why a log does not tell.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Doubt {
    /// It could hide between two samples this far apart, in s.
    Hidden(f64),
    /// The accuracy leaves some samples open.
    TooClose,
    /// It was seen for at least and at most this long, in s; that is not enough to tell.
    Length(f64, Option<f64>),
    /// It goes on where the log begins or ends.
    CutOff,
    /// The samples lie too far apart to tell how long it took: between these, in s.
    Delay(f64, f64),
    /// What it should follow is never seen to begin.
    NeverBegan,
    /// The log holds no sample of it.
    NoSample,
}

/// The answer of a log to one question.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Answer {
    /// Yes, no, or not known.
    pub holds: Option<bool>,
    /// Why it is not known.
    pub doubt: Option<Doubt>,
    /// How often the test was surely seen to hold, or the response was asked for.
    pub count: u64,
    /// The first of them.
    pub episodes: Vec<Episode>,
    /// For a response: the longest that one surely took, in s.
    pub slowest: Option<f64>,
}

/// The most episodes that are kept of one question; all are counted.
pub const MOST_EPISODES: usize = 100;
