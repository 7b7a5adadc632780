//! From text to tree. [`parse_book`] reads a rulebook, [`parse_statement`] a line of a job, a case or the REPL.
//! pest's types stay inside [`parse`]; nothing here knows what a name stands for.

pub mod format;
pub(crate) mod layout;
pub mod parse;
pub mod tree;
pub mod words;

pub use parse::{Extent, parse_book, parse_condition, parse_name, parse_part, parse_statement};
