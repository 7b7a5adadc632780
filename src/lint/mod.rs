//! Checks for authors and CI: worked cases, and findings about a book. One check a file.

pub mod cases;
