//! Recorded signals: what a logger wrote, asked with meter accuracy and sampling interval.
//!
//! A log is streamed once, in blocks, however long it is: [`csv`] turns its bytes to samples, [`monitor`] and
//! [`response`] answer what the book asks of them, [`outline`] keeps a picture of fixed size. What is left is a
//! [`Recording`], which an entry carries. Nothing here opens a file: a [`Logs`] hands over bytes.

pub mod csv;
pub(super) mod entry;
pub mod found;
pub mod monitor;
pub mod outline;
pub mod predicate;
pub mod question;
pub mod recording;
pub mod response;
pub mod robustness;
pub mod source;
pub mod words;

pub use found::{Answer, Doubt, Episode};
pub use monitor::{Monitor, Watch, dropouts};
pub use outline::{Bucket, Outline};
pub use predicate::{End, Mark, Predicate, Sum, Width};
pub use question::{Asks, Question};
pub use recording::{Recording, Tally};
pub use response::Response;
pub use source::{LogSource, Logs};

/// Two times that differ by less than this share of them are one: a logger's clock is written in decimals.
const SAME_TIME: f64 = 1e-9;

/// Whether a time is longer than another by more than rounding.
pub(crate) fn longer(time: f64, than: f64) -> bool {
    time > than + SAME_TIME * (than.abs() + time.abs()) + SAME_TIME
}
