//! A unit that is not in the table, and which was probably meant.

use std::{error::Error, fmt};

/// A word that is no unit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UnitProblem {
    /// The word as typed, cut after 40 letters.
    pub typed: String,
    /// Symbols of the units that were probably meant, the best first; at most a few.
    pub nearest: Vec<&'static str>,
}

impl UnitProblem {
    /// What to write instead; `None` if nothing comes near.
    pub fn fix(&self) -> Option<String> {
        let (last, before) = self.nearest.split_last()?;
        if before.is_empty() {
            return Some(format!("write `{last}`"));
        }
        let before: Vec<String> = before.iter().map(|symbol| format!("`{symbol}`")).collect();
        Some(format!("write {} or `{last}`: say which", before.join(", ")))
    }
}

impl fmt::Display for UnitProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.typed.is_empty() {
            return f.write_str("the unit is missing");
        }
        write!(f, "`{}` is no unit that is known here", self.typed)
    }
}

impl Error for UnitProblem {}
