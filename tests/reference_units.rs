//! Numbers, units, meter accuracy and functions against published tables in `tests/reference/`.
//! Each file there says in its first lines where it comes from.

use std::{fs, path::Path};

use ruleout::units::{
    Accuracy, Dimension, Exact, Interval, Unit,
    functions::{self, Argument, Surroundings},
};

/// The rows of a reference table, without its comments and heading. Cells in double quotes may hold commas.
fn rows(name: &str, columns: usize) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    let all: Vec<Vec<String>> = lines.skip(1).map(cells).collect();
    assert!(all.iter().all(|row| row.len() == columns), "{name} has {columns} columns");
    all
}

fn cells(line: &str) -> Vec<String> {
    let (mut all, mut quoted) = (vec![String::new()], false);
    for character in line.chars() {
        match character {
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(String::new()),
            other => all.last_mut().unwrap().push(other),
        }
    }
    all
}

fn exact(text: &str) -> Exact {
    Exact::parse(text).unwrap_or_else(|problem| panic!("{problem}"))
}

fn float(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("`{text}` is no number"))
}

fn value(number: &str, symbol: &str) -> Argument {
    let unit = Unit::find(symbol).unwrap();
    Argument::Value { interval: Interval::point(unit.to_base(&exact(number))), dimension: unit.dimension }
}

fn word(text: &str) -> Argument {
    Argument::Word(text.to_owned())
}

/// The result of a function at sea level as a number in a unit; the enclosure must be narrow.
fn call(name: &str, arguments: &[Argument], symbol: &str) -> f64 {
    let function = functions::find(name).unwrap();
    let result = function.evaluate(arguments, &Surroundings::default()).unwrap_or_else(|problem| panic!("{problem}"));
    let unit = Unit::find(symbol).unwrap();
    let kinds: Vec<_> = arguments.iter().map(Argument::kind).collect();
    assert_eq!(function.check(&kinds).unwrap(), unit.dimension);
    let (width, centre) = (result.width().unwrap().to_f64(), result.centre().unwrap());
    assert!(width <= 3e-8 * centre.to_f64().abs(), "{name}: {width}");
    unit.from_base(&centre).to_f64()
}

fn off_by(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

/// Worked examples printed by meter makers, see the column `src`; the rule is exact.
#[test]
fn meter_accuracy() {
    let table = rows("meter_accuracy_examples.csv", 7);
    assert_eq!(table.len(), 12);
    for row in &table {
        let accuracy = Accuracy { percent: exact(&row[1]), counts: exact(&row[2]), digit: Some(exact(&row[3])) };
        let reading = exact(&row[0]);
        assert_eq!(accuracy.half_width(&reading), exact(&row[4]), "{row:?}");
        assert_eq!(accuracy.half_width(&-reading), exact(&row[4]), "{row:?}, leads swapped");
        let typed = Accuracy { digit: None, ..accuracy.clone() };
        assert_eq!(typed.with_digit(&exact(&row[3])), accuracy);
    }
    // 100.0 V ± (1 % + 2) is 98.8 to 101.2 V: a maker's tutorial, second row
    let accuracy = Accuracy { percent: exact("1"), counts: exact("2"), digit: Some(exact("0.1")) };
    let shown = Interval::around(exact("100"), accuracy.half_width(&exact("100")));
    assert_eq!(shown, Interval::between(exact("98.8"), exact("101.2")));
}

/// The percentage of a temperature is that of the number shown: from the rule itself, no table.
#[test]
fn meter_accuracy_of_a_thermometer() {
    let accuracy = Accuracy { percent: exact("1"), counts: exact("1"), digit: Some(exact("0.1")) };
    assert_eq!(accuracy.half_width_in(Unit::find("degC").unwrap(), &exact("25")), exact("0.35"));
    let fahrenheit = accuracy.half_width_in(Unit::find("degF").unwrap(), &exact("90"));
    assert_eq!(fahrenheit, exact("0.6"));
}

/// CoolProp 8.0.0 and the closed forms of Tillner-Roth and Baehr 1994, Richter et al. 2011. Allowed
/// deviations: check-values.md, section 6 (0.014 %; 0.274 % at -40 degC, 0.042 % from -20, 0.022 % from -10).
#[test]
fn refrigerant_saturation() {
    let table = rows("refrigerant_saturation.csv", 7);
    assert_eq!(table.len(), 61);
    for row in &table {
        let celsius = float(&row[0]);
        let yf_allowed = match celsius {
            c if c < -20.0 => 0.00275,
            c if c < -10.0 => 0.000_43,
            _ => 0.000_23,
        };
        for (fluid, column, allowed) in [("R-134a", 1, 0.000_15), ("R-1234yf", 4, yf_allowed)] {
            let pressure = call("saturation pressure", &[word(fluid), value(&row[0], "degC")], "kPa absolute");
            let coolprop = float(&row[column]);
            assert!(off_by(pressure, coolprop) < allowed, "{fluid} {celsius}: {pressure} {coolprop}");
            // the table of the closed form is printed to 0.001 kPa
            let closed = float(&row[column + 2]);
            assert!((pressure - closed).abs() < 0.000_6, "{fluid} {celsius}: {pressure} {closed}");
            // inverse, from the gauge column, by the slope of 1 K for about 2 to 5 % of pressure
            let back = call("dew temperature", &[word(fluid), value(&row[column + 1], "kPa gauge")], "degC");
            assert!((back - celsius).abs() < allowed / 0.02, "{fluid} {celsius}: {back}");
        }
    }
}

/// Saturation temperature at gauge pressure, sea level: check-values.md, section 6, computed with CoolProp.
#[test]
fn refrigerant_inverse() {
    let table = [
        ("100", -9.91, -12.60),
        ("200", 0.79, -1.38),
        ("250", 5.14, 3.18),
        ("1000", 43.02, 43.11),
        ("1500", 57.94, 58.89),
        ("2000", 69.67, 71.29),
        ("2800", 84.60, 86.99),
    ];
    for (gauge, r134a, yf) in table {
        for (fluid, expected) in [("R-134a", r134a), ("R-1234yf", yf)] {
            let found = call("bubble temperature", &[word(fluid), value(gauge, "kPa gauge")], "degC");
            assert!((found - expected).abs() < 0.02, "{fluid} {gauge}: {found}");
        }
    }
}

/// A third, independent source for R-134a: Antoine equation in Poling, Prausnitz and O'Connell, 5th ed.,
/// 186 to 263 K; it lies 0.10 to 0.19 % over the equation of state there (check-values.md, section 6).
#[test]
fn refrigerant_against_antoine() {
    for celsius in ["-40", "-30", "-20", "-10"] {
        let kelvin = float(celsius) + 273.15;
        let antoine = 10_f64.powf(9.11874 - 850.881 / (kelvin - 40.16));
        let found = 1000.0 * call("dew pressure", &[word("R-134a"), value(celsius, "degC")], "kPa absolute");
        assert!((0.0008..0.0021).contains(&(antoine / found - 1.0)), "{celsius}: {antoine} {found}");
    }
}

/// IEC 60228 (seen), ISO 6722-1 (from memory): real conductors lie above the ideal of IEC 60028.
#[test]
fn wire_resistance() {
    let table = rows("wire_resistance.csv", 8);
    assert_eq!(table.len(), 29 - 1);
    for row in &table {
        let ideal = call("wire resistance", &[value("1", "m"), value(&row[0], "mm²")], "mohm");
        // printed with four digits
        assert!(off_by(ideal, float(&row[6])) < 0.000_5, "{row:?}: {ideal}");
        for column in 1..=5 {
            if !row[column].is_empty() {
                let ratio = float(&row[column]) / ideal;
                assert!((0.99..1.25).contains(&ratio), "{row:?} column {column}: {ratio}");
            }
        }
    }
    // the factors printed with IEC 60228 use about 0.004 per K: agreement to 0.4 % (check-values.md, section 5)
    for (celsius, factor) in [("25", 0.980), ("50", 0.893), ("80", 0.806)] {
        let at =
            |celsius| call("wire resistance", &[value("1", "m"), value("1", "mm²"), value(celsius, "degC")], "ohm");
        assert!(off_by(at("20") / at(celsius), factor) < 0.004, "{celsius}");
    }
}

/// ASTM B258 sizes (computed) and printed handbook resistances descending from NBS Circular 31.
#[test]
fn american_wire_gauge() {
    let awg = Unit::find("AWG").unwrap();
    let square = Unit::find("mm²").unwrap();
    let table = rows("awg.csv", 6);
    assert_eq!(table.len(), 28);
    for row in &table {
        let gauge = ruleout::units::unit::awg::number(&row[0]).unwrap();
        let area = awg.to_base(&gauge);
        let printed = float(&row[2]);
        assert!((square.from_base(&area).to_f64() - printed).abs() < 0.000_051, "{row:?}");
        assert_eq!(awg.from_base(&area), gauge, "there and back");
        let size = Argument::Value { interval: Interval::point(area), dimension: Dimension::AREA };
        let metre = call("wire resistance", &[value("1", "m"), size.clone()], "mohm");
        assert!((metre - float(&row[3])).abs() < 0.000_051, "{row:?}: {metre}");
        if !row[5].is_empty() {
            // agreement with the printed tables within 0.03 % (check-values.md, section 5) and half a digit
            let thousand_feet = call("wire resistance", &[value("1000", "ft"), size], "ohm");
            let handbook = float(&row[5]);
            let half_digit = Exact::pow10(-(Exact::digits(&row[5]) as i32)).half().to_f64();
            assert!((thousand_feet - handbook).abs() < 0.000_3 * handbook + half_digit, "{row:?}: {thousand_feet}");
        }
    }
    // ratio of the diameters of neighbouring sizes: 92^(1/39) = 1.1229322 (seen)
    let area = |gauge: i64| awg.to_base(&Exact::from_int(gauge)).to_f64();
    assert!(off_by((area(10) / area(11)).sqrt(), 1.122_932_2) < 1e-7);
}

/// The BCI-type table, from memory; the rounded voltages are printed on public pages.
#[test]
fn battery_at_rest() {
    let table = rows("battery_ocv.csv", 6);
    assert_eq!(table.len(), 5);
    for row in &table {
        for (name, column) in [("state of charge", 1), ("state of charge 24 V", 2)] {
            let function = functions::find(name).unwrap();
            let rested = [value(&row[column], "V")];
            let charge = function.evaluate(&rested, &Surroundings::default()).unwrap();
            assert_eq!(charge, Interval::point(exact(&row[0]) * Exact::pow10(-2)), "{row:?}");
        }
    }
    // rounded form (seen): 12.6, 12.4, 12.2, 12.0 V for 100, 75, 50, 25 %, here within 10 % of charge
    for (volts, percent) in [("12.6", 100.0), ("12.4", 75.0), ("12.2", 50.0), ("12.0", 25.0)] {
        let function = functions::find("state of charge").unwrap();
        let charge = function.evaluate(&[value(volts, "V")], &Surroundings::default()).unwrap();
        assert!((charge.centre().unwrap().to_f64() * 100.0 - percent).abs() < 10.0, "{volts}: {charge:?}");
    }
}
