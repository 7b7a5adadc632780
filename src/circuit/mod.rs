//! The physics behind the readings: a circuit of the book as a DC network, and what each reading would show under
//! each setup and fault. Knows the book, not the job: the reasoning gets plain expected intervals.
//!
//! The way: `values` turns what the book says into ranges, `build` makes the network of one setup with the faults supposed, `supply` finds
//! what feeds it, `foretell` asks it, `each` asks it for every set of faults. `table` asks for everything at once, `picture` solves it for a drawing.

pub mod build;
mod each;
pub mod foretell;
pub mod network;
pub mod picture;
pub mod supply;
pub mod table;
pub mod trouble;
pub mod values;

pub use build::{Built, Feed, Stand};
pub use each::{Told, foretell_each};
pub use foretell::{Ask, Foretold, ForetoldOutcome, Known, foretell, is_given};
pub use supply::Supply;
pub use trouble::Trouble;
