//! The REPL. [`Session`] answers sentences and needs no terminal; [`editor`] adds completion, hints, colours and
//! history on one.

mod answers;
pub mod commands;
pub mod editor;
mod meant;
pub mod session;
mod spelling;

pub use session::{Keeper, Reply, Session};
