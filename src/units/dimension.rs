//! What a number measures: powers of the base units, and a role that tells apart what they can't.
//!
//! A temperature and a temperature difference have the same powers, and so have gauge pressure,
//! absolute pressure and a pressure difference, rpm and Hz, V AC and V. Mixing them is the common slip
//! of the trade, so the role is part of the dimension and the clash says which word is missing.
//!
//! Must not know: numbers, unit spellings beyond the usual symbol, rulebooks.

mod clash;
mod noun;
mod rules;

#[cfg(test)]
mod tests;

pub use clash::{Action, DimensionClash};

/// What sort of quantity it is, beyond its powers of the base units.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Role {
    /// An amount or a difference: V, ohm, K, plain kPa.
    Plain,
    /// The effective value of an alternating quantity: V AC. Not comparable with V.
    Alternating,
    /// Turns per time: rpm. Not comparable with Hz.
    Rotation,
    /// A point on a temperature scale: degC, degF. A difference of two is Plain: K.
    Temperature,
    /// Pressure above the air outside: `kPa gauge`.
    Gauge,
    /// Pressure above vacuum: `kPa absolute`.
    Absolute,
}

impl Role {
    /// Whether it marks a point on a scale, of which only differences are amounts.
    pub fn is_point(self) -> bool {
        matches!(self, Role::Temperature | Role::Gauge | Role::Absolute)
    }
}

/// Powers of the SI base units and the role of the quantity.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Dimension {
    /// Power of the kilogram.
    pub kilogram: i8,
    /// Power of the metre.
    pub metre: i8,
    /// Power of the second.
    pub second: i8,
    /// Power of the ampere.
    pub ampere: i8,
    /// Power of the kelvin.
    pub kelvin: i8,
    /// What sort of quantity it is.
    pub role: Role,
}

impl Dimension {
    /// A plain number, or a share in %.
    pub const NONE: Dimension = Dimension::plain(0, 0, 0, 0, 0);
    /// Volt.
    pub const VOLTAGE: Dimension = Dimension::plain(1, 2, -3, -1, 0);
    /// Volt, effective value of an alternating voltage.
    pub const VOLTAGE_AC: Dimension = Dimension::VOLTAGE.with_role(Role::Alternating);
    /// Ampere.
    pub const CURRENT: Dimension = Dimension::plain(0, 0, 0, 1, 0);
    /// Ampere, effective value of an alternating current.
    pub const CURRENT_AC: Dimension = Dimension::CURRENT.with_role(Role::Alternating);
    /// Ohm.
    pub const RESISTANCE: Dimension = Dimension::plain(1, 2, -3, -2, 0);
    /// Watt.
    pub const POWER: Dimension = Dimension::plain(1, 2, -3, 0, 0);
    /// Joule.
    pub const ENERGY: Dimension = Dimension::plain(1, 2, -2, 0, 0);
    /// Ampere-second.
    pub const CHARGE: Dimension = Dimension::plain(0, 0, 1, 1, 0);
    /// Per second: Hz.
    pub const FREQUENCY: Dimension = Dimension::plain(0, 0, -1, 0, 0);
    /// Turns per second: rpm.
    pub const ROTATION: Dimension = Dimension::FREQUENCY.with_role(Role::Rotation);
    /// A pressure difference, in Pa.
    pub const PRESSURE: Dimension = Dimension::plain(1, -1, -2, 0, 0);
    /// Pressure above the air outside, in Pa.
    pub const GAUGE_PRESSURE: Dimension = Dimension::PRESSURE.with_role(Role::Gauge);
    /// Pressure above vacuum, in Pa.
    pub const ABSOLUTE_PRESSURE: Dimension = Dimension::PRESSURE.with_role(Role::Absolute);
    /// A temperature difference, in K.
    pub const TEMPERATURE_DIFFERENCE: Dimension = Dimension::plain(0, 0, 0, 0, 1);
    /// A temperature, in K above absolute zero.
    pub const TEMPERATURE: Dimension = Dimension::TEMPERATURE_DIFFERENCE.with_role(Role::Temperature);
    /// Metre.
    pub const LENGTH: Dimension = Dimension::plain(0, 1, 0, 0, 0);
    /// Square metre.
    pub const AREA: Dimension = Dimension::plain(0, 2, 0, 0, 0);
    /// Second.
    pub const TIME: Dimension = Dimension::plain(0, 0, 1, 0, 0);
    /// Metre per second.
    pub const SPEED: Dimension = Dimension::plain(0, 1, -1, 0, 0);
    /// Kilogram.
    pub const MASS: Dimension = Dimension::plain(1, 0, 0, 0, 0);
    /// Cubic metre.
    pub const VOLUME: Dimension = Dimension::plain(0, 3, 0, 0, 0);

    /// An amount with these powers of kg, m, s, A and K.
    pub const fn plain(kilogram: i8, metre: i8, second: i8, ampere: i8, kelvin: i8) -> Dimension {
        Dimension { kilogram, metre, second, ampere, kelvin, role: Role::Plain }
    }

    /// The same powers in another role.
    pub const fn with_role(self, role: Role) -> Dimension {
        Dimension { role, ..self }
    }

    /// Whether two quantities have the same powers, whatever their roles.
    pub fn same_powers(self, other: Dimension) -> bool {
        self.with_role(Role::Plain) == other.with_role(Role::Plain)
    }

    /// Whether the two are gauge and absolute pressure, which the pressure of the air outside joins.
    pub fn joined_by_ambient(self, other: Dimension) -> bool {
        self.same_powers(other)
            && matches!((self.role, other.role), (Role::Gauge, Role::Absolute) | (Role::Absolute, Role::Gauge))
    }

    /// What a difference of two such quantities is: K for a temperature, plain kPa for a pressure.
    pub fn difference(self) -> Dimension {
        if self.role.is_point() { self.with_role(Role::Plain) } else { self }
    }
}
