//! Which quantities may be added, multiplied and compared, and what comes out.

use super::{Action, Dimension, DimensionClash, Role};

impl Dimension {
    /// What the sum is. A point and an amount make a point; two points can't be added.
    ///
    /// # Errors
    /// The clash of the two.
    #[allow(clippy::should_implement_trait)]
    pub fn add(self, other: Dimension) -> Result<Dimension, DimensionClash> {
        match (self.role, other.role) {
            _ if !self.same_powers(other) => Err(Action::Add.clash(self, other)),
            (one, two) if one.is_point() && two == Role::Plain => Ok(self),
            (Role::Plain, two) if two.is_point() => Ok(other),
            (one, two) if one == two && !one.is_point() => Ok(self),
            _ => Err(Action::Add.clash(self, other)),
        }
    }

    /// What the difference `self - other` is. Two points of one scale make an amount.
    ///
    /// # Errors
    /// The clash of the two.
    #[allow(clippy::should_implement_trait)]
    pub fn sub(self, other: Dimension) -> Result<Dimension, DimensionClash> {
        match (self.role, other.role) {
            _ if !self.same_powers(other) => Err(Action::Subtract.clash(self, other)),
            (one, Role::Plain) if one.is_point() => Ok(self),
            (one, two) if one == two => Ok(self.difference()),
            _ => Err(Action::Subtract.clash(self, other)),
        }
    }

    /// What the product is.
    ///
    /// # Errors
    /// A temperature or a gauge pressure can't be multiplied: its nought is only agreed on.
    #[allow(clippy::should_implement_trait)]
    pub fn mul(self, other: Dimension) -> Result<Dimension, DimensionClash> {
        let clash = Action::Multiply.clash(self, other);
        if !self.has_true_zero() || !other.has_true_zero() {
            return Err(clash);
        }
        let role = match (self, other) {
            (one, Dimension::NONE) => one.role,
            (Dimension::NONE, two) => two.role,
            _ => Role::Plain,
        };
        self.powers(other, i8::checked_add).map(|product| product.with_role(role)).ok_or(clash)
    }

    /// What the quotient `self / other` is.
    ///
    /// # Errors
    /// A temperature or a gauge pressure can't be divided: its nought is only agreed on.
    #[allow(clippy::should_implement_trait)]
    pub fn div(self, other: Dimension) -> Result<Dimension, DimensionClash> {
        let clash = Action::Divide.clash(self, other);
        if !self.has_true_zero() || !other.has_true_zero() {
            return Err(clash);
        }
        let role = if other == Dimension::NONE { self.role } else { Role::Plain };
        self.powers(other, i8::checked_sub).map(|quotient| quotient.with_role(role)).ok_or(clash)
    }

    /// Whether the two may be compared: same powers and same role.
    ///
    /// # Errors
    /// The clash of the two.
    pub fn compare(self, other: Dimension) -> Result<(), DimensionClash> {
        if self == other { Ok(()) } else { Err(Action::Compare.clash(self, other)) }
    }

    fn has_true_zero(self) -> bool {
        !matches!(self.role, Role::Temperature | Role::Gauge)
    }

    /// Each power joined with that of the other; `None` if one grows too large.
    fn powers(self, other: Dimension, join: fn(i8, i8) -> Option<i8>) -> Option<Dimension> {
        Some(Dimension::plain(
            join(self.kilogram, other.kilogram)?,
            join(self.metre, other.metre)?,
            join(self.second, other.second)?,
            join(self.ampere, other.ampere)?,
            join(self.kelvin, other.kelvin)?,
        ))
    }
}
