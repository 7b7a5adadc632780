//! Where slopes say which end of a range to try, the extremes are those of every corner.

use super::super::arm::Arm;
use super::super::corners::at_corners;
use super::super::extremes::{Asked, extremes};
use super::super::mesh::Mesh;
use super::super::range::Range;
use super::super::reduce::{Joining, Reduced};
use super::super::slopes::{Between, Slope, slopes};
use super::super::wide_mesh::{Norton, WideMesh};
use super::random::Dice;

/// A network of some points in which all hang together, up to eight of its values being ranges.
fn arms(dice: &mut Dice) -> Vec<Arm> {
    let points = 2 + dice.below(5);
    let mut ranges = 8;
    let mut value = |dice: &mut Dice, low: f64, factors: [f64; 3]| {
        let wide = ranges > 0 && dice.below(2) == 0;
        ranges -= usize::from(wide);
        let factor = factors[dice.below(3)];
        Range { low, high: if wide { low * factor } else { low } }
    };
    let mut arm = |dice: &mut Dice, from: usize, to: usize| {
        let ohm = 10_f64.powf(-3.0 + 6.0 * dice.share());
        let ohms = value(dice, ohm, [1.1, 3.0, 1e4]);
        let emf = 0.1 + 12.0 * dice.share();
        let battery = value(dice, emf, [1.01, 1.1, 3.0]);
        let volts = match dice.below(4) {
            0 => battery,
            1 => -battery,
            _ => Range::ZERO,
        };
        Arm { from, to, volts, ohms, weight: 0.0 }
    };
    let mut all: Vec<Arm> = (1..points)
        .map(|point| {
            let near = dice.below(point);
            arm(dice, near, point)
        })
        .collect();
    for _ in 0..dice.below(6) {
        let (from, step) = (dice.below(points), 1 + dice.below(points - 1));
        all.push(arm(dice, from, (from + step) % points));
    }
    all
}

fn asked(dice: &mut Dice) -> Asked {
    match dice.below(3) {
        0 => Asked::Ohms,
        1 => Asked::Volts,
        _ => {
            // a third of the branches read have no resistance at all, as a battery has whose posts were measured
            let ohm = if dice.below(3) == 0 { 0.0 } else { 10_f64.powf(-2.0 + 4.0 * dice.share()) };
            let volts = [-24.0, -0.7, 0.5][dice.below(3)];
            Asked::Ampere { volts: Range { low: volts, high: volts + 0.2 }, ohms: Range { low: ohm, high: ohm * 2.0 } }
        }
    }
}

/// The reading at every corner, each with its own rounding.
fn corners(arms: &[Arm], asked: Asked) -> Vec<Range> {
    let mut all = Vec::new();
    at_corners(arms, [0, 1], &asked.own(), |seen, own| all.push(asked.read(seen, own)));
    all
}

/// Whether the extremes hold the reading at every corner, and reach no further than those do; returns how wide they are.
fn check(arms: &[Arm], asked: Asked) -> Result<f64, String> {
    let (found, corners) = (extremes(arms, [0, 1], asked), corners(arms, asked));
    let is_held = corners.iter().all(|corner| corner.low <= found.high && found.low <= corner.high);
    let all = corners.into_iter().reduce(Range::hull).unwrap();
    // slopes may leave rounding out that corners without effect bring in, but never add any worth the name
    let slack = |end: f64| 1e-9 * end.abs().max(1.0);
    let is_no_wider = all.low - slack(all.low) <= found.low && found.high <= all.high + slack(all.high);
    let same = format!("{found:?} against {all:?} for {asked:?} of {arms:?}");
    if is_held && (is_no_wider || found == all) { Ok(found.width()) } else { Err(same) }
}

#[test]
fn extremes_are_those_of_all_corners() {
    let mut by_slopes = 0;
    for seed in 0..1000 {
        let mut dice = Dice(seed);
        let (arms, asked) = (arms(&mut dice), asked(&mut dice));
        let mut reduced = Reduced::new(8, arms, [0, 1]);
        reduced.simplify(Joining::Exact);
        let arms = reduced.arms;
        let width = check(&arms, asked).unwrap_or_else(|wrong| panic!("seed {seed}: {wrong}"));
        by_slopes += usize::from(!matches!(asked, Asked::Ohms) && width > 1e-6);
    }
    assert!(by_slopes > 400, "{by_slopes} by slopes");
}

/// A bridge whose middle branch may be driven either way: its slope is unclear until the others stand.
#[test]
fn the_middle_of_a_bridge_has_no_slope_while_its_arms_are_open() {
    let arm =
        |from, to, low: f64, high: f64| Arm { from, to, volts: Range::ZERO, ohms: Range { low, high }, weight: 0.0 };
    let battery = Arm { volts: Range::exactly(-12.0), ..arm(1, 0, 0.1, 0.1) };
    let bridge = [
        battery,
        arm(0, 2, 1.0, 3.0),
        arm(2, 1, 1.0, 3.0),
        arm(0, 3, 1.0, 3.0),
        arm(3, 1, 1.0, 3.0),
        arm(2, 3, 1.0, 2.0),
    ];
    let slopes = slopes(&bridge, 4, Between::Volts);
    assert!(slopes[0].is_none(), "the battery has no range");
    assert!(slopes[5].is_some_and(|middle| middle.ohms == Slope::Unclear));
    check(&bridge, Asked::Volts).unwrap();
}

/// Whatever values the branches have within their ranges, what is left after taking points out lies in the wide mesh's ranges.
#[test]
fn a_wide_mesh_holds_the_mesh_of_every_sample() {
    let mut checked = 0;
    for seed in 0..300 {
        let mut dice = Dice(seed);
        let arms = arms(&mut dice);
        let size = arms.iter().map(|arm| arm.from.max(arm.to) + 1).max().unwrap();
        let kept = [dice.below(size), size - 1];
        if kept[0] == kept[1] {
            continue;
        }
        let mut wide = WideMesh::new(size);
        arms.iter().for_each(|arm| wide.add(&Norton::of(arm)));
        wide.feed(0, 1, Range::exactly(1.0));
        wide.eliminate_all_but(kept);
        for _ in 0..10 {
            let mut mesh: Mesh<f64, 2> = Mesh::new(size);
            for arm in &arms {
                let mut one = |range: Range| dice.within(range.low, range.high);
                let (volts, ohms) = (one(arm.volts), one(arm.ohms));
                mesh.add(arm.from, arm.to, volts, ohms);
            }
            mesh.feed(0, 1, 1.0);
            mesh.eliminate_all_but(kept);
            let holds = |range: Range, value: f64, size: f64| {
                let slack = 1e-9 * size; // the sample's own rounding
                range.low - slack <= value && value <= range.high + slack
            };
            let siemens = mesh.between(kept[0], kept[1]);
            assert!(holds(wide.between(kept[0], kept[1]), siemens, siemens), "seed {seed}");
            for point in kept {
                let [driven, fed] = mesh.inflow(point);
                let ampere = wide.inflow(point, 0);
                assert!(holds(ampere, driven, ampere.abs().high), "seed {seed}: {driven} in {ampere:?}");
                assert!(holds(wide.inflow(point, 1), fed, 1.0), "seed {seed}");
                checked += 1;
            }
        }
    }
    assert!(checked > 3500, "{checked}");
}
