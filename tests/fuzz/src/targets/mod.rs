//! One file a target, one row in the table: a function from bytes to nothing that panics where a law is broken.

mod book;
mod entries;
mod format;
mod grammar;
mod judge;
mod lint;
mod record;
mod session;
mod shelf;
mod signals;

/// Takes a text; panics where a law is broken.
pub(crate) type Run = fn(&[u8]);

/// Every target by name.
pub(crate) const TARGETS: &[(&str, Run)] = &[
    ("grammar", grammar::run),
    ("format", format::run),
    ("book", book::run),
    ("entries", entries::run),
    ("record", record::run),
    ("judge", judge::run),
    ("session", session::run),
    ("lint", lint::run),
    ("signals", signals::run),
];

/// The target of that name.
pub(crate) fn find(name: &str) -> Option<Run> {
    TARGETS.iter().find(|(known, _)| *known == name).map(|(_, run)| *run)
}
