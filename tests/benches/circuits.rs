//! Times of the circuits: the table of the roof-unit book, growth with points and faults, the operating points of the reference circuit
//! beside a general-purpose simulator. `cargo bench --bench circuits`; the solver by itself is in `engines`.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use ruleout::book::{Library, load};
use ruleout::circuit::network::{Defect, GROUND, Network, Part, PointId, Reading, Spread};
use ruleout::circuit::table::{Wanted, table};

struct Folder(PathBuf);

impl Library for Folder {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(self.0.join(path.file_name().unwrap_or_default())).map_err(|e| e.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// The table of every circuit of the roof-unit book, cold and again.
fn roof_unit() {
    let library = Folder(root().join("rulebooks"));
    let (book, _) = load(&library, Path::new("roof-unit-fans.rulebook")).unwrap().resolve(None);
    for times in ["cold", "again"] {
        let start = Instant::now();
        let cells: usize =
            book.circuit_ids().flat_map(|id| table(&book, id, Wanted::default()).rows).map(|row| row.cells.len()).sum();
        println!("roof-unit table, {cells} cells, {times}: {:8.1} ms", start.elapsed().as_secs_f64() * 1e3);
    }
}

/// A feed with a tap at each point, every part ± 10 %, and a bad joint at each wire in turn.
fn growth(points: usize) {
    let around = |ohm: f64| Spread::around(ohm, 0.1).unwrap();
    let mut network = Network::new();
    let names: Vec<PointId> = (0..points).map(|number| network.point(&format!("p{number}"))).collect();
    let battery = Part::Battery {
        minus: GROUND,
        plus: names[0],
        emf: Spread::between(24.0, 25.0).unwrap(),
        internal: around(0.02),
    };
    network.add("battery", battery).unwrap();
    let mut wires = Vec::new();
    for (number, pair) in names.windows(2).enumerate() {
        let wire = Part::Conductor { from: pair[0], to: pair[1], ohm: around(0.01) };
        wires.push(network.add(&format!("wire {number}"), wire).unwrap());
        let tap = Part::Conductor { from: pair[1], to: GROUND, ohm: around(100.0) };
        network.add(&format!("tap {number}"), tap).unwrap();
    }
    let reading = Reading::voltage(names[points / 2], GROUND);
    let start = Instant::now();
    for wire in &wires {
        let joint = Defect::Adds { at: (*wire).into(), ohm: Spread::between(0.5, 5.0).unwrap() };
        assert!(network.with(&[joint]).unwrap().expected(&reading).unwrap().is_exact());
    }
    let seconds = start.elapsed().as_secs_f64();
    println!("{points} points x {} faults, one reading: {:9.1} ms", wires.len(), seconds * 1e3);
}

/// The netlists of the reference circuit, each solved once.
fn operating_points() {
    let text = include_str!("../reference/dc_netlists.json");
    let json: serde_json::Value = serde_json::from_str(text).unwrap();
    let netlists: Vec<&str> =
        json["netlists"].as_object().unwrap().values().filter_map(|value| value.as_str()).collect();
    let start = Instant::now();
    for netlist in &netlists {
        let mut network = Network::new();
        for line in netlist.lines().filter(|line| line.starts_with(['V', 'R'])) {
            let cells: Vec<&str> = line.split_whitespace().collect();
            let mut point = |name: &str| if name == "0" { GROUND } else { network.point(name) };
            let (from, to) = (point(cells[1]), point(cells[2]));
            let value = Spread::exactly(cells[3].parse().unwrap()).unwrap();
            let part = if line.starts_with('V') {
                Part::Battery { minus: to, plus: from, emf: value, internal: Spread::exactly(0.0).unwrap() }
            } else {
                Part::Conductor { from, to, ohm: value }
            };
            network.add(cells[0], part).unwrap();
        }
        assert_eq!(network.solve().unwrap().len(), 1);
    }
    println!("{} operating points: {:.2} ms", netlists.len(), start.elapsed().as_secs_f64() * 1e3);
    // The same by the simulator in one run, its start and reading of files included.
    let ran = Command::new("bash").arg(".ci/simulator").current_dir(root()).output();
    print!(
        "{}",
        ran.map_or_else(|e| format!("simulator: {e}\n"), |ran| String::from_utf8_lossy(&ran.stdout).into_owned())
    );
}

pub(crate) fn main() {
    roof_unit();
    for points in [30, 100, 300] {
        growth(points);
    }
    operating_points();
}
