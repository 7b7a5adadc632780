//! The space of entries that a book can meet, as conditions see it, and what can be decided of it without trying values.
//!
//! A *point* of the space is a job with at most one entry for each reading and each setup that a sentence demands of it.
//! An entry there is one value: a number between the ends of the reading's range, or one answer. A condition is then
//! true or false where it is decided, and every question of the checks ("can this be true while that is") becomes a
//! search over comparisons ([`solve`]) with the readings as unknowns ([`system`]). Nothing is sampled: a comparison that
//! is linear in its readings is decided exactly, in fractions; any other is left open and counted as not decided.
//!
//! Two kinds of frame: one *stood up* ([`stood`]), with a setup for each entry that the vehicle can be brought to, for what can
//! be; and one *at large* ([`large`]), in which the setup of an entry is only known to meet what its sentence demands, for what can
//! never be. So a finding that something can happen rests on a job that shows it, and one that something can't holds
//! under every setup. It must not know what the checks look for.

pub(crate) mod formula;
pub(crate) mod large;
pub(crate) mod solve;
pub(crate) mod stood;
pub(crate) mod system;
pub(crate) mod witness;

#[cfg(test)]
mod tests;
