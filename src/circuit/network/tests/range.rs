//! Outward arithmetic.

use super::super::Range;

#[test]
fn rounding_goes_outwards() {
    let tenth = Range::exactly(0.1);
    let sum = tenth + Range::exactly(0.2);
    assert!(sum.low <= 0.3 && 0.3 < sum.high && sum.width() > 0.0);
    assert!((Range::exactly(1.0) / Range::exactly(3.0)).width() > 0.0);
}

#[test]
fn zero_stays_exact_and_sizes_lose_their_sign() {
    assert_eq!(Range::ZERO + Range::exactly(0.1), Range::exactly(0.1));
    assert_eq!(Range::ZERO * Range::between(-1.0, 2.0), Range::ZERO);
    assert_eq!(Range::between(-3.0, 2.0).abs(), Range::between(0.0, 3.0));
    assert_eq!(Range::between(1.0, 2.0) / Range::between(-1.0, 1.0), Range::between(f64::NEG_INFINITY, f64::INFINITY));
}

#[test]
fn products_of_either_sign_hold_all_corners() {
    let product = Range::between(-2.0, 3.0) * Range::between(-5.0, 4.0);
    assert!(product.contains(-15.0) && product.contains(12.0));
    assert!(product.low > -15.1 && product.high < 12.1);
}
