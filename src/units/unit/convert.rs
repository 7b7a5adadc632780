//! Numbers in a unit to SI base units and back.

use super::{Scale, Unit, awg};
use crate::units::{Exact, Interval, Role};

impl Unit {
    /// A number in this unit as SI base units: V, ohm, Pa, m², s; a temperature as K above absolute zero.
    /// Exact, save for AWG.
    pub fn to_base(&self, number: &Exact) -> Exact {
        match &self.scale {
            Scale::Straight { factor, offset } if offset.is_zero() => {
                if *factor == Exact::one() {
                    number.clone()
                } else {
                    number * factor
                }
            }
            Scale::Straight { factor, offset } => number * factor + offset,
            Scale::WireGauge => awg::area(number),
        }
    }

    /// The number in this unit for a value in SI base units. Exact, save for AWG.
    pub fn from_base(&self, base: &Exact) -> Exact {
        match &self.scale {
            Scale::Straight { factor, offset } => (base - offset).checked_div(factor).unwrap_or_else(Exact::zero),
            Scale::WireGauge => awg::gauge(base),
        }
    }

    /// A width, tolerance or difference in this unit as base units: the factor only, so ±1 degC is 1 K.
    /// Nought for AWG, whose sizes are counted and not measured.
    pub fn width_to_base(&self, width: &Exact) -> Exact {
        match &self.scale {
            Scale::Straight { factor, .. } if *factor == Exact::one() => width.clone(),
            Scale::Straight { factor, .. } => width * factor,
            Scale::WireGauge => Exact::zero(),
        }
    }

    /// A width in base units as a width in this unit; nought for AWG.
    pub fn width_from_base(&self, base: &Exact) -> Exact {
        match &self.scale {
            Scale::Straight { factor, .. } => base.checked_div(factor).unwrap_or_else(Exact::zero),
            Scale::WireGauge => Exact::zero(),
        }
    }

    /// Whether a number in this unit can have a `±`; AWG can't.
    pub fn takes_width(&self) -> bool {
        self.scale != Scale::WireGauge
    }

    /// Whether there is such a value at all.
    ///
    /// # Errors
    /// The reason in shop words: a temperature or an absolute pressure below absolute zero, a wire gauge
    /// that is not drawn.
    pub fn accepts(&self, number: &Exact) -> Result<(), String> {
        if !self.takes_width() {
            return if awg::is_drawn(number) {
                Ok(())
            } else {
                Err(format!("there is no wire of {number} AWG; gauges go from -3 (4/0) to {}", awg::THINNEST))
            };
        }
        if !matches!(self.dimension.role, Role::Temperature | Role::Absolute) {
            return Ok(());
        }
        let zero = Exact::zero();
        if !self.to_base(number).is_negative() {
            return Ok(());
        }
        match self.dimension.role {
            Role::Temperature => {
                Err(format!("`{number} {}` is below absolute zero, {}", self.symbol, self.show(&zero)))
            }
            Role::Absolute => Err(format!(
                "`{number} {}` is below vacuum; a reading below the air outside is `{} gauge`",
                self.symbol, self.difference
            )),
            _ => Ok(()),
        }
    }

    /// An interval in this unit as one in base units. In AWG the larger number is the smaller area.
    pub fn interval_to_base(&self, numbers: &Interval) -> Interval {
        let (low, high) = (numbers.low.map(|end| self.to_base(end)), numbers.high.map(|end| self.to_base(end)));
        if self.takes_width() { Interval { low, high } } else { Interval { low: high, high: low } }
    }

    /// An interval in base units as one in this unit. In AWG the larger number is the smaller area.
    pub fn interval_from_base(&self, base: &Interval) -> Interval {
        let (low, high) = (base.low.map(|end| self.from_base(end)), base.high.map(|end| self.from_base(end)));
        if self.takes_width() { Interval { low, high } } else { Interval { low: high, high: low } }
    }
}
