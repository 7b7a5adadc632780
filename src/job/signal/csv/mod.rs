//! A logger's text as samples: separator, decimal mark, header, units and time are found or told, then rows are streamed
//! in blocks. A line may not be longer than [`LONGEST_LINE`]; nothing else is held in memory. Quoted cells are read, but
//! none goes on in the next line, so that a stray quote can't swallow the file.
//!
//! Must not know: rulebooks, files.

mod cells;
mod layout;
mod number;
mod problem;
mod rows;
mod time;

pub(crate) use layout::seconds_of;
pub use layout::{Column, Layout, Told, detect};
pub use problem::LogProblem;
pub use rows::{Channel, Rows, Tally};

/// The longest line, in bytes.
pub const LONGEST_LINE: usize = 1 << 20;
/// The most columns.
pub const MOST_COLUMNS: usize = 4_096;
/// How much of a log is looked at to find its layout, in bytes.
pub const HEAD: usize = 1 << 18;
