//! Random small circuits against brute force over their corners, both ways: sentences that the circuit contradicts, faults
//! that only a loaded measurement tells. One battery, a wire, a plug that a change opens, a consumer, all in one loop: each
//! voltage is Ohm's law on two resistances, and moves one way with each range, so the corners are its ends.

use crate::random::Dice;
use crate::shelf::{Asked, Found, ask, held_against};

/// The meter's own resistance, ohm (10 Mohm: language.md, Circuits).
const METER: f64 = 10e6;
/// No limit and no two ranges are nearer to each other than this, volts: more than what the circuits allow for beside what
/// is drawn (the top of `circuit/foretell.rs`).
const CLEAR: f64 = 0.8;
const LIMITS: [f64; 6] = [2.0, 5.0, 8.0, 12.0, 16.0, 20.0];

/// What a fault does.
#[derive(Clone, Copy, PartialEq)]
enum Does {
    OpensWire,
    OpensPlug,
    AddsAtWire(f64, f64),
    AddsAtPlug(f64, f64),
}

/// `p` or `q`, below or above a limit, with the plug pulled or not.
#[derive(Clone, Copy)]
struct Atom {
    at_motor: bool,
    below: bool,
    limit: f64,
    pulled: bool,
}

enum Says {
    RulesOut(usize),
    Proves(usize),
}

struct Loop {
    emf: (f64, f64),
    wire: (f64, f64),
    load: (f64, f64),
    faults: Vec<Does>,
    shows: Vec<(usize, Atom)>,
    rules: Vec<(Atom, Says)>,
}

impl Atom {
    fn roll(dice: &mut Dice) -> Self {
        let mut coin = || dice.roll(2) == 0;
        let (at_motor, below, pulled) = (coin(), coin(), coin());
        Self { at_motor, below, limit: LIMITS[dice.roll(LIMITS.len())], pulled }
    }

    fn words(&self) -> String {
        let (name, side) = (if self.at_motor { "q" } else { "p" }, if self.below { "below" } else { "above" });
        format!("{name} {side} {} V{}", self.limit, if self.pulled { " with x" } else { "" })
    }
}

impl Loop {
    fn roll(dice: &mut Dice) -> Self {
        let low = [11.0, 23.0][dice.roll(2)];
        let adds = [(0.5, 1.0), (4.0, 8.0), (20.0, 60.0)][dice.roll(3)];
        let all =
            [Does::OpensWire, Does::OpensPlug, Does::AddsAtWire(adds.0, adds.1), Does::AddsAtPlug(adds.0, adds.1)];
        let faults = (0..2 + dice.roll(2)).map(|_| all[dice.roll(4)]).collect::<Vec<_>>();
        let count = faults.len();
        let rules = (0..1 + dice.roll(3)).map(|_| {
            let (atom, fault) = (Atom::roll(dice), dice.roll(count));
            (atom, if dice.roll(2) == 0 { Says::RulesOut(fault) } else { Says::Proves(fault) })
        });
        let rules = rules.collect();
        let shows = (0..dice.roll(3)).map(|_| (dice.roll(count), Atom::roll(dice))).collect();
        let load = [(1.0, 1.5), (3.0, 4.0), (30.0, 40.0)][dice.roll(3)];
        Self { emf: (low, low + 2.0), wire: (0.01, 0.03), load, faults, shows, rules }
    }

    fn text(&self) -> String {
        let mut text = String::from(
            "rulebook \"random loop\"\n  language 1\nchange x\nreading p\n  unit V\n  from 0 V to 32 V\n\
             reading q\n  unit V\n  from 0 V to 32 V\n",
        );
        for fault in 0..self.faults.len() {
            text.push_str(&format!("fault f{fault}\n"));
            for (_, atom) in self.shows.iter().filter(|(of, _)| *of == fault) {
                text.push_str(&format!("  shows {}\n", atom.words()));
            }
        }
        let (emf, wire, load) = (self.emf, self.wire, self.load);
        text.push_str(&format!(
            "circuit loop\n  battery b from ground to post, EMF {} V to {} V, behind 10 mohm to 30 mohm\n  \
             wire w from post to plug, {} ohm to {} ohm\n  connector c from plug to motor plus, at most 5 mohm, opens with x\n  \
             motor m from motor plus to ground, {} ohm to {} ohm\n  reading p across plug and ground\n  \
             reading q across motor plus and ground\n",
            emf.0, emf.1, wire.0, wire.1, load.0, load.1
        ));
        for (fault, does) in self.faults.iter().enumerate() {
            let does = match does {
                Does::OpensWire => "opens w".to_string(),
                Does::OpensPlug => "opens c".to_string(),
                Does::AddsAtWire(low, high) => format!("adds {low} ohm to {high} ohm at w"),
                Does::AddsAtPlug(low, high) => format!("adds {low} ohm to {high} ohm at c"),
            };
            text.push_str(&format!("  fault f{fault} {does}\n"));
        }
        for (n, (atom, says)) in self.rules.iter().enumerate() {
            let says = match says {
                Says::RulesOut(fault) => format!("rules out f{fault}"),
                Says::Proves(fault) => format!("implies f{fault}"),
            };
            text.push_str(&format!("rule r{n}:\n  {}\n  {says}\n", atom.words()));
        }
        text
    }

    /// The ends of a voltage, over all corners.
    fn range(&self, fault: Option<usize>, at_motor: bool, pulled: bool) -> (f64, f64) {
        let does = fault.map(|fault| self.faults[fault]);
        let added = |here: bool| match does {
            Some(Does::OpensWire) if here => (f64::INFINITY, f64::INFINITY),
            Some(Does::OpensPlug) if !here => (f64::INFINITY, f64::INFINITY),
            Some(Does::AddsAtWire(low, high)) if here => (low, high),
            Some(Does::AddsAtPlug(low, high)) if !here => (low, high),
            _ => (0.0, 0.0),
        };
        let (at_wire, at_plug) = (added(true), added(false));
        let pulled = if pulled { f64::INFINITY } else { 0.0 };
        let feed = (0.01 + self.wire.0 + at_wire.0, 0.03 + self.wire.1 + at_wire.1);
        let plug = (at_plug.0 + pulled, 0.005 + at_plug.1 + pulled);
        let beside = |ohms: f64| if ohms.is_infinite() { METER } else { METER * ohms / (METER + ohms) };
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in 0..16 {
            let end = |bit: usize, (low, high): (f64, f64)| if corner >> bit & 1 == 0 { low } else { high };
            let (emf, feed, plug, load) = (end(0, self.emf), end(1, feed), end(2, plug), end(3, self.load));
            let (up, down) = if at_motor { (feed + plug, beside(load)) } else { (feed, beside(plug + load)) };
            let volts = if up.is_infinite() { 0.0 } else { emf * down / (up + down) };
            ends = (ends.0.min(volts), ends.1.max(volts));
        }
        ends
    }

    /// Whether some value is where an atom is true, and whether some is where it is false.
    fn comes_out(&self, atom: &Atom, fault: usize) -> (bool, bool) {
        let (low, high) = self.range(Some(fault), atom.at_motor, atom.pulled);
        let (below, above) = (low < atom.limit, high > atom.limit);
        if atom.below { (below, above) } else { (above, below) }
    }

    /// Whether no limit and no two ranges are too near to each other to be told for certain.
    fn is_clear(&self) -> bool {
        let places = [(false, false), (false, true), (true, false), (true, true)];
        places.iter().all(|(at_motor, pulled)| {
            let sound = self.range(None, *at_motor, *pulled);
            (0..self.faults.len()).all(|fault| {
                let ill = self.range(Some(fault), *at_motor, *pulled);
                let near = |a: f64, b: f64| (a - b).abs() < 2.0 * CLEAR;
                let limits = LIMITS.iter().all(|limit| (limit - ill.0).abs() > CLEAR && (limit - ill.1).abs() > CLEAR);
                let apart = ill.1 < sound.0 || sound.1 < ill.0;
                limits && !(apart && (near(ill.1, sound.0) || near(sound.1, ill.0)))
            })
        })
    }

    fn brute(&self) -> Found {
        let mut found = Found::new();
        for (n, (atom, says)) in self.rules.iter().enumerate() {
            let wrong = match says {
                Says::RulesOut(fault) => self.comes_out(atom, *fault).0,
                Says::Proves(fault) => !self.comes_out(atom, *fault).0,
            };
            if wrong {
                found.insert(format!("circuit-contradicts r{n}"));
            }
        }
        for (fault, atom) in &self.shows {
            if self.comes_out(atom, *fault).1 {
                found.insert(format!("circuit-contradicts f{fault} {}", atom.words()));
            }
        }
        let atoms = self.rules.iter().map(|(atom, _)| atom).chain(self.shows.iter().map(|(_, atom)| atom));
        let asked: Vec<(bool, bool)> = atoms.map(|atom| (atom.at_motor, atom.pulled)).collect();
        for fault in 0..self.faults.len() {
            let tells = |at_motor: bool, pulled: bool| {
                let (ill, sound) = (self.range(Some(fault), at_motor, pulled), self.range(None, at_motor, pulled));
                ill.1 < sound.0 || sound.1 < ill.0
            };
            let told = asked.iter().any(|(at_motor, pulled)| tells(*at_motor, *pulled));
            let loaded = asked
                .iter()
                .any(|(at_motor, pulled)| *pulled && !asked.contains(&(*at_motor, false)) && tells(*at_motor, false));
            if !told && loaded {
                found.insert(format!("only-loaded-tells f{fault}"));
            }
        }
        found
    }
}

const COMPARED: [&str; 2] = ["circuit-contradicts", "only-loaded-tells"];

fn told(asked: &Asked) -> Found {
    let findings = asked.findings.iter().filter(|finding| COMPARED.contains(&finding.id()));
    let one = |finding: &ruleout::lint::Finding| {
        let name = finding.problem.message.split('`').nth(1).unwrap();
        match finding.problem.message.contains("shows other than") {
            true => format!("{} {name} {}", finding.id(), asked.opened.book.sources.slice(finding.problem.span())),
            false => format!("{} {name}", finding.id()),
        }
    };
    findings.map(one).collect()
}

#[test]
fn circuits_are_held_against_sentences_as_brute_force_holds_them() {
    let results = held_against(400, |seed| {
        let mut dice = Dice::of(seed);
        let book = std::iter::repeat_with(|| Loop::roll(&mut dice)).find(Loop::is_clear).unwrap();
        let asked = ask(&book.text());
        assert_eq!(asked.survey.total(), 0, "{:?}\n{}", asked.survey, book.text());
        let (found, expected) = (told(&asked), book.brute());
        (asked, found, expected)
    });
    for id in COMPARED {
        let count = results.iter().flatten().filter(|one| one.starts_with(id)).count();
        assert!(count > 20, "{id}: {count}");
    }
}
