//! Vehicles made at random within the ranges of a circuit, with a fault: what is read on them never rules that fault out.
//!
//! Source: language.md, *Circuits*: the expected interval is over the ranges of the parts, and rules out only what lies outside. The readings come of
//! the network's own solution at one point of every range, so this holds the interval, the battery's drop, fuses blown earlier, the meters'
//! accuracy and the judgement together.

mod support;

use std::path::Path;

use ruleout::book::{Book, Circuit, CircuitId, FaultId, IndicationId, Library, Setup, load};
use ruleout::circuit::foretell::reading;
use ruleout::circuit::network::{Range, Spread};
use ruleout::circuit::{Feed, Stand};
use ruleout::reasoning::{Verdict, judge};

use support::{enter, job};

const FAN: &str = include_str!("corpus/circuits/fan-feed.rulebook");

struct Text;

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(FAN.to_owned())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// Numbers that look random and are the same in every run (a linear congruential generator, Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// One vehicle: where in its range each value lies.
struct Vehicle<'b> {
    book: &'b Book,
    faults: Vec<FaultId>,
    emf: f64,
    shares: Vec<f64>,
    choice: f64,
}

impl Vehicle<'_> {
    fn circuit(&self) -> &Circuit {
        self.book.circuit(CircuitId::at(0))
    }

    /// What its meter would show without error; none where the point hangs free.
    fn shows(&self, indication: IndicationId, setup: &Setup) -> Option<f64> {
        let circuit = self.circuit();
        let stand = Stand { book: self.book, circuit, setup, faults: &self.faults, warmth: None };
        let feeds: Vec<Option<Feed>> = circuit
            .elements
            .iter()
            .map(|element| (element.word == "battery").then(|| Feed::Emf(Range::exactly(self.emf))))
            .collect();
        let mut shares = self.shares.iter();
        let built = stand
            .build(&feeds, &[], &mut |spread| {
                let share = shares.next().unwrap();
                let value = spread.low() + share * (spread.high() - spread.low());
                Spread::exactly(value.clamp(spread.low(), spread.high())).unwrap()
            })
            .unwrap();
        let (_, probe) = circuit.probes_of(indication).next().unwrap();
        let reading = reading(&built, probe.at.into()).unwrap();
        let fitted = built.network.with_instrument(&reading).unwrap();
        let solutions = fitted.solve().unwrap();
        // Between 110 % and 135 % of its rating a fuse may hold or open: one vehicle does one or the other.
        let which = ((self.choice * solutions.len() as f64) as usize).min(solutions.len() - 1);
        fitted.read(&reading, &solutions[which])
    }
}

/// A sentence for a reading, off by as much as its meter may be.
fn sentence(book: &Book, indication: IndicationId, shown: f64, error: f64) -> String {
    let declared = book.indication(indication);
    let (decimals, digit) = match declared.reading().unwrap().meter.as_ref().unwrap().digit.as_ref().unwrap().to_f64() {
        digit if digit > 0.05 => (1, 0.1),
        digit if digit > 0.005 => (2, 0.01),
        _ => (3, 0.001),
    };
    // 0.5 % and two digits at least; half a digit is lost by rounding.
    let typed = shown + error * (0.0045 * shown.abs() + 1.4 * digit);
    let unit = declared.reading().unwrap().unit.unwrap().symbol;
    format!("{} = {typed:.decimals$} {unit}", declared.name)
}

#[test]
fn the_true_fault_is_never_ruled_out() {
    let (book, problems) = load(&Text, Path::new("fan-feed.rulebook")).unwrap().resolve(None);
    assert!(problems.is_empty(), "{problems:#?}");
    let mut dice = Dice(20_261_125);
    let setups = [
        "",
        "with ignition on",
        "with cooling demanded",
        "with cooling demanded, relay swapped",
        "with cooling demanded, fan unplugged",
        "with cooling demanded, direct feed fitted",
    ];
    let (mut entries, mut ruled_out) = (0, 0);
    for round in 0..2 {
        for truth in book.fault_ids() {
            let flat = book.fault(truth).name == "flat batteries";
            // A battery in tolerance at its posts, loaded or not; that of a flat one is the fault's own.
            let emf = 24.4 + 1.5 * dice.share();
            let shares: Vec<f64> = (0..80).map(|_| dice.share()).collect();
            let vehicle = Vehicle { book: &book, faults: vec![truth], emf, shares, choice: dice.share() };
            let mut job = job(&book, "");
            let battery_under = (dice.share() * 3.0) as usize;
            for (number, words) in setups.iter().enumerate() {
                enter(
                    &book,
                    &mut job,
                    "without cooling demanded\nwithout ignition on\nwithout relay swapped\nwithout fan unplugged\nwithout direct feed fitted",
                );
                enter(&book, &mut job, words);
                let setup = job.setup.clone();
                for indication in book.indication_ids() {
                    let declared = &book.indication(indication).name;
                    let battery = declared == "battery voltage";
                    let wanted = if battery { number == battery_under } else { dice.share() < 0.6 };
                    let taken = book.indication(indication).reading().is_some()
                        && book.indication(indication).demand.holds(&setup);
                    if !wanted || !taken {
                        continue;
                    }
                    let Some(shown) = vehicle.shows(indication, &setup) else { continue };
                    enter(&book, &mut job, &sentence(&book, indication, shown, 2.0 * dice.share() - 1.0));
                    entries += 1;
                }
            }
            let judgement = judge(&book, &job);
            let verdict = judgement.of(truth).unwrap();
            let told: Vec<&str> = job.lines.iter().map(|line| line.text).collect();
            assert_ne!(
                verdict.verdict,
                Verdict::RuledOut,
                "round {round}, {} {flat}: {:#?}\n{told:#?}",
                book.fault(truth).name,
                verdict.reasons
            );
            ruled_out += judgement.with(Verdict::RuledOut).count();
        }
    }
    // It must not be by saying nothing.
    assert!(entries > 500, "{entries}");
    assert!(ruled_out > 30 * 8, "{ruled_out}");
}
