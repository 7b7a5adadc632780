use super::*;

fn number(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

#[test]
fn decimals_add_exactly() {
    assert_eq!(number("0.1") + number("0.2"), number("0.3"));
    assert_eq!(number("11.9") + &number("0.1"), number("12"));
    assert_eq!(&number("12.00") - number("12"), Exact::zero());
    assert_eq!(number("-3.25") * number("4"), Exact::from_int(-13));
    assert_eq!(number("\u{2212}3.25"), number("-3.25"));
}

#[test]
fn text_that_is_no_number_is_refused() {
    for text in ["", "-", ".5", "5.", "1e3", "1E3", "+1", "1,5", "1 2", "1.2.3", "0x1", "--1", "٣", "NaN", "-.5", "."]
    {
        let problem = Exact::parse(text).unwrap_err();
        assert!(problem.to_string().contains(text), "{text}: {problem}");
    }
    assert!(Exact::parse(&"9".repeat(40)).is_ok());
    assert_eq!(Exact::parse(&"9".repeat(41)), Err(NumberProblem::TooLong { digits: 41 }));
    assert_eq!(Exact::parse("11,9").unwrap_err().fix().unwrap().matches("11.9").count(), 1);
}

#[test]
fn typed_digits_are_counted() {
    assert_eq!([Exact::digits("12"), Exact::digits("12.6"), Exact::digits("-12.60")], [0, 1, 2]);
    assert_eq!(Exact::pow10(-1).half(), number("0.05"));
}

#[test]
fn text_is_exact_where_it_ends_and_short_where_not() {
    for text in ["0", "10.9", "-0.05", "123456789012", "0.000000000001", "1234.000001", "22.5"] {
        assert_eq!(number(text).to_string(), text);
    }
    assert_eq!(number("12.600").to_string(), "12.6");
    assert_eq!(Exact::ratio(1, 3).unwrap().to_string(), "0.333333");
    assert_eq!(Exact::ratio(-2, 3).unwrap().to_string(), "-0.666667");
    assert_eq!(Exact::ratio(2_999_999_999, 3).unwrap().to_string(), "1000000000");
    assert_eq!(Exact::ratio(1, 300_000_000).unwrap().to_string(), "0.00000000333333");
    assert_eq!(Exact::ratio(1, 3).map(|x| x * Exact::pow10(-30)).unwrap().to_string(), "3.33333e-31");
    assert_eq!(Exact::pow10(400).to_string(), "1e400");
    assert_eq!(format!("{:>6}", number("1.5")), "   1.5");
}

#[test]
fn floating_point_is_taken_exactly_or_not_at_all() {
    assert_eq!(Exact::from_f64(0.5), Exact::ratio(1, 2));
    assert_ne!(Exact::from_f64(0.1), Exact::ratio(1, 10));
    assert_eq!(Exact::from_f64(f64::NAN), None);
    assert_eq!(Exact::from_f64(f64::NEG_INFINITY), None);
    for value in [0.1, -1e300, 5e-324, 1.0 / 3.0, 0.0] {
        assert_eq!(Exact::from_f64(value).unwrap().to_f64(), value);
    }
    assert_eq!((Exact::pow10(1000) * Exact::pow10(1000)).to_f64(), f64::INFINITY);
    assert_eq!((Exact::pow10(-1000) * Exact::pow10(-1000)).to_f64(), 0.0);
}

#[test]
fn edges_never_panic() {
    assert_eq!(Exact::ratio(1, 0), None);
    assert_eq!(Exact::ratio(i64::MIN, -1).unwrap().to_string(), "9223372036854775808");
    assert_eq!(Exact::pow10(i32::MAX), Exact::pow10(1000));
    assert_eq!(Exact::pow10(i32::MIN), Exact::pow10(-1000));
    assert_eq!(Exact::one().checked_div(&Exact::zero()), None);
    assert_eq!(number("-7").abs(), number("7"));
    assert_eq!(number("2.345").rounded(2), number("2.35"));
    assert_eq!(number("-2.345").rounded(2), number("-2.35"));
}

#[test]
fn numbers_are_ordered_and_equal_ones_hash_alike() {
    use std::collections::HashSet;
    assert!(number("-0.2") < number("-0.1") && number("0.099") < number("0.1"));
    let set: HashSet<Exact> = [number("0.50"), number("0.5"), Exact::ratio(2, 4).unwrap()].into();
    assert_eq!(set.len(), 1);
}
