use super::*;
use crate::units::{Bound, Interval};

fn n(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

fn unit(text: &str) -> &'static Unit {
    Unit::find(text).unwrap_or_else(|problem| panic!("{problem}"))
}

/// "10.9 V" as base units.
fn base(text: &str) -> Exact {
    let (number, symbol) = text.split_once(' ').unwrap();
    unit(symbol).to_base(&n(number))
}

#[test]
fn every_spelling_finds_its_row_and_no_other() {
    for row in Unit::all() {
        for spelling in row.spellings() {
            assert_eq!(unit(spelling), row, "{spelling}");
            let exact_spellings = Unit::all().flat_map(Unit::spellings).filter(|other| *other == spelling);
            assert_eq!(exact_spellings.count(), 1, "{spelling}");
        }
        assert!(row.words.iter().all(|word| Unit::find(word).is_err()), "{}", row.symbol);
        assert!(unit(row.difference).dimension.same_powers(row.dimension));
        assert!(Unit::usual(row.dimension).is_some() || row.dimension == Dimension::NONE);
        if let Some(usual) = row.dimension.usual_symbol() {
            assert_eq!(Unit::usual(row.dimension).unwrap().symbol, usual);
        }
    }
}

#[test]
fn every_unit_of_the_language_page_is_known() {
    // language.md, Units
    let page = "V, mV, V AC, A, mA, ohm, kohm, Mohm, W, Ah, Hz, rpm, %, kPa, bar, psi, degC, degF, K, mm, m, in, ft, \
                mm², AWG, ms, s, min, h, kPa gauge, kPa absolute, bar gauge, bar absolute, psi gauge, psi absolute";
    for symbol in page.split(", ") {
        assert_eq!(unit(symbol).symbol, symbol);
    }
    let same = [
        ("\u{2126}", "ohm"),
        ("\u{3a9}", "ohm"),
        ("k\u{2126}", "kohm"),
        ("M\u{3a9}", "Mohm"),
        ("m\u{3a9}", "mohm"),
        ("\u{b5}A", "µA"),
        ("\u{3bc}A", "µA"),
        ("uA", "µA"),
        ("mm2", "mm²"),
        ("°C", "degC"),
        ("\u{2103}", "degC"),
        ("°F", "degF"),
        ("V  AC", "V AC"),
        (" kPa   gauge ", "kPa gauge"),
    ];
    for (typed, symbol) in same {
        assert_eq!(unit(typed).symbol, symbol, "{typed}");
    }
}

#[test]
fn conversion_is_exact_and_returns() {
    assert_eq!(base("1500 mV"), n("1.5"));
    assert_eq!(base("32 degF"), base("0 degC"));
    assert_eq!(base("212 degF"), base("100 degC"));
    assert_eq!(base("-40 degF"), base("-40 degC"));
    assert_eq!(base("1 ft"), base("12 in"));
    assert_eq!(base("1 in"), base("25.4 mm"));
    assert_eq!(base("3000 rpm"), n("50"));
    assert_eq!(base("36 km/h"), n("10"));
    assert_eq!(base("1 mph"), n("0.44704"));
    assert_eq!(base("16 oz"), base("1 lb"));
    assert_eq!(base("1 Ah"), base("1000 mAh"));
    assert_eq!(base("1 bar gauge"), base("100 kPa gauge"));
    for row in Unit::all().filter(|row| row.takes_width()) {
        for number in ["0", "10.9", "-3.25", "72"] {
            assert_eq!(row.from_base(&row.to_base(&n(number))), n(number), "{}", row.symbol);
            assert_eq!(row.width_from_base(&row.width_to_base(&n(number))), n(number), "{}", row.symbol);
        }
    }
}

#[test]
fn the_psi_is_exact() {
    // definition: 0.45359237 kg (international pound, 1959), 9.80665 m/s² (3rd CGPM), 0.0254 m
    let psi = (n("0.45359237") * n("9.80665")).checked_div(&(n("0.0254") * n("0.0254"))).unwrap();
    assert_eq!(base("1 psi"), psi);
    assert_eq!(psi.to_string(), "6894.76");
    assert!((psi - n("6894.757293168361")).abs() < Exact::pow10(-12));
}

#[test]
fn a_width_has_no_offset() {
    assert_eq!(unit("degC").width_to_base(&n("1")), n("1"));
    assert_eq!(unit("degF").width_to_base(&n("9")), n("5"));
    assert_eq!(unit("kPa gauge").width_to_base(&n("2")), n("2000"));
    assert!(unit("AWG").width_to_base(&n("1")).is_zero() && !unit("AWG").takes_width());
}

#[test]
fn a_wrong_spelling_gets_the_right_one() {
    let fix = |typed| Unit::find(typed).unwrap_err().fix().unwrap_or_default();
    let cases = [
        ("v", "`V`"),
        ("volts", "`V`"),
        ("Volt", "`V`"),
        ("Ohm", "`ohm`"),
        ("ohms", "`ohm`"),
        ("amps", "`A`"),
        ("kpa", "`kPa`"),
        ("KPA", "`kPa`"),
        ("hz", "`Hz`"),
        ("RPM", "`rpm`"),
        ("psig", "`psi gauge`"),
        ("C", "`degC`"),
        ("sqmm", "`mm²`"),
        ("Vac", "`V AC`"),
        ("ohn", "`ohm`"),
        ("kPa guage", "`kPa gauge`"),
        ("bar absolut", "`bar absolute`"),
        ("minuts", "`min`"),
    ];
    for (typed, symbol) in cases {
        assert_eq!(fix(typed), format!("write {symbol}"), "{typed}");
    }
    assert_eq!(fix("mOhm"), "write `mohm` or `Mohm`: say which");
    for far in ["", "zzzzzz", "12", "x", &"v".repeat(1_000_000)] {
        assert!(fix(far).is_empty());
    }
    assert_eq!(Unit::find("v").unwrap_err().to_string(), "`v` is no unit that is known here");
}

#[test]
fn values_are_shown_in_their_unit() {
    assert_eq!(unit("V").show(&base("10.90 V")), "10.9 V");
    assert_eq!(unit("degF").show(&base("72 degF")), "72 degF");
    assert_eq!(unit("AWG").show(&base("12 AWG")), "12 AWG");
    assert_eq!(unit("AWG").show(&base("-3 AWG")), "4/0 AWG");
    assert_eq!(unit("degC").show_width(&n("1.5")), "1.5 K");
    let shown = |symbol, low: &str, high: &str| {
        unit(symbol)
            .show_interval(&Interval::between(base(&format!("{low} {symbol}")), base(&format!("{high} {symbol}"))))
    };
    assert_eq!(shown("V", "10.8", "11"), "10.9 V ± 0.1 V");
    assert_eq!(shown("V", "11.8", "12.1"), "11.8 V to 12.1 V");
    assert_eq!(shown("V", "0", "32"), "0 V to 32 V");
    assert_eq!(shown("degC", "24", "26"), "25 degC ± 1 K");
    assert_eq!(shown("kPa gauge", "245", "255"), "250 kPa gauge ± 5 kPa");
    assert_eq!(shown("V", "10.9", "10.9"), "10.9 V");
    assert_eq!(shown("AWG", "12", "14"), "2.08091 mm² to 3.30877 mm²");
    assert_eq!(unit("V").show_range(&Interval::between(n("10.8"), n("11"))), "10.8 V to 11 V");
    assert_eq!(unit("ohm").show_interval(&Interval::below(n("0.1"))), "below 0.1 ohm");
    assert_eq!(unit("V").show_interval(&Interval::above(n("32"))), "above 32 V");
    let at_least = Interval { low: Bound::Closed(n("3")), high: Bound::Unbounded };
    assert_eq!(
        (unit("A").show_interval(&at_least), unit("A").show_interval(&at_least.neg())),
        ("at least 3 A".into(), "at most -3 A".into())
    );
    assert_eq!(unit("A").show_interval(&Interval::everything()), "any current");
}

#[test]
fn impossible_values_are_named() {
    assert!(unit("degC").accepts(&n("-273.15")).is_ok());
    assert!(unit("degC").accepts(&n("-274")).unwrap_err().contains("-273.15 degC"));
    assert!(unit("kPa absolute").accepts(&n("-1")).unwrap_err().contains("`kPa gauge`"));
    assert!(unit("kPa gauge").accepts(&n("-1")).is_ok() && unit("V").accepts(&n("-12")).is_ok());
    assert!(unit("AWG").accepts(&n("40")).is_ok() && unit("AWG").accepts(&n("41")).is_err());
    assert_eq!((awg::number("4/0"), awg::number("12"), awg::number("5/0")), (Some(n("-3")), Some(n("12")), None));
    // far outside, conversion stays total
    assert!(!unit("AWG").to_base(&n("-1000000")).is_zero());
    assert!(!unit("AWG").from_base(&n("-1")).is_negative());
}
