//! A relay and what is usual of one.
//!
//! Why: its two limits are a data sheet's, not a switch's. It must not know which way it stands.

use super::point::PointId;
use super::spread::Spread;

/// A relay: a coil that moves a contact.
///
/// A data sheet says at which voltage a relay has surely pulled in and at which it has surely dropped out; between the two this one may be
/// in either position, and both are kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Relay {
    /// The coil's points, 86 and 85.
    pub coil: (PointId, PointId),
    /// Coil resistance, ohm.
    pub coil_ohm: Spread,
    /// 30, the common contact.
    pub common: PointId,
    /// 87, joined to 30 when pulled in.
    pub make: Option<PointId>,
    /// 87a, joined to 30 at rest.
    pub rest: Option<PointId>,
    /// Contact resistance, ohm, of either contact.
    pub contact_ohm: Spread,
    /// Coil voltage at and above which it has surely pulled in, volts.
    pub pull_in: f64,
    /// Coil voltage at and below which it has surely dropped out, volts.
    pub drop_out: f64,
}

impl Relay {
    /// Pull-in and drop-out voltage for a relay of which only the system voltage is known: two thirds and one eighth of it. Mini ISO relay
    /// data sheets give 8.0 V and 1.5 V at 12 V, 16 V and 3 V at 24 V.
    pub fn usual_limits(system_volts: f64) -> (f64, f64) {
        (system_volts * 2.0 / 3.0, system_volts / 8.0)
    }

    /// Contact resistance of a relay in order, 30 to 87: 0.015 V typical and 0.2 V at most, at 10 A (mini ISO relay data sheet).
    pub fn usual_contact() -> Spread {
        Spread::fixed(0.0, 0.0015, 0.02)
    }
}
