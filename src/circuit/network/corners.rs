//! Tries every corner of the ranges that are left, and encloses what lies between.
//!
//! Why that suffices: by Cramer's rule a voltage or current of a linear network is a quotient of two polynomials, each of first degree in every
//! single resistance and source voltage, and the denominator is never 0 while resistances are above 0. Such a quotient runs monotonically in each
//! of them while the others stand still. So from any point of the box one may walk to a corner, one value at a time, without the reading ever
//! falling (or, for the other bound, rising): the extremes lie at corners. Each corner is reckoned on outward ranges, so
//! that rounding is enclosed too. It must not know parts.

use super::arm::Arm;
use super::mesh::Mesh;
use super::range::Range;

/// What the network is at its two kept points: the current that it would drive through a short, and its conductance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// Ampere from the first point to the second through a short.
    pub(super) short: Range,
    /// Siemens between the points.
    pub(super) siemens: Range,
}

/// Calls `each` at every corner of the ranges of `arms` and `extra`: with what the network shows between its first and second kept
/// point, and the corner of `extra`.
pub(super) fn at_corners(arms: &[Arm], kept: [usize; 2], extra: &[Range], mut each: impl FnMut(Seen, &[Range])) {
    let mut arms = compact(arms, kept);
    let size = arms.iter().map(|arm| arm.from.max(arm.to) + 1).max().unwrap_or(0).max(2);
    let mut values: Vec<Range> =
        arms.iter().flat_map(|arm| [arm.volts, arm.ohms]).chain(extra.iter().copied()).collect();
    let wide: Vec<(usize, [Range; 2])> = values
        .iter()
        .enumerate()
        .filter(|(_, value)| value.is_wide())
        .map(|(place, value)| (place, value.ends()))
        .collect();
    let own = 2 * arms.len();
    let mut mesh = Mesh::new(size);
    for corner in 0..1_usize << wide.len() {
        for (bit, (place, ends)) in wide.iter().enumerate() {
            values[*place] = ends[(corner >> bit) & 1];
        }
        for (arm, pair) in arms.iter_mut().zip(values.chunks_exact(2)) {
            (arm.volts, arm.ohms) = (pair[0], pair[1]);
        }
        each(seen(&mut mesh, &arms, size), &values[own..]);
    }
}

/// The arms with their points numbered anew: the kept ones 0 and 1, then those that occur.
fn compact(arms: &[Arm], kept: [usize; 2]) -> Vec<Arm> {
    let mut numbers: Vec<usize> = kept.to_vec();
    let mut number = |point: usize| {
        numbers.iter().position(|&known| known == point).unwrap_or_else(|| {
            numbers.push(point);
            numbers.len() - 1
        })
    };
    arms.iter().map(|arm| Arm { from: number(arm.from), to: number(arm.to), ..*arm }).collect()
}

fn seen(mesh: &mut Mesh<Range>, arms: &[Arm], size: usize) -> Seen {
    mesh.clear();
    for arm in arms {
        mesh.add(arm.from, arm.to, arm.volts, arm.ohms);
    }
    for point in (2..size).rev() {
        mesh.eliminate(point);
    }
    Seen { short: mesh.inflow(0), siemens: mesh.between(0, 1) }
}
