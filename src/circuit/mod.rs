//! The physics behind the readings: a circuit of the book as a DC network, and what each reading would show under
//! each setup and fault. Knows the book, not the job: the reasoning gets plain expected intervals.

pub mod network;
