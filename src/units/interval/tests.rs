use proptest::prelude::*;

use super::*;

fn n(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

/// An interval from its usual notation, `[1 2)` or `(-inf 3]`.
fn i(text: &str) -> Interval {
    let inner = &text[1..text.len() - 1];
    let (low, high) = inner.split_once(' ').unwrap();
    let end = |text: &str, closed: bool| match (text, closed) {
        ("-inf" | "inf", _) => Bound::Unbounded,
        (number, true) => Bound::Closed(n(number)),
        (number, false) => Bound::Open(n(number)),
    };
    Interval { low: end(low, text.starts_with('[')), high: end(high, text.ends_with(']')) }
}

#[test]
fn comparisons_at_the_limit_follow_the_ends() {
    // language.md, points settled 1: 11.9 ± 0.1 reaches exactly 12.0
    let past = Interval::around(n("11.9"), n("0.1")).sub(&Interval::point(n("12")));
    assert_eq!(past.at_most_zero(), Some(true));
    assert_eq!(past.less_than_zero(), None);
    assert_eq!(past.greater_than_zero(), Some(false));
    assert_eq!(past.at_least_zero(), None);
    let below = Interval::below(n("0.1")).sub(&Interval::point(n("0.1")));
    assert_eq!((below.less_than_zero(), below.at_least_zero()), (Some(true), Some(false)));
    let above = Interval::above(n("32")).sub(&Interval::point(n("32")));
    assert_eq!((above.greater_than_zero(), above.at_most_zero()), (Some(true), Some(false)));
    assert_eq!(Interval::everything().less_than_zero(), None);
    assert_eq!(Interval::point(Exact::zero()).at_most_zero(), Some(true));
    assert_eq!(Interval::point(Exact::zero()).less_than_zero(), Some(false));
}

#[test]
fn open_and_missing_ends_go_through_arithmetic() {
    let cases = [
        ("[1 2]", '+', "(3 4]", "(4 6]"),
        ("[1 inf)", '+', "[3 4]", "[4 inf)"),
        ("[1 2]", '-', "(3 4]", "[-3 -1)"),
        ("(-inf 2)", '-', "[1 inf)", "(-inf 1)"),
        ("[-1 2)", '*', "(-3 4]", "(-6 8)"),
        ("[0 1)", '*', "(2 inf)", "[0 inf)"),
        ("(0 1)", '*', "(2 inf)", "(0 inf)"),
        ("[0 1)", '*', "(0 1)", "[0 1)"),
        ("[0 0]", '*', "(-inf inf)", "[0 0]"),
        ("(0 inf)", '*', "(-inf 0)", "(-inf 0)"),
        ("[-2 -1]", '*', "[3 inf)", "(-inf -3]"),
        ("(-inf -1)", '*', "(-inf -3]", "(3 inf)"),
        ("(-1 1)", '*', "[0 0]", "[0 0]"),
        ("[1 2]", '/', "[4 5)", "(0.2 0.5]"),
        ("[1 2]", '/', "(0 4]", "[0.25 inf)"),
        ("[1 2]", '/', "[4 inf)", "(0 0.5]"),
        ("[-1 2]", '/', "(-4 0)", "(-inf inf)"),
        ("[0 0]", '/', "(0 1)", "[0 0]"),
    ];
    for (one, sign, other, expected) in cases {
        let (a, b) = (i(one), i(other));
        let found = match sign {
            '+' => a.add(&b),
            '-' => a.sub(&b),
            '*' => a.mul(&b),
            _ => a.div(&b).unwrap(),
        };
        assert_eq!(found, i(expected), "{one} {sign} {other}");
    }
}

#[test]
fn a_divisor_that_may_be_zero_gives_nothing() {
    for divisor in ["[0 0]", "[-1 1]", "[0 1]", "(-inf inf)", "(-1 0]", "(-inf 0]"] {
        assert_eq!(i("[1 2]").div(&i(divisor)), None, "{divisor}");
    }
}

#[test]
fn sets_share_and_span() {
    assert!(!i("[1 2)").intersects(&i("[2 3]")));
    assert!(i("[1 2]").intersects(&i("[2 3]")));
    assert!(!i("(-inf 2)").intersects(&i("(2 inf)")));
    assert_eq!(i("[1 2)").hull(&i("[2 3]")), i("[1 3]"));
    assert_eq!(i("(1 2)").hull(&i("[1 1]")), i("[1 2)"));
    assert_eq!(i("(-inf 2]").intersection(&i("(0 5)")), Some(i("(0 2]")));
    assert!(i("[1 2)").is_within(&i("[1 2]")) && !i("[1 2]").is_within(&i("[1 2)")));
    assert_eq!(Interval::new(Bound::Open(n("1")), Bound::Closed(n("1"))), None);
    assert_eq!((i("[1 4]").centre(), i("[1 4)").width()), (Some(n("2.5")), Some(n("3"))));
    assert_eq!(i("[1 inf)").centre(), None);
    assert_eq!(Interval::between(n("2"), n("1")), i("[1 2]"));
    assert_eq!(Interval::around(n("2"), n("-1")), i("[1 3]"));
    assert_eq!(i("(1 2]").widen(&n("0.5")), i("(0.5 2.5]"));
}

prop_compose! {
    fn tenth()(tenths in -40_i64..=40) -> Exact { Exact::ratio(tenths, 10).unwrap() }
}

fn bound() -> impl Strategy<Value = Bound> {
    prop_oneof![
        1 => Just(Bound::Unbounded),
        3 => tenth().prop_map(Bound::Open),
        4 => tenth().prop_map(Bound::Closed),
    ]
}

fn interval() -> impl Strategy<Value = Interval> {
    (bound(), bound()).prop_filter_map("empty", |(low, high)| Interval::new(low, high))
}

/// Values of an interval: its centre region and, as far as they belong to it, its ends and beyond.
fn samples(interval: &Interval) -> Vec<Exact> {
    let mut all: Vec<Exact> = (-90..=90).map(|k| Exact::ratio(k, 20).unwrap()).collect();
    let near = [&interval.low, &interval.high].into_iter().filter_map(|end| end.value().cloned());
    all.extend(near.flat_map(|end| [&end - n("0.001"), end.clone(), end + n("0.001")]));
    all.extend([n("-1000000"), n("1000000")]);
    all.retain(|value| interval.contains(value));
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn results_hold_every_result(a in interval(), b in interval()) {
        let (sum, difference, product, quotient) = (a.add(&b), a.sub(&b), a.mul(&b), a.div(&b));
        for x in samples(&a) {
            for y in samples(&b).iter().step_by(7) {
                prop_assert!(sum.contains(&(&x + y)));
                prop_assert!(difference.contains(&(&x - y)));
                prop_assert!(product.contains(&(&x * y)), "{x} * {y} in {product:?}");
                if let (Some(quotient), Some(value)) = (&quotient, x.checked_div(y)) {
                    prop_assert!(quotient.contains(&value), "{x} / {y} in {quotient:?}");
                }
            }
        }
        prop_assert_eq!(quotient.is_none(), b.contains(&Exact::zero()));
    }

    #[test]
    fn comparisons_come_in_opposite_pairs(a in interval()) {
        prop_assert_eq!(a.less_than_zero(), a.at_least_zero().map(|x| !x));
        prop_assert_eq!(a.greater_than_zero(), a.at_most_zero().map(|x| !x));
        prop_assert_eq!(a.neg().less_than_zero(), a.greater_than_zero());
        let zero = Exact::zero();
        for x in samples(&a) {
            prop_assert!(a.less_than_zero().is_none_or(|answer| answer == (x < zero)));
            prop_assert!(a.at_most_zero().is_none_or(|answer| answer == (x <= zero)));
        }
    }

    #[test]
    fn narrowing_never_turns_an_answer(a in interval(), b in interval()) {
        if let Some(narrow) = a.intersection(&b) {
            prop_assert!(narrow.is_within(&a) && narrow.is_within(&a.hull(&b)));
            for (wide, narrow) in [(a.less_than_zero(), narrow.less_than_zero()), (a.at_most_zero(), narrow.at_most_zero())] {
                prop_assert!(wide.is_none() || wide == narrow);
            }
        }
    }

    #[test]
    fn products_are_tight(a in interval(), b in interval()) {
        // a closed end is reached by two ends that belong; an open one is not
        let product = a.mul(&b);
        let ends = |x: &Interval| [x.low.clone(), x.high.clone()];
        for end in ends(&product) {
            let Some(value) = end.value() else { continue };
            let reached = ends(&a).iter().any(|p| ends(&b).iter().any(|q| match (p, q) {
                (Bound::Closed(p), Bound::Closed(q)) => &(p * q) == value,
                (Bound::Closed(p), _) | (_, Bound::Closed(p)) => p.is_zero() && value.is_zero(),
                _ => false,
            }));
            prop_assert_eq!(reached, end.is_closed());
        }
        prop_assert_eq!(a.mul(&b), b.mul(&a));
    }
}

/// The interval cases of `three_valued.json` in the reference data: the rules of the language page, each
/// worked by hand (open and closed ends, exact decimals).
#[test]
fn worked_comparisons() {
    let minus =
        |centre: &str, half: &str, limit: &str| Interval::around(n(centre), n(half)).sub(&Interval::point(n(limit)));
    let cases = [
        (minus("11.9", "0.1", "12").less_than_zero(), None),
        (minus("11.8", "0.1", "12").less_than_zero(), Some(true)),
        (minus("12.2", "0.1", "12").less_than_zero(), Some(false)),
        (minus("12.0", "0", "12").less_than_zero(), Some(false)),
        (minus("12.0", "0", "12").at_most_zero(), Some(true)),
        (minus("11.9", "0.1", "12").at_most_zero(), Some(true)),
        (minus("12.1", "0.1", "12").at_most_zero(), None),
        (minus("12.6", "0.1", "12.4").at_least_zero(), Some(true)),
        (minus("12.6", "0.1", "12.8").at_most_zero(), Some(true)),
        (minus("12.35", "0.1", "12.4").at_least_zero(), None),
        (minus("12.2", "0.1", "12.4").at_least_zero(), Some(false)),
    ];
    for (place, (found, expected)) in cases.into_iter().enumerate() {
        assert_eq!(found, expected, "case {place}");
    }
    let both = Interval::around(n("3"), n("0.1")).sub(&Interval::around(n("3.15"), n("0.1")));
    assert_eq!(both.less_than_zero(), None);
}
