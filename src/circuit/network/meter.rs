//! Instruments and what is read with them.
//!
//! Why: a meter is a part of the circuit it measures. A 10 Mohm voltmeter shows full voltage through a corroded joint that a test lamp cannot
//! light through, and a lamp may shift a relay. It must not know how a network is solved.

use super::place::Place;
use super::point::PointId;
use super::spread::Spread;

/// Input resistance of an ordinary digital voltmeter, ohm (check-values.md section 10: at least 10 Mohm).
pub const VOLTMETER_OHM: f64 = 10e6;

/// Input resistance of a voltmeter's low-impedance setting, ohm (about 3 kohm; common practice, no source).
pub const LOW_IMPEDANCE_OHM: f64 = 3e3;

/// What is held across two points to read a voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meter {
    /// A digital voltmeter of [`VOLTMETER_OHM`].
    Voltmeter,
    /// A voltmeter set to low impedance, [`LOW_IMPEDANCE_OHM`].
    LowImpedance,
    /// A test lamp of this many ohm, hot ([`Spread::from_power`]).
    TestLamp(Spread),
    /// Any other instrument of this many ohm.
    Other(Spread),
}

impl Meter {
    /// Its resistance, ohm.
    pub fn ohm(&self) -> Spread {
        match self {
            Meter::Voltmeter => Spread::fixed(VOLTMETER_OHM, VOLTMETER_OHM, VOLTMETER_OHM),
            Meter::LowImpedance => Spread::fixed(LOW_IMPEDANCE_OHM, LOW_IMPEDANCE_OHM, LOW_IMPEDANCE_OHM),
            Meter::TestLamp(ohm) | Meter::Other(ohm) => *ohm,
        }
    }

    /// Its resistance if it is one that can be changed.
    pub(super) fn spread_mut(&mut self) -> Option<&mut Spread> {
        match self {
            Meter::Voltmeter | Meter::LowImpedance => None,
            Meter::TestLamp(ohm) | Meter::Other(ohm) => Some(ohm),
        }
    }
}

/// How a current is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ammeter {
    /// A clamp around the lead: it changes nothing.
    Clamp,
    /// A meter cut into the lead, of this many ohm with its leads.
    InSeries(Spread),
}

/// A reading to be foretold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// Volts across two points.
    Voltage {
        /// The plus probe.
        plus: PointId,
        /// The minus probe.
        minus: PointId,
        /// The instrument held there.
        meter: Meter,
    },
    /// Ampere through a part.
    Current {
        /// The part, or a relay's coil.
        through: Place,
        /// The instrument.
        meter: Ammeter,
    },
    /// Ohm between two points with every supply disconnected, relays at rest, diodes blocking (an ohmmeter's voltage is too low for
    /// them), and any fuse open that the circuit, powered in the same setup, would have blown. No connection reads infinite.
    Resistance {
        /// One probe.
        from: PointId,
        /// The other.
        to: PointId,
    },
}

impl Reading {
    /// A voltage with an ordinary voltmeter.
    pub fn voltage(plus: PointId, minus: PointId) -> Reading {
        Reading::Voltage { plus, minus, meter: Meter::Voltmeter }
    }

    /// A current with a clamp.
    pub fn current(through: impl Into<Place>) -> Reading {
        Reading::Current { through: through.into(), meter: Ammeter::Clamp }
    }
}
