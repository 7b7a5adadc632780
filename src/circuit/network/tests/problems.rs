//! What can't be built or reckoned is said in words.

use super::super::{Defect, GROUND, Network, NetworkProblem, Part, Path, Place, Position, Reading, Relay, Spread};
use super::{Bench, exactly};

fn said(problem: Result<impl Sized, NetworkProblem>) -> String {
    problem.err().unwrap().to_string()
}

#[test]
fn sources_in_a_loop_are_named() {
    let mut bench = Bench::twelve_volts();
    let plus = bench.point("post");
    let second = Part::Battery { minus: GROUND, plus, emf: exactly(12.0), internal: exactly(0.0) };
    bench.network.add("booster", second).unwrap();
    bench.ohm("load", "post", "ground", exactly(1.0));
    let words = said(bench.network.solve());
    assert!(words.contains("`battery` and `booster`") && words.contains("internal resistance"), "{words}");
    assert_eq!(said(bench.network.expected(&Reading::current(super::super::PartId(2)))), words);
}

#[test]
fn an_ideal_source_shorted_by_an_ideal_link_is_named() {
    let mut bench = Bench::twelve_volts();
    bench.ohm("spanner", "post", "ground", exactly(0.0));
    let words = said(bench.network.solve());
    assert!(words.contains("`battery`") && words.contains("the loop that `spanner` closes"), "{words}");
}

#[test]
fn real_batteries_side_by_side_share_the_load() {
    let mut bench = Bench::new(exactly(12.6), exactly(0.02));
    let plus = bench.point("post");
    let second = Part::Battery { minus: GROUND, plus, emf: exactly(12.6), internal: exactly(0.02) };
    let second = bench.network.add("booster", second).unwrap();
    bench.ohm("load", "post", "ground", exactly(1.0));
    // 12.6 V behind 0.01 ohm, half each
    assert!((bench.solved().current(second).unwrap() - 12.6 / 1.01 / 2.0).abs() < 1e-9);
}

#[test]
fn links_side_by_side_share_an_undivided_current() {
    let mut bench = Bench::twelve_volts();
    let one = bench.ohm("one", "post", "out", exactly(0.0));
    bench.ohm("other", "post", "out", exactly(0.0));
    let load = bench.ohm("load", "out", "ground", exactly(6.0));
    assert_eq!(bench.solved().current(one), None);
    assert!((bench.solved().current(load).unwrap() - 2.0).abs() < 1e-12);
    let words = said(bench.network.expected(&Reading::current(one)));
    assert!(words.contains("`one`") && words.contains("give both a resistance"), "{words}");
    assert!(bench.network.expected(&bench.reading("out")).unwrap().range().contains(12.0));
}

#[test]
fn parts_that_make_no_sense_are_refused() {
    let mut network = Network::new();
    let [a, b] = ["a", "b"].map(|name| network.point(name));
    let wire = |from, to| Part::Conductor { from, to, ohm: exactly(1.0) };
    network.add("wire", wire(a, b)).unwrap();
    assert!(said(network.add("wire", wire(a, GROUND))).contains("two parts are called `wire`"));
    assert!(said(network.add("loop", wire(a, a))).contains("`loop` begins and ends at `a`"));
    let fuse = Part::Fuse { from: a, to: b, rating: 0.0, ohm: exactly(0.0) };
    assert!(said(network.add("fuse", fuse)).contains("`fuse` has the rating 0"));
    let relay = |make, pull_in, drop_out| {
        let (coil, common, coil_ohm, contact_ohm) = ((a, b), a, exactly(85.0), exactly(0.01));
        Part::Relay(Relay { coil, coil_ohm, common, make, rest: None, contact_ohm, pull_in, drop_out })
    };
    assert!(said(network.add("K1", relay(Some(b), 3.0, 8.0))).contains("pulls in at 3 V and drops out at 8 V"));
    assert!(said(network.add("K1", relay(None, 8.0, 3.0))).contains("has no contact"));
    assert!(said(network.add("K1", relay(Some(b), f64::NAN, 3.0))).contains("`K1` has the rating NaN"));
}

#[test]
fn numbers_of_another_network_are_refused() {
    let mut other = Network::new();
    for name in ["a", "b", "c"] {
        other.point(name);
    }
    let far = other.find_point("c").unwrap();
    let mut network = Network::new();
    let wire = Part::Conductor { from: far, to: GROUND, ohm: exactly(1.0) };
    assert_eq!(network.add("wire", wire), Err(NetworkProblem::Foreign));
    assert_eq!(network.expected(&Reading::voltage(far, GROUND)).err(), Some(NetworkProblem::Foreign));
    let part = super::super::PartId(7);
    assert_eq!(network.expected(&Reading::current(part)).err(), Some(NetworkProblem::Foreign));
    assert_eq!(network.with(&[Defect::Open(part.into())]).err(), Some(NetworkProblem::Foreign));
    assert_eq!(network.with(&[Defect::short(far, GROUND)]).err(), Some(NetworkProblem::Foreign));
    let words = said(network.expected(&Reading::voltage(GROUND, GROUND)));
    assert!(words.contains("both probes are on `ground`"), "{words}");
    assert_eq!((network.point_name(far), network.part_name(part)), ("", ""));
}

#[test]
fn defects_of_the_wrong_part_are_refused() {
    let mut bench = Bench::twelve_volts();
    let wire = bench.ohm("wire", "post", "ground", exactly(1.0));
    let fuse = bench.fuse("F1", "post", "ground", 5.0);
    let battery = bench.network.find_part("battery").unwrap();
    let coil = Place { part: wire, path: Path::Coil };
    for (defect, words) in [
        (Defect::Stalls(wire), "`wire` is a plain conductor, expected a motor"),
        (Defect::Weak { battery: fuse, emf: None, internal: None }, "`F1` is a fuse, expected a battery"),
        (Defect::Rating { fuse: battery, ampere: 5.0 }, "`battery` is a battery, expected a fuse"),
        (Defect::Rating { fuse, ampere: -5.0 }, "`F1` has the rating -5"),
        (Defect::Sticks { part: wire, position: Position::Open }, "`wire` is a plain conductor, expected a switch"),
        (Defect::Adds { at: coil, ohm: exactly(1.0) }, "`wire` is a plain conductor, expected a relay"),
        (Defect::short(GROUND, GROUND), "both probes are on `ground`"),
    ] {
        let found = said(bench.network.with(&[defect]));
        assert!(found.starts_with(words), "{found}");
    }
}

#[test]
fn values_that_no_part_has_are_refused() {
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(Spread::exactly(bad).is_err(), "{bad}");
    }
    assert!(Spread::between(2.0, 1.0).unwrap_err().to_string().contains("smaller end first"));
    assert!(Spread::from_current(12.0, 0.0, 1.0).unwrap_err().to_string().contains("load of 0"));
    assert!(Spread::around(1.0, 1.5).is_err());
    let twice = exactly(12.0).scaled_by(exactly(2.0)).unwrap_err().to_string();
    assert!(twice.contains("found the share 2, expected 0 to 1"), "{twice}");
    assert!(Spread::exactly(-1.0).unwrap_err().to_string().contains("swap the ends"));
    assert!(Spread::exactly(1e13).unwrap_err().to_string().contains("leave the part out"));
    // a very small load would have no finite resistance
    assert!(Spread::from_current(12.0, 1e-320, 1.0).is_err());
}

#[test]
fn too_many_undecided_relays_are_given_up_in_words() {
    let mut bench = Bench::new(exactly(5.0), exactly(0.01));
    for number in 0..9 {
        let (coil, contact) = (format!("coil {number}"), format!("contact {number}"));
        bench.ohm(&format!("lead {number}"), "post", &coil, exactly(1.0));
        bench.relay(&format!("K{number}"), (&coil, "ground"), "post", Some(&contact), None);
    }
    let words = said(bench.network.solve());
    assert!(words.contains("more than 256 ways"), "{words}");
}
