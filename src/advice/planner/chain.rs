//! The chain bound: what a plan costs at least where every test takes only a small part off the rest.
use super::matrix::Matrix;
use super::state::{Tally, View};
use super::bounds::{Costs};

const BIT: f64 = std::f64::consts::LN_2;

struct Line { rate: f64, level: f64, room: f64 }

/// The chain bound of a state; `columns` are the tests on offer there.
pub(super) fn chain(matrix: &Matrix, view: &View, columns: &[usize], masses: &[f64], costs:&Costs, depth: f64) -> f64 {
    let whole: f64 = masses.iter().sum();
    let largest = masses.iter().copied().fold(0.0, f64::max);
    let entropy: f64 = masses.iter().filter(|m| **m > 0.0).map(|m| -m * (m / whole).log2()).sum();
    let dmax = costs.answers as f64;
    let marginal = costs.marginal(depth);
    let e = marginal / dmax.log2();
    if e <= 0.0 { return 0.0; }
    let mut lines = Vec::with_capacity(columns.len());
    let mut tally = Tally::default();
    let mut cheap = 0.0;
    let mut side: f64 = 0.0;
    for &at in columns {
        let column = &matrix.columns[at];
        tally.take(column, view);
        cheap += (marginal - column.cost).max(0.0);
        let cost = column.cost.max(marginal);
        let off = whole - tally.mass.iter().copied().fold(0.0, f64::max);
        if off <= 0.0 { continue; }
        side = side.max(off);
        let d = tally.answers() as f64;
        lines.push(Line { rate: cost / off, level: cost / 2.0 + e * off.log2() - e * (d - 1.0).log2(), room: off });
    }
    lines.sort_by(|a, b| a.rate.total_cmp(&b.rate).then(a.level.total_cmp(&b.level)));
    let end = largest.max(side / (BIT * dmax.log2()));
    let flat = e * (dmax.log2() / 2.0 + (dmax.log2() * BIT).log2() - (dmax - 1.0).log2());
    let base = e * entropy - cheap * whole + end.min(whole) * flat.min(0.0);
    if end >= whole || lines.is_empty() { return base; }
    // prices
    let mut top = whole;
    let mut used = 0;
    let mut bounds = Vec::new();
    while used < lines.len() && top > end { top -= lines[used].room; bounds.push(top); used += 1; }
    let mut price = 0.0;
    let mut prices = vec![0.0; lines.len()];
    for j in (0..used.saturating_sub(1)).rev() {
        price += (lines[j + 1].rate - lines[j].rate) * bounds[j] + lines[j + 1].level - lines[j].level;
        if price < 0.0 { price = 0.0; }
        prices[j] = price;
    }
    let mut paid = 0.0;
    for (l, p) in lines.iter_mut().zip(&prices) { l.level += p; paid += p * l.room; }
    let common = |x: f64| e * (x * x.log2());
    base + envelope(&lines, end, whole) - (common(whole) - common(end)) - paid
}

/// integral of min over lines (sorted by rate rising) from a to b
fn envelope(lines: &[Line], a: f64, b: f64) -> f64 {
    // from x=b downward: largest x is served by smallest rate
    let mut hull: Vec<&Line> = Vec::new();
    for line in lines {
        if hull.last().is_some_and(|l| l.level <= line.level) { continue; } // dominated for x>=0
        while hull.len() >= 2 {
            let (p, q) = (hull[hull.len() - 2], hull[hull.len() - 1]);
            // crossing of p,line at x1 ; crossing p,q at x0 : q useless if x1 >= x0
            let x0 = (p.level - q.level) / (q.rate - p.rate);
            let x1 = (p.level - line.level) / (line.rate - p.rate);
            if x1 >= x0 { hull.pop(); } else { break; }
        }
        hull.push(line);
    }
    let mut sum = 0.0;
    let mut high = b;
    for (i, l) in hull.iter().enumerate() {
        let low = match hull.get(i + 1) { Some(n) => ((l.level - n.level) / (n.rate - l.rate)).clamp(a, high), None => a };
        sum += l.rate * (high * high - low * low) / 2.0 + l.level * (high - low);
        high = low;
    }
    sum
}
