//! The refrigerants and their vapour-pressure equations.
//!
//! ln(p/pc) = (Tc/T)·Σ nᵢ·θ^tᵢ with θ = 1 − T/Tc, T in K. Sources: R-134a, Tillner-Roth and Baehr,
//! J. Phys. Chem. Ref. Data 23 (1994) 657–729; R-1234yf, Richter, McLinden and Lemmon, J. Chem. Eng.
//! Data 56 (2011) 3254–3264. From −40 to 80 °C the equations lie within 0.014 % (R-134a) and 0.28 %
//! (R-1234yf, at −40 °C; 0.05 % from −20 °C) of the equations of state that are in use now. Both are pure
//! fluids: they boil and condense at one temperature, so dew and bubble point are the same.

use super::Range;
use crate::units::{Bound, Exact, Interval};

/// A refrigerant.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Fluid {
    /// R-134a, 1,1,1,2-tetrafluoroethane.
    R134a,
    /// R-1234yf, 2,3,3,3-tetrafluoropropene.
    R1234yf,
}

/// Newton's steps at most; five or six do.
const MOST_STEPS: usize = 40;
/// After a step that small, in K, the next would be less than the last bit.
const LAST_STEP: f64 = 1e-7;

const ALL: [Fluid; 2] = [Fluid::R134a, Fluid::R1234yf];

/// Constants of one vapour-pressure equation.
struct Equation {
    critical_kelvin: f64,
    critical_pascal: f64,
    terms: [(f64, f64); 4],
}

const R134A: Equation = Equation {
    critical_kelvin: 374.18,
    critical_pascal: 4_056_290.0,
    terms: [(-7.686_556, 1.0), (2.311_791, 1.5), (-2.039_554, 2.0), (-3.583_758, 4.0)],
};

const R1234YF: Equation = Equation {
    critical_kelvin: 367.85,
    critical_pascal: 3_382_200.0,
    terms: [(-7.4697, 1.0), (2.7915, 1.5), (-2.1312, 1.8), (-2.9531, 3.8)],
};

impl Fluid {
    /// The refrigerant of this name; case, spaces and hyphens don't count.
    pub fn find(name: &str) -> Option<Fluid> {
        let wanted = folded(name);
        ALL.into_iter().find(|fluid| folded(fluid.name()) == wanted)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Fluid::R134a => "R-134a",
            Fluid::R1234yf => "R-1234yf",
        }
    }

    /// The names of all, for messages.
    pub(super) fn names() -> String {
        ALL.map(|fluid| format!("`{}`", fluid.name())).join(" or ")
    }

    /// Saturation pressure in Pa at a temperature in K below the critical one.
    pub(in crate::units::functions) fn pressure(self, kelvin: f64) -> f64 {
        self.equation().critical_pascal * self.logarithm(kelvin).0.exp()
    }

    /// ln(p/pc) at a temperature in K, and its slope over 1/T.
    fn logarithm(self, kelvin: f64) -> (f64, f64) {
        let Equation { critical_kelvin, terms, .. } = self.equation();
        let theta = 1.0 - kelvin / critical_kelvin;
        let (mut sum, mut slope) = (0.0, 0.0);
        for (n, t) in terms {
            let term = n * theta.powf(*t);
            sum += term;
            slope += t * term;
        }
        (critical_kelvin / kelvin * sum, critical_kelvin * sum + kelvin * slope / theta)
    }

    /// Saturation temperature in K at a pressure in Pa within [`Fluid::pressures`], by Newton's steps in 1/T, over which
    /// ln p is all but straight: each step about doubles the digits that are right.
    pub(in crate::units::functions) fn temperature(self, pascal: f64) -> f64 {
        // a little wider than the range, whose pressures are rounded to whole Pa
        let (coldest, hottest) = self.kelvins();
        let (coldest, hottest) = (coldest - 0.5, hottest + 0.5);
        let wanted = (pascal / self.equation().critical_pascal).ln();
        let mut kelvin = f64::midpoint(coldest, hottest);
        for _ in 0..MOST_STEPS {
            let (found, slope) = self.logarithm(kelvin);
            let next = (1.0 / (1.0 / kelvin + (wanted - found) / slope)).clamp(coldest, hottest);
            let step = (next - kelvin).abs();
            kelvin = next;
            if step < LAST_STEP {
                break;
            }
        }
        kelvin
    }

    /// The range of temperatures: -45 degC to just below the critical point; the papers go lower.
    pub(in crate::units::functions) fn temperatures(self) -> Range {
        let (low, high) = self.kelvins();
        Range { argument: "temperature", valid: closed(low, high), unit: "degC" }
    }

    /// The range of absolute pressures that belongs to the range of temperatures.
    pub(in crate::units::functions) fn pressures(self) -> Range {
        let (low, high) = self.kelvins();
        let (low, high) = (self.pressure(low).floor(), self.pressure(high).ceil());
        Range { argument: "pressure", valid: closed(low, high), unit: "kPa absolute" }
    }

    fn kelvins(self) -> (f64, f64) {
        match self {
            Fluid::R134a => (228.15, 373.15),
            Fluid::R1234yf => (228.15, 367.15),
        }
    }

    fn equation(self) -> &'static Equation {
        match self {
            Fluid::R134a => &R134A,
            Fluid::R1234yf => &R1234YF,
        }
    }
}

fn closed(low: f64, high: f64) -> Interval {
    let end = |value| Exact::from_f64(value).map_or(Bound::Unbounded, |value| Bound::Closed(value.rounded(2)));
    Interval { low: end(low), high: end(high) }
}

fn folded(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

#[cfg(test)]
mod tests {
    use super::ALL;

    #[test]
    fn the_temperature_of_a_pressure_has_that_pressure_over_the_whole_range() {
        for fluid in ALL {
            let (coldest, hottest) = fluid.kelvins();
            for place in 0..=1000 {
                let kelvin = coldest + (hottest - coldest) * f64::from(place) / 1000.0;
                let found = fluid.temperature(fluid.pressure(kelvin));
                assert!((found / kelvin - 1.0).abs() < 1e-14, "{fluid:?}: {kelvin} K, found {found} K");
            }
            // the ends of the range of pressures, rounded to whole Pa, lie a little outside
            let low = fluid.temperature(fluid.pressure(coldest).floor());
            let high = fluid.temperature(fluid.pressure(hottest).ceil());
            assert!(low <= coldest && coldest - low < 0.01 && high >= hottest && high - hottest < 0.01);
        }
    }
}
