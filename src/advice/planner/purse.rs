//! The purse bound: information has to be bought, each test sells only so much, and the dear bits cost more.
//!
//! Per unit of weight of the [core](mod@super::bounds), whose weight is w and entropy H bits. A test of cost c with d
//! answers and side s (the weight outside its heaviest answer) is taken at nodes that exclude each other, of weight v
//! together, v <= w, because no path takes it twice. A node that takes r off its heaviest answer gives at most its
//! weight times h(share of r), h the binary entropy, plus r log(d - 1) bits. That is concave in weight and r
//! together, and all r of a test add up to s at most, so the test gives at most g(v) = v log d for v up to s d / (d -
//! 1), then v h(s / v) + s log(d - 1) bits, for the cost c v.
//!
//! A plan buys w H bits in all. So for any price y of a bit it costs at least y w H - the sum over the tests of the
//! most that max(y g(v) - c v, 0) can be. That most is at v = s / (1 - 2^(-c / y)), if c < y log d.
//!
//! It is the best of the bounds where costs differ or most tests are lopsided. It is ours, not a published one; the
//! tests compare it with exhaustive search.

use super::core::{Core, Side};

/// How often a price is tried. Any price gives a valid bound; a few come close to the best.
const TRIES: usize = 9;

/// The purse bound of a state; 0 where all tests cost the same, since the other bounds are better there.
pub(super) fn purse(core: &Core) -> f64 {
    let (cheapest, dearest) = core.prices();
    if cheapest >= dearest {
        return 0.0;
    }
    // the bound is highest where as many bits are sold as wanted
    let (mut low, mut want_low) = (0.0, core.bits);
    let (mut high, mut want_high) = (f64::INFINITY, f64::NAN);
    let mut price = cheapest.max(dearest / 4.0);
    let mut best: f64 = 0.0;
    for _ in 0..TRIES {
        let (bound, wanted) = at(core, price);
        best = best.max(bound);
        if wanted > 0.0 {
            (low, want_low) = (price, wanted);
        } else {
            (high, want_high) = (price, wanted);
        }
        price = if high.is_finite() {
            let share = want_low / (want_low - want_high);
            low + (high - low) * share.clamp(0.1, 0.9)
        } else {
            price * 2.0
        };
    }
    best
}

/// The bound at a price of a bit, and the bits still wanted at that price.
fn at(core: &Core, price: f64) -> (f64, f64) {
    let (mut bound, mut wanted) = (price * core.bits, core.bits);
    for side in &core.sides {
        let (bits, cost) = sold(side, price, core.weight);
        bound -= price * bits - cost;
        wanted -= bits;
    }
    (bound, wanted)
}

/// The bits worth buying from a test at a price, and what they cost.
fn sold(side: &Side, price: f64, weight: f64) -> (f64, f64) {
    if side.side <= 0.0 || side.cost >= price * side.bits {
        return (0.0, 0.0);
    }
    let taken = (side.side / (1.0 - (-side.cost / price).exp2())).min(weight);
    let off = side.side / taken;
    let bits = -off * off.log2() - (1.0 - off) * (1.0 - off).log2() + off * side.bits_off;
    (taken * bits, taken * side.cost)
}
