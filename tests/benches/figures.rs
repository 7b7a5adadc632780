//! All benchmarks in one program, for the table: built and linked once in place of once each.
//! `cargo bench --bench figures -- core` runs one; each can be run by itself as well (`cargo bench --bench core`).
#![allow(clippy::duplicate_mod, reason = "each benchmark is a program of its own besides, and brings what it shares")]

#[path = "advice.rs"]
mod advice;
#[path = "batch.rs"]
mod batch;
#[path = "circuits.rs"]
mod circuits;
#[path = "engines.rs"]
mod engines;
#[path = "entries.rs"]
mod entries;
#[path = "jobs.rs"]
mod jobs;
#[path = "lint.rs"]
mod lint;
#[path = "meaning.rs"]
mod meaning;
#[path = "signals.rs"]
mod signals;
#[path = "core.rs"]
mod whole;

fn main() -> std::io::Result<()> {
    for name in std::env::args().skip(1) {
        match name.as_str() {
            "advice" => advice::main(),
            "batch" => batch::main(),
            "circuits" => circuits::main(),
            "core" => whole::main(),
            "engines" => engines::main(),
            "entries" => entries::main(),
            "jobs" => jobs::main()?,
            "lint" => lint::main(),
            "meaning" => meaning::main(),
            "signals" => signals::main(),
            _ => {}
        }
    }
    Ok(())
}
