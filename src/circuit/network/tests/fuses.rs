//! The gates of `fuse_gates.csv`: ISO 8820-3 blade fuses, maxima at 135, 200, 350 and 600 % seen, the rest from memory.

use super::super::fuse::{FuseAnswer, fuse_answer, opening_time};
use super::super::{GROUND, Network, Part, Range, Reading};
use super::exactly;

const GATES: &str = include_str!("../../../../tests/reference/fuse_gates.csv");

#[test]
fn fuses_open_by_the_gates() {
    // ISO 8820-3, fuse_gates.csv: a source drives each share of 20 A through a fuse; at 110 % it holds, from 135 % it opens
    let mut seen = 0;
    for line in GATES.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let share = cells[0].parse::<f64>().unwrap() / 100.0;
        let (least, most) = (cells[1].parse::<f64>().unwrap(), cells[2].parse::<f64>().ok());
        assert_eq!(opening_time(share), (least, most), "{line}");
        // between this gate and the next: no faster than the next gate's least, no slower than this one's most
        assert_eq!(opening_time(share + 0.01).1, most, "{line}");
        assert_eq!(opening_time(share - 0.01).0, least, "{line}");
        let expected = if most.is_some() { FuseAnswer::Opens } else { FuseAnswer::Holds };
        assert_eq!(fuse_answer(share), expected, "{line}");
        assert_eq!(outcomes_at(share), if most.is_some() { vec![true] } else { vec![false] }, "{line}");
        seen += 1;
    }
    assert_eq!(seen, 6);
    assert_eq!(opening_time(7.0).0, 0.0);
    assert_eq!(fuse_answer(1.2), FuseAnswer::Either);
    assert_eq!(outcomes_at(1.2), vec![false, true]);
    assert_eq!(outcomes_at(1.11), vec![false, true]);
    assert_eq!(outcomes_at(1.349), vec![false, true]);
    assert_eq!(outcomes_at(1.0), vec![false]);
}

/// For each outcome of a 20 A fuse under this share of its rating, whether it opens.
fn outcomes_at(share: f64) -> Vec<bool> {
    let mut network = Network::new();
    let [post, out] = ["post", "out"].map(|name| network.point(name));
    network.add("source", super::source(post, 20.0 * share)).unwrap();
    network.add("fuse", Part::Fuse { from: post, to: out, rating: 20.0, ohm: exactly(0.0) }).unwrap();
    network.add("load", Part::Conductor { from: out, to: GROUND, ohm: exactly(1.0) }).unwrap();
    let opens: Vec<bool> = network.solve().unwrap().iter().map(|solution| !solution.outcome.blown.is_empty()).collect();
    let expected = network.expected(&Reading::voltage(out, GROUND)).unwrap();
    let ranges: Vec<Range> = expected.outcomes.iter().map(|outcome| outcome.range).collect();
    assert_eq!(ranges.len(), opens.len());
    for (range, &open) in ranges.iter().zip(&opens) {
        assert!(range.contains(if open { 0.0 } else { 20.0 * share }), "{range:?}");
    }
    opens
}
