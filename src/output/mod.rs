//! Showing results: text for people, JSON for machines. Each renderer takes result types of the rows above and gives
//! text; nothing here reads files, asks the clock or prints.

pub mod cautions;
pub mod clean;
pub mod closing;
pub mod diagnostic;
pub mod judgement_json;
pub mod judgement_text;
pub mod page;
pub mod report_text;
pub mod why;
pub mod words;

pub use clean::clean;
pub use page::Page;
