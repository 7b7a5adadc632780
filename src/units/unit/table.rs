//! The table of units. Of the units of one dimension the first is the usual one for results.
//!
//! Sources of the factors: SI brochure (BIPM, 9th ed.) for prefixes, litre, minute, hour and degC;
//! international yard and pound (1959) for in, ft, mi, lb, oz, psi with standard gravity 9.80665 m/s²
//! (3rd CGPM, 1901); degF by definition 5/9 K with 32 degF = 0 degC.

use std::sync::LazyLock;

use super::{Scale, Unit};
use crate::units::{Dimension, Exact};

/// All units in the order of the table.
pub(super) static UNITS: LazyLock<Vec<Unit>> = LazyLock::new(|| rows().iter().filter_map(Row::unit).collect());

type Names = &'static [&'static str];

/// One row. Numbers are fractions `(above, below)` of whole numbers.
struct Row {
    symbol: &'static str,
    others: Names,
    words: Names,
    difference: &'static str,
    noun: &'static str,
    dimension: Dimension,
    factor: (i64, i64),
    offset: (i64, i64),
    gauge: bool,
}

impl Row {
    fn unit(&self) -> Option<Unit> {
        let scale = if self.gauge {
            Scale::WireGauge
        } else {
            let (factor, offset) = (self.factor, self.offset);
            Scale::Straight { factor: Exact::ratio(factor.0, factor.1)?, offset: Exact::ratio(offset.0, offset.1)? }
        };
        Some(Unit {
            symbol: self.symbol,
            others: self.others,
            words: self.words,
            difference: self.difference,
            noun: self.noun,
            dimension: self.dimension,
            scale,
        })
    }

    /// The same row for a point on a scale whose differences are written otherwise.
    const fn point(self, difference: &'static str, offset: (i64, i64)) -> Row {
        Row { difference, offset, ..self }
    }
}

/// A family of rows: what they measure.
struct Family(Dimension, &'static str);

impl Family {
    const fn row(&self, symbol: &'static str, factor: (i64, i64), others: Names, words: Names) -> Row {
        let Family(dimension, noun) = *self;
        Row { symbol, others, words, difference: symbol, noun, dimension, factor, offset: (0, 1), gauge: false }
    }
}

fn rows() -> Vec<Row> {
    [electrical(), rates_and_times(), pressures(), temperatures(), sizes()].into_iter().flatten().collect()
}

#[rustfmt::skip]
fn electrical() -> Vec<Row> {
    let voltage = Family(Dimension::VOLTAGE, "voltage");
    let voltage_ac = Family(Dimension::VOLTAGE_AC, "AC voltage");
    let current = Family(Dimension::CURRENT, "current");
    let current_ac = Family(Dimension::CURRENT_AC, "AC current");
    let resistance = Family(Dimension::RESISTANCE, "resistance");
    let power = Family(Dimension::POWER, "power");
    let energy = Family(Dimension::ENERGY, "energy");
    let charge = Family(Dimension::CHARGE, "charge");
    vec![
        voltage.row("V", (1, 1), &[], &["volt", "volts", "V DC", "VDC", "V=", "DCV"]),
        voltage.row("mV", (1, 1000), &[], &["millivolt", "millivolts", "mV DC", "mVDC"]),
        voltage.row("kV", (1000, 1), &[], &["kilovolt", "kilovolts"]),
        voltage_ac.row("V AC", (1, 1), &["VAC"], &["V~", "Veff", "Vrms", "V RMS", "ACV", "volts AC"]),
        voltage_ac.row("mV AC", (1, 1000), &["mVAC"], &["mV~", "mVrms", "millivolts AC"]),
        current.row("A", (1, 1), &[], &["amp", "amps", "ampere", "amperes", "A DC", "ADC"]),
        current.row("mA", (1, 1000), &[], &["milliamp", "milliamps", "milliampere", "mA DC"]),
        current.row("µA", (1, 1_000_000), &["uA"], &["microamp", "microamps", "microampere"]),
        current_ac.row("A AC", (1, 1), &["AAC"], &["A~", "Arms", "amps AC"]),
        current_ac.row("mA AC", (1, 1000), &["mAAC"], &["mA~", "mArms"]),
        resistance.row("ohm", (1, 1), &["Ω"], &["ohms", "R"]),
        resistance.row("mohm", (1, 1000), &["mΩ"], &["milliohm", "milliohms", "mohms", "mR"]),
        resistance.row("kohm", (1000, 1), &["kΩ"], &["kiloohm", "kilohm", "kilohms", "kohms"]),
        resistance.row("Mohm", (1_000_000, 1), &["MΩ"], &["megaohm", "megohm", "megohms", "Mohms", "meg"]),
        power.row("W", (1, 1), &[], &["watt", "watts"]),
        power.row("mW", (1, 1000), &[], &["milliwatt", "milliwatts"]),
        power.row("kW", (1000, 1), &[], &["kilowatt", "kilowatts"]),
        energy.row("Wh", (3600, 1), &[], &["watt hour", "watt hours"]),
        energy.row("kWh", (3_600_000, 1), &[], &["kilowatt hour", "kilowatt hours"]),
        energy.row("J", (1, 1), &[], &["joule", "joules", "Ws"]),
        charge.row("Ah", (3600, 1), &[], &["amp hour", "amp hours", "ampere hours"]),
        charge.row("mAh", (18, 5), &[], &["milliamp hour", "milliamp hours"]),
    ]
}

#[rustfmt::skip]
fn rates_and_times() -> Vec<Row> {
    let none = Family(Dimension::NONE, "share");
    let frequency = Family(Dimension::FREQUENCY, "frequency");
    let rotation = Family(Dimension::ROTATION, "speed of rotation");
    let time = Family(Dimension::TIME, "time");
    let speed = Family(Dimension::SPEED, "speed");
    vec![
        none.row("%", (1, 100), &[], &["percent", "per cent", "pct"]),
        frequency.row("Hz", (1, 1), &[], &["hertz", "cps"]),
        frequency.row("kHz", (1000, 1), &[], &["kilohertz"]),
        rotation.row("rpm", (1, 60), &["1/min"], &["rev/min", "r/min", "revs", "turns per minute", "/min"]),
        time.row("s", (1, 1), &[], &["sec", "secs", "second", "seconds"]),
        time.row("ms", (1, 1000), &[], &["msec", "millisecond", "milliseconds"]),
        time.row("µs", (1, 1_000_000), &["us"], &["usec", "microsecond", "microseconds"]),
        time.row("min", (60, 1), &[], &["mins", "minute", "minutes"]),
        time.row("h", (3600, 1), &[], &["hr", "hrs", "hour", "hours"]),
        time.row("d", (86_400, 1), &[], &["day", "days"]),
        speed.row("km/h", (5, 18), &[], &["kmh", "kph", "kmph", "km per hour"]),
        speed.row("m/s", (1, 1), &[], &["mps", "m per second"]),
        speed.row("mph", (1397, 3125), &["mi/h"], &["miles per hour"]),
    ]
}

/// 1 psi = 0.45359237 kg × 9.80665 m/s² / (0.0254 m)² = 6894.757293168361… Pa.
const PSI: (i64, i64) = (45_359_237 * 980_665, 64_516 * 100_000);

#[rustfmt::skip]
fn pressures() -> Vec<Row> {
    let difference = Family(Dimension::PRESSURE, "pressure difference");
    let gauge = Family(Dimension::GAUGE_PRESSURE, "gauge pressure");
    let absolute = Family(Dimension::ABSOLUTE_PRESSURE, "absolute pressure");
    let (kilo, mega, bar, milli) = ((1000, 1), (1_000_000, 1), (100_000, 1), (100, 1));
    let none = (0, 1);
    vec![
        difference.row("kPa", kilo, &[], &["kilopascal", "kilopascals"]),
        difference.row("bar", bar, &[], &["bars"]),
        difference.row("psi", PSI, &[], &["lbf/in²", "lb/in²", "pounds per square inch"]),
        difference.row("MPa", mega, &[], &["megapascal"]),
        difference.row("mbar", milli, &["hPa"], &["millibar"]),
        difference.row("Pa", (1, 1), &[], &["pascal", "pascals"]),
        gauge.row("kPa gauge", kilo, &[], &["kPag", "kPa g", "kPa(g)", "kPa overpressure"]).point("kPa", none),
        gauge.row("bar gauge", bar, &[], &["barg", "bar g", "bar(g)", "bar overpressure"]).point("bar", none),
        gauge.row("psi gauge", PSI, &[], &["psig", "psi g", "psi(g)"]).point("psi", none),
        gauge.row("MPa gauge", mega, &[], &["MPag", "MPa g", "MPa(g)"]).point("MPa", none),
        gauge.row("mbar gauge", milli, &["hPa gauge"], &["mbarg", "mbar g"]).point("mbar", none),
        absolute.row("kPa absolute", kilo, &["kPa abs"], &["kPaa", "kPa a", "kPa(a)"]).point("kPa", none),
        absolute.row("bar absolute", bar, &["bar abs"], &["bara", "bar a", "bar(a)"]).point("bar", none),
        absolute.row("psi absolute", PSI, &["psi abs"], &["psia", "psi a", "psi(a)"]).point("psi", none),
        absolute.row("MPa absolute", mega, &["MPa abs"], &["MPaa", "MPa a", "MPa(a)"]).point("MPa", none),
        absolute.row("mbar absolute", milli, &["mbar abs", "hPa absolute", "hPa abs"], &["mbara", "mbar a"]).point("mbar", none),
    ]
}

#[rustfmt::skip]
fn temperatures() -> Vec<Row> {
    let point = Family(Dimension::TEMPERATURE, "temperature");
    let difference = Family(Dimension::TEMPERATURE_DIFFERENCE, "temperature difference");
    vec![
        point.row("degC", (1, 1), &["°C"], &["C", "deg C", "Celsius", "centigrade", "degrees C", "deg", "°"]).point("K", (27_315, 100)),
        point.row("degF", (5, 9), &["°F"], &["F", "deg F", "Fahrenheit", "degrees F"]).point("degF", (45_967, 180)),
        difference.row("K", (1, 1), &[], &["kelvin", "kelvins", "degK", "°K"]),
    ]
}

#[rustfmt::skip]
fn sizes() -> Vec<Row> {
    let length = Family(Dimension::LENGTH, "length");
    let area = Family(Dimension::AREA, "area");
    let mass = Family(Dimension::MASS, "mass");
    let volume = Family(Dimension::VOLUME, "volume");
    vec![
        length.row("m", (1, 1), &[], &["metre", "metres", "meter", "meters"]),
        length.row("mm", (1, 1000), &[], &["millimetre", "millimetres", "millimeter", "millimeters"]),
        length.row("cm", (1, 100), &[], &["centimetre", "centimetres", "centimeter", "centimeters"]),
        length.row("km", (1000, 1), &[], &["kilometre", "kilometres", "kilometer", "kilometers"]),
        length.row("in", (127, 5000), &[], &["inch", "inches", "\""]),
        length.row("ft", (381, 1250), &[], &["foot", "feet", "'"]),
        area.row("mm²", (1, 1_000_000), &["mm2"], &["mm^2", "sqmm", "sq mm", "square mm", "qmm"]),
        Row { gauge: true, noun: "wire size", ..area.row("AWG", (1, 1), &[], &["gauge", "ga", "gage"]) },
        mass.row("g", (1, 1000), &[], &["gram", "grams", "gramme"]),
        mass.row("kg", (1, 1), &[], &["kilo", "kilos", "kilogram", "kilograms"]),
        mass.row("lb", (45_359_237, 100_000_000), &[], &["lbs", "pound", "pounds"]),
        mass.row("oz", (45_359_237, 1_600_000_000), &[], &["ounce", "ounces"]),
        volume.row("L", (1, 1000), &["l"], &["litre", "litres", "liter", "liters"]),
        volume.row("ml", (1, 1_000_000), &["mL", "cm³", "cm3"], &["millilitre", "milliliter", "cc", "ccm"]),
    ]
}
