use std::{fs, path::Path};

use proptest::prelude::*;

use super::*;
use crate::units::{Bound, Dimension, Exact, Interval, Unit};

fn n(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

fn value(text: &str) -> Argument {
    let (number, symbol) = text.split_once(' ').unwrap();
    let unit = Unit::find(symbol).unwrap();
    Argument::Value { interval: Interval::point(unit.to_base(&n(number))), dimension: unit.dimension }
}

fn word(text: &str) -> Argument {
    Argument::Word(text.to_owned())
}

fn call(name: &str, arguments: &[Argument]) -> Result<Interval, FunctionProblem> {
    find(name).unwrap().evaluate(arguments, &Surroundings::default())
}

fn number(result: Result<Interval, FunctionProblem>) -> f64 {
    result.unwrap().centre().unwrap().to_f64()
}

/// An interval from base units as text, `[1 2]`.
fn spanned(low: &str, high: &str, dimension: Dimension) -> Argument {
    Argument::Value { interval: Interval::between(n(low), n(high)), dimension }
}

#[test]
fn each_file_has_its_row() {
    let folder = Path::new(file!()).parent().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut rows = 0;
    for entry in fs::read_dir(root.join(folder)).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if !["call", "tests"].contains(&stem.as_str()) {
            assert!(find(&stem.replace('_', " ")).is_some(), "{stem} is missing in the table");
            rows += 1;
        }
    }
    assert_eq!(rows, 12);
}

#[test]
fn each_row_says_all_that_is_asked() {
    let mut seen = Vec::new();
    for function in all() {
        assert!(!seen.contains(&function.name), "{} twice", function.name);
        seen.push(function.name);
        assert!(function.source.len() > 5 && function.range.len() > 5);
        assert_eq!(find(&function.name.to_uppercase()).unwrap().name, function.name);
        let problem = function.check(&[]).unwrap_err();
        assert!(problem.to_string().contains(&function.signature()), "{problem}");
        let optional = function.parameters.iter().skip_while(|parameter| parameter.default.is_none());
        assert!(optional.into_iter().all(|parameter| parameter.default.is_some()), "optional ones stand last");
    }
    assert!(find("superheats").is_none() && find(" Wire   Resistance ").is_some());
    assert_eq!(names().count(), 17);
}

/// What lies at the ends of a function's range, and what lies just beyond each: of every argument that has one. The ranges are those of the
/// published tables and equations: check-values.md, sections 1, 5 and 6; ISO 2533 up to 11 km.
fn ends_and_beyond(name: &str) -> (Vec<Vec<Argument>>, Vec<Vec<Argument>>) {
    let r134a = || word("R-134a");
    let yf = || word("R-1234yf");
    match name {
        "wire resistance" => (
            vec![
                vec![value("0 m"), value("1 mm²"), value("-50 degC")],
                vec![value("1 m"), value("1 mm²"), value("200 degC")],
            ],
            vec![
                vec![value("-0.001 m"), value("1 mm²")],
                vec![value("1 m"), value("0 mm²")],
                vec![value("1 m"), value("1 mm²"), value("-50.01 degC")],
                vec![value("1 m"), value("1 mm²"), value("200.01 degC")],
            ],
        ),
        "saturation pressure" | "dew pressure" | "bubble pressure" => (
            vec![vec![r134a(), value("-45 degC")], vec![r134a(), value("100 degC")], vec![yf(), value("94 degC")]],
            vec![
                vec![r134a(), value("-45.01 degC")],
                vec![r134a(), value("100.01 degC")],
                vec![yf(), value("-45.01 degC")],
                vec![yf(), value("94.01 degC")],
            ],
        ),
        // R-134a boils at 39.12 kPa at -45 degC and at 3972 kPa at 100 degC; R-1234yf at 3225 kPa at 94 degC.
        "saturation temperature" | "dew temperature" | "bubble temperature" => (
            vec![vec![r134a(), value("39.2 kPa absolute")], vec![r134a(), value("3972 kPa absolute")]],
            vec![
                vec![r134a(), value("39.0 kPa absolute")],
                vec![r134a(), value("3973 kPa absolute")],
                vec![r134a(), value("-70 kPa gauge")],
                vec![yf(), value("3500 kPa absolute")],
            ],
        ),
        "superheat" => (
            vec![vec![r134a(), value("5 degC"), value("39.2 kPa absolute")]],
            vec![
                vec![r134a(), value("5 degC"), value("39.0 kPa absolute")],
                vec![yf(), value("5 degC"), value("3500 kPa absolute")],
            ],
        ),
        "subcooling" => (
            vec![vec![r134a(), value("39.2 kPa absolute"), value("5 degC")]],
            vec![
                vec![r134a(), value("39.0 kPa absolute"), value("5 degC")],
                vec![yf(), value("3500 kPa absolute"), value("5 degC")],
            ],
        ),
        "state of charge" => {
            (vec![vec![value("9 V")], vec![value("13 V")]], vec![vec![value("8.99 V")], vec![value("13.01 V")]])
        }
        "state of charge 24 V" => {
            (vec![vec![value("18 V")], vec![value("26 V")]], vec![vec![value("17.99 V")], vec![value("26.01 V")]])
        }
        "atmospheric pressure" => {
            (vec![vec![value("-1000 m")], vec![value("11000 m")]], vec![vec![value("-1001 m")], vec![value("11001 m")]])
        }
        _ => (Vec::new(), Vec::new()),
    }
}

#[test]
fn each_row_is_refused_outside_its_range() {
    let mut bounded = 0;
    for function in all() {
        let (ends, beyond) = ends_and_beyond(function.name);
        // A new function says either that all values will do, or has its ends above.
        assert_eq!(beyond.is_empty(), function.range.contains("all values"), "{}: {}", function.name, function.range);
        for arguments in ends {
            assert!(function.evaluate(&arguments, &Surroundings::default()).is_ok(), "{} {arguments:?}", function.name);
        }
        for arguments in beyond {
            let problem = function.evaluate(&arguments, &Surroundings::default()).unwrap_err().to_string();
            assert!(problem.contains(function.name) && problem.contains("its range is"), "{problem}");
            bounded += 1;
        }
    }
    assert_eq!(bounded, 4 + 3 * 4 + 3 * 4 + 2 + 2 + 2 + 2 + 2);
}

#[test]
fn each_file_names_its_source() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(Path::new(file!()).parent().unwrap());
    for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        let stem = entry.file_stem().unwrap().to_str().unwrap().to_owned();
        if !["call", "tests"].contains(&stem.as_str()) {
            let text = fs::read_to_string(&entry).unwrap();
            let head: String = text.lines().take_while(|line| line.starts_with("//!")).collect();
            assert!(head.contains("Source"), "{stem}: {head}");
        }
    }
}

#[test]
fn a_wrong_argument_is_named_with_the_fix() {
    use ArgumentKind::{Value, Word};
    let said = |name: &str, kinds: &[ArgumentKind]| {
        let problem = find(name).unwrap().check(kinds).unwrap_err();
        (problem.to_string(), problem.fix().unwrap_or_default())
    };
    let fluid = || Word("r134a".to_owned());
    let (text, fix) = said("superheat", &[fluid(), Value(Dimension::TEMPERATURE), Value(Dimension::PRESSURE)]);
    assert!(text.contains("suction pressure") && fix.contains("`kPa gauge` or `kPa absolute`"), "{text}: {fix}");
    let (text, fix) =
        said("superheat", &[fluid(), Value(Dimension::TEMPERATURE_DIFFERENCE), Value(Dimension::GAUGE_PRESSURE)]);
    assert!(text.contains("line temperature") && fix.contains("degC"), "{text}: {fix}");
    let (text, _) = said("dew temperature", &[Word("R-12".to_owned()), Value(Dimension::GAUGE_PRESSURE)]);
    assert!(text.contains("`R-12`") && text.contains("`R-134a` or `R-1234yf`"), "{text}");
    let (text, _) = said("power", &[Value(Dimension::VOLTAGE), Value(Dimension::RESISTANCE)]);
    assert_eq!(text, "the current of `power` must be a current, not a resistance");
    assert!(said("power", &[Value(Dimension::VOLTAGE), Word("high".to_owned())]).0.contains("the word `high`"));
    assert!(
        said("larger", &[Value(Dimension::VOLTAGE), Value(Dimension::CURRENT)]).0.contains("a voltage, not a current")
    );
    assert!(said("magnitude", &[Value(Dimension::TEMPERATURE)]).1.contains("K"));
    assert!(said("power", &[Value(Dimension::VOLTAGE)]).1.contains("power(voltage, current)"));
    assert_eq!(find("wire resistance").unwrap().signature(), "wire resistance(length, area[, temperature])");
}

#[test]
fn results_have_their_dimension() {
    let kind = ArgumentKind::Value;
    let check = |name: &str, kinds: &[ArgumentKind]| find(name).unwrap().check(kinds).unwrap();
    assert_eq!(check("power", &[kind(Dimension::VOLTAGE), kind(Dimension::CURRENT)]), Dimension::POWER);
    assert_eq!(check("larger", &[kind(Dimension::VOLTAGE_AC), kind(Dimension::VOLTAGE_AC)]), Dimension::VOLTAGE_AC);
    assert_eq!(check("magnitude", &[kind(Dimension::CURRENT)]), Dimension::CURRENT);
    assert_eq!(check("wire resistance", &[kind(Dimension::LENGTH), kind(Dimension::AREA)]), Dimension::RESISTANCE);
}

#[test]
fn worked_examples() {
    // 20 A through 3 m of 2.5 mm² at the 7.6 mohm/m of check-values.md, section 5 (computed): 0.456 V
    let drop = call("voltage drop", &[value("20 A"), value("22.8 mohm")]).unwrap();
    assert_eq!(drop, Interval::point(n("0.456")));
    // exact by IEC 60028: 6 m / (58 · 2.5) = 6/145 ohm; at 50 degC times 1.1179
    let cold = call("wire resistance", &[value("6 m"), value("2.5 mm²")]).unwrap();
    assert_eq!(cold, Interval::point(Exact::ratio(6, 145).unwrap()));
    let hot = call("wire resistance", &[value("6 m"), value("2.5 mm²"), value("50 degC")]).unwrap();
    assert_eq!(hot, cold.scale(&n("1.1179")));
    // 0.1 ohm at 20 A: 2 V and 40 W (check-values.md, section 2, computed)
    assert_eq!(call("power", &[value("2 V"), value("20 A")]).unwrap(), Interval::point(n("40")));
    // ISO 2533: 89.87 kPa at 1000 m, 79.50 kPa at 2000 m (check-values.md, section 6, computed)
    let air = |metres: &str| number(call("atmospheric pressure", &[value(metres)]));
    assert!((air("1000 m") - 89_870.0).abs() < 10.0 && (air("2000 m") - 79_500.0).abs() < 10.0);
    assert!((air("0 m") - 101_325.0).abs() < 0.01);
}

#[test]
fn superheat_and_subcooling_carry_their_uncertainty() {
    // R-134a saturates at 0.79 degC at 200 kPa gauge, sea level (check-values.md, section 6, computed)
    let superheat = number(call("superheat", &[word("R-134a"), value("8 degC"), value("200 kPa gauge")]));
    assert!((superheat - 7.21).abs() < 0.01, "{superheat}");
    let subcooling = number(call("subcooling", &[word("R 1234yf"), value("1000 kPa gauge"), value("33 degC")]));
    assert!((subcooling - 10.11).abs() < 0.01, "{subcooling}");
    // ±1 K clamp and ±1 % gauge give about ±1.5 K (check-values.md, section 6)
    let line = spanned("280.15", "282.15", Dimension::TEMPERATURE);
    let suction = spanned("198000", "202000", Dimension::GAUGE_PRESSURE);
    let width = call("superheat", &[word("R-134a"), line, suction]).unwrap().width().unwrap().to_f64();
    assert!((2.2..3.2).contains(&width), "{width}");
    // at 2000 m the same gauge pressure is a lower absolute one: more superheat
    let high = Surroundings { ambient_pressure: n("79500") };
    let arguments = [word("R-134a"), value("8 degC"), value("200 kPa gauge")];
    let uphill = number(find("superheat").unwrap().evaluate(&arguments, &high));
    assert!(uphill > superheat + 1.0);
}

#[test]
fn beyond_the_range_nothing_is_claimed() {
    let far = call("saturation temperature", &[word("R-134a"), value("20 kPa absolute")]).unwrap_err();
    assert_eq!(
        far.to_string(),
        "`saturation temperature` knows no result: the pressure is 20 kPa absolute, its range is 39.123 kPa absolute \
         to 3972.403 kPa absolute"
    );
    let partly = spanned("30000", "101325", Dimension::ABSOLUTE_PRESSURE);
    let below = call("saturation temperature", &[word("R-134a"), partly]).unwrap();
    assert_eq!(below.low, Bound::Unbounded);
    assert!((below.high.value().unwrap().to_f64() - 247.07).abs() < 0.02);
    let over = Argument::Value { interval: Interval::above(n("300000")), dimension: Dimension::GAUGE_PRESSURE };
    let over = call("saturation temperature", &[word("R-134a"), over]).unwrap();
    assert!(over.high == Bound::Unbounded && over.low.value().is_some());
    assert!(call("wire resistance", &[value("1 m"), value("0 mm²")]).is_err());
    assert!(call("wire resistance", &[value("1 m"), spanned("0", "0.000001", Dimension::AREA)]).is_err());
    assert!(call("wire resistance", &[value("-1 m"), value("1 mm²")]).is_err());
    assert!(call("wire resistance", &[value("1 m"), value("1 mm²"), value("300 degC")]).is_err());
    assert!(call("state of charge", &[value("14.4 V")]).is_err());
    assert!(call("atmospheric pressure", &[value("20000 m")]).is_err());
}

#[test]
fn charge_stays_between_flat_and_full() {
    let charge = |text: &str| call("state of charge", &[value(text)]).unwrap();
    assert_eq!(charge("12.345 V"), Interval::point(n("0.625")));
    assert_eq!(charge("12.9 V"), Interval::point(n("1")));
    assert_eq!(charge("10 V"), Interval::point(n("0")));
    let open = Argument::Value { interval: Interval::below(n("12.06")), dimension: Dimension::VOLTAGE };
    assert_eq!(call("state of charge", &[open]).unwrap(), Interval::between(n("0"), n("0.25")));
    // a ±1 % meter cannot place it better than ±15 % (check-values.md, section 1)
    let wide = spanned("12.22", "12.46", Dimension::VOLTAGE);
    let width = call("state of charge", &[wide]).unwrap().width().unwrap().to_f64();
    assert!((0.28..0.32).contains(&width), "{width}");
}

fn half_open(low: i64, high: i64, open: bool) -> Interval {
    let (low, high) = (Exact::from_int(low.min(high)), Exact::from_int(low.max(high)));
    if open && low != high {
        return Interval { low: Bound::Open(low), high: Bound::Open(high) };
    }
    Interval::between(low, high)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn larger_smaller_and_magnitude_hold_every_result(
        a in -5_i64..5, b in -5_i64..5, c in -5_i64..5, d in -5_i64..5, open in any::<bool>(), other in any::<bool>()
    ) {
        let (one, two) = (half_open(a, b, open), half_open(c, d, other));
        let argument = |interval: &Interval| Argument::Value { interval: interval.clone(), dimension: Dimension::VOLTAGE };
        let pair = [argument(&one), argument(&two)];
        let (larger, smaller) = (call("larger", &pair).unwrap(), call("smaller", &pair).unwrap());
        let magnitude = call("magnitude", &pair[..1]).unwrap();
        let halves = || (-20..=20).map(|k| Exact::ratio(k, 4).unwrap());
        let (mut reached, mut found) = (halves().filter(|x| one.contains(x)).peekable(), false);
        prop_assert!(reached.peek().is_some());
        for x in reached {
            prop_assert!(magnitude.contains(&x.abs()));
            found |= Some(&x.abs()) == magnitude.low.value();
            for y in halves().filter(|y| two.contains(y)) {
                prop_assert!(larger.contains((&x).max(&y)) && smaller.contains((&x).min(&y)));
            }
        }
        prop_assert_eq!(found, magnitude.low.is_closed());
    }

    #[test]
    fn saturation_goes_there_and_back(tenths in -400_i64..=900, yf in any::<bool>()) {
        let fluid = word(if yf { "R-1234yf" } else { "R-134a" });
        let kelvin = Exact::from_int(tenths) * Exact::pow10(-1) + n("273.15");
        let there = Argument::Value { interval: Interval::point(kelvin.clone()), dimension: Dimension::TEMPERATURE };
        let pressure = call("saturation pressure", &[fluid.clone(), there]).unwrap();
        let back = Argument::Value { interval: pressure.clone(), dimension: Dimension::ABSOLUTE_PRESSURE };
        let temperature = call("saturation temperature", &[fluid, back]).unwrap();
        prop_assert!(temperature.contains(&kelvin), "{temperature:?}");
        if let Some(width) = temperature.width() {
            prop_assert!(width < n("0.00001"));
        }
    }
}
