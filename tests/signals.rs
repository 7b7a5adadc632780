//! Recorded signals: against published semantics sample by sample, and through the program with logs of every kind.

#[path = "points/bench.rs"]
#[allow(dead_code, reason = "each test file uses a part of it")]
mod bench;
#[path = "signals/command.rs"]
mod command;
#[path = "signals/hostile.rs"]
mod hostile;
#[path = "signals/reference.rs"]
mod reference;
