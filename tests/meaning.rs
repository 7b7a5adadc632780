//! Lint by meaning: help pages, planted defects and near-misses, witnesses held against the real judge, the published
//! specimen, and brute force over whole spaces of random books.

#[path = "meaning/bare.rs"]
mod bare;
#[path = "meaning/command.rs"]
mod command;
#[path = "meaning/pages.rs"]
mod pages;
#[path = "meaning/random.rs"]
mod random;
#[path = "meaning/shelf.rs"]
mod shelf;
#[path = "meaning/shipped.rs"]
mod shipped;
#[path = "meaning/specimen.rs"]
mod specimen;
