//! A recorded signal as it is entered.

use crate::source::Span;

use super::{Name, Number, Text};

/// A column of a log: by its number or by its name in quotes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum LogColumn {
    /// `channel 2`
    Number(Number),
    /// `channel "feed"`
    Named(Text),
}

/// `from "ride.csv" channel 2, time in ms`: a log and what is told of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogWords {
    /// The file.
    pub file: Text,
    /// `channel 2`, `channel "feed"`
    pub channel: Option<LogColumn>,
    /// `in mV`: the channel's unit.
    pub unit: Option<Name>,
    /// `time column 3`, `time column "t"`
    pub time: Option<LogColumn>,
    /// `time in ms`
    pub time_unit: Option<Name>,
    /// `every 10 ms`: there is no column of times.
    pub every: Option<Number>,
    /// `separator ";"`
    pub separator: Option<Text>,
    /// `decimal comma` (true), `decimal point`
    pub comma: Option<(bool, Span)>,
    /// `digest "…"`: what the file was when it was entered.
    pub digest: Option<Text>,
}
