//! Lint by meaning: help pages, planted defects and near-misses, witnesses held against the real judge, the published
//! specimen, and brute force over whole spaces of random books.

#[path = "meaning/bare.rs"]
mod bare;
#[path = "meaning/circuits.rs"]
mod circuits;
#[path = "meaning/command.rs"]
mod command;
#[path = "meaning/meters.rs"]
mod meters;
#[path = "meaning/pages.rs"]
mod pages;
#[path = "meaning/random.rs"]
mod random;
#[path = "meaning/redundant.rs"]
mod redundant;
#[path = "meaning/shelf.rs"]
mod shelf;
#[path = "meaning/shipped.rs"]
mod shipped;
#[path = "meaning/signs.rs"]
mod signs;
#[path = "meaning/sparse.rs"]
mod sparse;
#[path = "meaning/specimen.rs"]
mod specimen;
#[path = "support/text.rs"]
mod text;
#[path = "meaning/verdicts.rs"]
mod verdicts;
