//! Two quantities that do not go together, and what to write instead.

use std::{error::Error, fmt};

use super::{Dimension, Role};

/// What was to be done with the two quantities.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Action {
    /// `left + right`.
    Add,
    /// `left - right`.
    Subtract,
    /// `left * right`.
    Multiply,
    /// `left / right`.
    Divide,
    /// `left` compared with the limit `right`.
    Compare,
}

impl Action {
    pub(super) fn clash(self, left: Dimension, right: Dimension) -> DimensionClash {
        DimensionClash { action: self, left, right }
    }
}

/// Two quantities that do not go together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DimensionClash {
    /// What was to be done with them.
    pub action: Action,
    /// The quantity on the left.
    pub left: Dimension,
    /// The quantity on the right.
    pub right: Dimension,
}

impl DimensionClash {
    /// What is wrong, with both quantities named: "a voltage can't be compared with a resistance".
    pub fn explain(&self) -> String {
        let (left, right) = (self.left.a_noun(), self.right.a_noun());
        match self.action {
            Action::Compare => format!("{left} can't be compared with {right}"),
            Action::Add => format!("{left} and {right} can't be added"),
            Action::Subtract => format!("{right} can't be taken from {left}"),
            Action::Multiply => format!("{left} can't be multiplied by {right}"),
            Action::Divide => format!("{left} can't be divided by {right}"),
        }
    }

    /// What to write instead, where that is clear.
    pub fn fix(&self) -> Option<String> {
        if matches!(self.action, Action::Multiply | Action::Divide) {
            return self.fix_product();
        }
        if self.left.same_powers(self.right) {
            return self.fix_role();
        }
        if self.right == Dimension::NONE {
            return self.left.usual_symbol().map(|symbol| format!("give the number its unit, such as `{symbol}`"));
        }
        if self.left == Dimension::NONE {
            return self.right.usual_symbol().map(|symbol| format!("give the number its unit, such as `{symbol}`"));
        }
        let symbol = self.left.difference_if_taken(self.action).usual_symbol()?;
        Some(format!("here a quantity in `{symbol}` is needed"))
    }

    /// Same powers, different roles: a word is missing or too many.
    fn fix_role(&self) -> Option<String> {
        let roles = [self.left.role, self.right.role];
        let has = |role| roles.contains(&role);
        let fix = if has(Role::Temperature) {
            match self.action {
                Action::Compare => "a temperature is written in degC or degF, a temperature difference in K",
                _ => "a temperature difference is written in K",
            }
        } else if (has(Role::Gauge) || has(Role::Absolute)) && self.action == Action::Compare {
            match has(Role::Plain) {
                true => "say `kPa gauge` or `kPa absolute`; plain `kPa` is a difference",
                false => "say `kPa gauge` on both sides, or `kPa absolute` on both",
            }
        } else if has(Role::Gauge) || has(Role::Absolute) {
            "a pressure difference is plain `kPa`; two pressures must both be gauge or both absolute"
        } else if has(Role::Rotation) {
            "say `rpm` on both sides, or `Hz` on both"
        } else if self.left.same_powers(Dimension::VOLTAGE) {
            "say `V AC` on both sides, or `V` on both"
        } else if self.left.same_powers(Dimension::CURRENT) {
            "say `A AC` on both sides, or `A` on both"
        } else {
            return None;
        };
        Some(fix.to_owned())
    }

    /// A point on a scale in a product, or powers that grow past all use.
    fn fix_product(&self) -> Option<String> {
        let has = |role| self.left.role == role || self.right.role == role;
        if has(Role::Temperature) {
            return Some("take a temperature difference first; it is written in K".to_owned());
        }
        if has(Role::Gauge) {
            return Some("say `kPa absolute` for a ratio, or plain `kPa` for a difference".to_owned());
        }
        Some("multiply and divide fewer quantities".to_owned())
    }
}

impl Dimension {
    /// What must stand on the right of `self` for this action.
    fn difference_if_taken(self, action: Action) -> Dimension {
        if action == Action::Compare { self } else { self.difference() }
    }
}

impl fmt::Display for DimensionClash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.explain())
    }
}

impl Error for DimensionClash {}
