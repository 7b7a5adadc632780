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

impl Seen {
    /// What a mesh is between its first two points, nothing else being left of it.
    pub(super) fn of<const FEEDINGS: usize>(mesh: &Mesh<Range, FEEDINGS>) -> Seen {
        Seen { short: mesh.inflow(0)[0], siemens: mesh.between(0, 1) }
    }
}

/// Calls `each` at every corner of the ranges of `arms` and `extra`: with what the network shows between its first and second kept
/// point, and the corner of `extra`.
///
/// Points are taken out one after the other, and only the ranges at a point are tried before it goes: what is left is the same for all
/// corners of the ranges further on, so each step is done once for all of them.
pub(super) fn at_corners(arms: &[Arm], kept: [usize; 2], extra: &[Range], mut each: impl FnMut(Seen, &[Range])) {
    let (mut levels, size) = levels(arms, kept);
    let mut meshes: Vec<Mesh<Range>> = (0..=levels.len()).map(|_| Mesh::new(size)).collect();
    let mut own = Corner::new(extra.to_vec());
    descend(&mut levels, &mut meshes, &mut |seen| own.for_each(&mut |own| each(seen, own)));
}

/// Ranges, each of which stands at one end at a time.
struct Corner {
    ranges: Vec<Range>,
    wide: Vec<usize>,
    now: Vec<Range>,
}

impl Corner {
    fn new(ranges: Vec<Range>) -> Corner {
        let wide = (0..ranges.len()).filter(|place| ranges[*place].is_wide()).collect();
        Corner { wide, now: ranges.clone(), ranges }
    }

    /// Calls `each` with every choice of one end of each range; what is no range stays.
    fn for_each(&mut self, each: &mut dyn FnMut(&[Range])) {
        for number in 0..1_usize << self.wide.len() {
            for (bit, place) in self.wide.iter().enumerate() {
                self.now[*place] = self.ranges[*place].ends()[(number >> bit) & 1];
            }
            each(&self.now);
        }
    }
}

/// A point that is taken out, with the branches that are put in before; no point at the end.
struct Level {
    ends: Vec<(usize, usize)>,
    values: Corner,
    point: Option<usize>,
}

impl Level {
    fn new(arms: &[Arm], point: Option<usize>) -> Level {
        let values = Corner::new(arms.iter().flat_map(|arm| [arm.volts, arm.ohms]).collect());
        Level { ends: arms.iter().map(|arm| (arm.from, arm.to)).collect(), values, point }
    }
}

/// Which branches are put in before which point goes, and how many points there are. The kept ones are 0 and 1; of the others the one
/// with the fewest untried ranges goes first.
fn levels(arms: &[Arm], kept: [usize; 2]) -> (Vec<Level>, usize) {
    let mut arms = compact(arms, kept);
    let size = arms.iter().map(|arm| arm.from.max(arm.to) + 1).max().unwrap_or(0).max(2);
    let mut levels: Vec<(Vec<Arm>, Option<usize>)> = Vec::with_capacity(size - 1);
    let mut open: Vec<usize> = (2..size).collect();
    let touches = |arm: &Arm, point: usize| arm.from == point || arm.to == point;
    loop {
        let ranges = |point: usize| arms.iter().filter(|arm| touches(arm, point)).map(wide_in).sum::<usize>();
        let Some(place) = (0..open.len()).min_by_key(|place| ranges(open[*place])) else { break };
        let point = open.remove(place);
        let (own, rest): (Vec<Arm>, Vec<Arm>) = arms.into_iter().partition(|arm| touches(arm, point));
        levels.push((own, Some(point)));
        arms = rest;
    }
    levels.push((arms, None));
    // The first to go gets the highest number, so that what is left of the network is always its beginning.
    let mut numbers: Vec<usize> = (0..size).collect();
    for (place, point) in levels.iter().filter_map(|(_, point)| *point).enumerate() {
        numbers[point] = size - 1 - place;
    }
    let renumbered = |arm: Arm| Arm { from: numbers[arm.from], to: numbers[arm.to], ..arm };
    let level = |(arms, point): (Vec<Arm>, Option<usize>)| {
        Level::new(&arms.into_iter().map(renumbered).collect::<Vec<Arm>>(), point.map(|point| numbers[point]))
    };
    (levels.into_iter().map(level).collect(), size)
}

/// How many ranges a branch has.
pub(super) fn wide_in(arm: &Arm) -> usize {
    usize::from(arm.volts.is_wide()) + usize::from(arm.ohms.is_wide())
}

/// `meshes` holds the network so far and one for each level that follows.
fn descend(levels: &mut [Level], meshes: &mut [Mesh<Range>], each: &mut dyn FnMut(Seen)) {
    let Some((now, later)) = meshes.split_first_mut() else { return };
    let Some((Level { ends, values, point }, further)) = levels.split_first_mut() else {
        return each(Seen::of(now));
    };
    values.for_each(&mut |values| {
        let Some(next) = later.first_mut() else { return };
        next.copy_from(now, point.map_or(2, |point| point + 1));
        for (&(from, to), pair) in ends.iter().zip(values.chunks_exact(2)) {
            next.add(from, to, pair[0], pair[1]);
        }
        if let Some(point) = *point {
            next.eliminate(point);
        }
        descend(further, later, each);
    });
}

/// The arms with their points numbered anew: the kept ones 0 and 1, then those that occur.
pub(super) fn compact(arms: &[Arm], kept: [usize; 2]) -> Vec<Arm> {
    let mut numbers: Vec<usize> = kept.to_vec();
    let mut number = |point: usize| {
        numbers.iter().position(|&known| known == point).unwrap_or_else(|| {
            numbers.push(point);
            numbers.len() - 1
        })
    };
    arms.iter().map(|arm| Arm { from: number(arm.from), to: number(arm.to), ..*arm }).collect()
}
