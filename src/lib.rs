//! Ruleout: a small rules language for technicians who hunt faults in vehicle climate and electrical systems.
//!
//! Text goes one way: [`syntax`] makes a tree, [`book`] resolves it, [`job`] keeps what was measured, [`reasoning`]
//! judges, [`advice`] says what to measure next, [`output`] shows, [`repl`] and [`cli`] talk to people.
#![forbid(unsafe_code)]

pub mod advice;
pub mod batch;
pub mod book;
pub mod circuit;
pub mod cli;
pub mod job;
mod kept;
pub mod lint;
pub mod output;
pub mod problem;
pub mod reasoning;
pub mod repl;
pub mod source;
pub mod syntax;
pub mod units;
