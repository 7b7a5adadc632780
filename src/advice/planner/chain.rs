//! The chain bound: where every test takes only a small part off the rest, the rest is carried for long.
//!
//! Per unit of weight of the [core](mod@super::bounds), whose weight is w and entropy H bits. D is the most answers of a
//! test on offer, d those of test t, c its cost, and s its *side*: the weight outside its heaviest answer.
//!
//! 1. Choose any cost E. A path takes a test at most once, so pricing each test at max(c, E) instead of c adds at
//!    most K = the sum of max(0, E - c) to a path. Work with these prices and take K w off at the end.
//! 2. An answer gives at most log2 D bits. Let e = E / log2 D. Every node pays its price times its weight W and gives
//!    at most W log2 D bits, so e for each bit never exceeds the price. All bits together are w H, hence cost >= e w
//!    H + the sum over any nodes of (price W - e bits given there), no term negative.
//! 3. Sum over the chain of nodes that starts at the top and always follows the heaviest answer, down to a leaf,
//!    whose weight is at most that of the heaviest group. A node of the chain with test t takes off some x1 - x2 = r
//!    <= s, and gives at most x1 log x1 - x2 log x2 - r log r + r log(d - 1) bits. Its term is exactly the integral
//!    from x2 to x1 of (c / r)(x + r / 2) + e log r - e log(d - 1) - e (log x + 1 / ln 2) dx.
//! 4. The integrand falls with r while r <= c x ln 2 / e. So for x >= s / (ln 2 log2 D) it is least at r = s: a
//!    straight line in x, of slope c / s, less the common curve. Below, it is nowhere less than e (log2 D / 2 +
//!    log2(ln 2 log2 D) - log2(D - 1)), a little below 0.
//! 5. Test t appears once on the chain and takes off at most s. So the chain pays at least the cheapest way to cover
//!    the range of x with the lines, line t on a length of at most s. By weak duality, for any prices u >= 0 of these
//!    lengths: at least the integral of the lower envelope of (line + u) less the sum of u s. Good prices are those
//!    under which the lines used by rising slope, steepest last, meet where their lengths end.
//!
//! Tried with E as the cheapest cost and as the dearest that a Huffman code would need; the better counts. The bound
//! is ours, not a published one; the tests compare it with exhaustive search.

use std::f64::consts::LN_2;

use super::core::{Core, Side};
use super::costs::Costs;
use super::huffman::code_length;

/// What one test charges for the stretch of the chain that it takes off: `slope * x + level`.
struct Line {
    slope: f64,
    level: f64,
    /// The longest stretch it can take off.
    side: f64,
    /// The price of a unit of that length.
    price: f64,
}

/// The chain bound of a state with tests of these costs on offer.
pub(super) fn chain(core: &Core, costs: &Costs) -> f64 {
    let depth = code_length(&core.weights, costs.answers) / core.weight;
    let (cheapest, marginal) = (costs.marginal(1.0), costs.marginal(depth));
    let low = core.chain_at(cheapest);
    let best = if marginal > cheapest { low.max(core.chain_at(marginal)) } else { low };
    best.max(0.0)
}

impl Core {
    /// The bound for one choice of the cost E.
    fn chain_at(&self, cost: f64) -> f64 {
        let bits = self.answers.log2();
        let e = cost / bits;
        let saved: f64 = self.sides.iter().map(|side| (cost - side.cost).max(0.0)).sum();
        let longest = self.sides.iter().map(|side| side.side).fold(0.0, f64::max);
        let heaviest = self.weights.iter().copied().fold(0.0, f64::max);
        let end = heaviest.max(longest / (LN_2 * bits)).min(self.weight);
        let below = e * (bits / 2.0 + (LN_2 * bits).log2() - (self.answers - 1.0).log2());
        let curve = e * (self.weight * self.weight.log2() - end * end.log2());
        let lines = self.lines(cost, e, end);
        let chain = if lines.is_empty() { 0.0 } else { covered(&lines, end, self.weight) - curve };
        e * self.bits + chain + end * below.min(0.0) - saved * self.weight
    }

    /// The lines by rising slope, with their prices.
    fn lines(&self, cost: f64, e: f64, end: f64) -> Vec<Line> {
        let line = |side: &Side| {
            let price = side.cost.max(cost);
            Line {
                slope: price / side.side,
                level: price / 2.0 + e * (side.side.log2() - side.bits_off),
                side: side.side,
                price: 0.0,
            }
        };
        let mut lines: Vec<Line> = self.sides.iter().filter(|side| side.side > 0.0).map(line).collect();
        lines.sort_by(|a, b| a.slope.total_cmp(&b.slope).then(a.level.total_cmp(&b.level)));
        let mut meets = Vec::with_capacity(lines.len());
        let mut x = self.weight;
        for line in &lines {
            if x <= end {
                break;
            }
            x -= line.side;
            meets.push(x);
        }
        let mut price = 0.0;
        for place in (0..meets.len().saturating_sub(1)).rev() {
            let (this, next) = (&lines[place], &lines[place + 1]);
            price += (next.slope - this.slope) * meets[place] + next.level - this.level;
            price = f64::max(price, 0.0);
            lines[place].price = price;
        }
        lines
    }
}

/// The integral from `low` to `high` of the lower envelope of the priced lines, less what the prices allow.
fn covered(lines: &[Line], low: f64, high: f64) -> f64 {
    let level = |line: &Line| line.level + line.price;
    let meet = |a: &Line, b: &Line| (level(a) - level(b)) / (b.slope - a.slope);
    let mut hull: Vec<&Line> = Vec::new();
    for line in lines {
        if hull.last().is_some_and(|last| level(last) <= level(line)) {
            continue;
        }
        while let [.., before, last] = hull.as_slice() {
            if meet(before, line) < meet(before, last) {
                break;
            }
            hull.pop();
        }
        hull.push(line);
    }
    let mut sum: f64 = -lines.iter().map(|line| line.price * line.side).sum::<f64>();
    let mut top = high;
    for (place, line) in hull.iter().enumerate() {
        let bottom = hull.get(place + 1).map_or(low, |next| meet(line, next).max(low).min(top));
        sum += line.slope * (top * top - bottom * bottom) / 2.0 + level(line) * (top - bottom);
        top = bottom;
    }
    sum
}
