//! Lint by name and shape: every check keeps what its help page says, the corpus is found whole, near-misses raise
//! nothing, and the command line does what it promises.

#[path = "lint/command.rs"]
mod command;
#[path = "lint/corpus.rs"]
mod corpus;
#[path = "lint/outputs.rs"]
mod outputs;
#[path = "lint/planted.rs"]
mod planted;
#[path = "lint/registry.rs"]
mod registry;
#[path = "lint/shelf.rs"]
mod shelf;
#[path = "lint/sturdy.rs"]
mod sturdy;
