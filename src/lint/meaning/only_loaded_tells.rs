//! Faults that show only while current flows, in a book that measures without.

use crate::book::{Book, Circuit, FaultId, IndicationId, Setup};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::stood::blank;
use crate::lint::space::system::System;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::faults_not_told_apart::are_apart;
use super::sides::{Joint, Sides};
use super::speaks::{at_hand, foretold, is_untold, within};

check! {
    /// Finds: a fault that none of the readings tells from a sound vehicle, by the circuit, in the setups in which the
    /// book asks for them, while one of them would if what is unplugged or pulled for it stayed in place.
    ///
    /// Harm: a corroded contact passes the meter's microampere as well as a good one; it is measured, found good, and
    /// the good parts around it are exchanged.
    ///
    /// Bad:
    /// ```rulebook
    /// fault open feed wire
    ///   "High resistance between the relay and the fan connector"
    /// change fan unplugged
    ///   how "Pull the plug at the fan."
    ///   takes 2 min
    /// circuit fan feed
    ///   battery from ground to post, EMF 24 V to 28 V, behind 10 mohm to 30 mohm
    ///   wire feed wire from post to plug, 10 mohm to 30 mohm
    ///   connector fan plug from plug to motor plus, at most 5 mohm, opens with fan unplugged
    ///   motor fan from motor plus to ground, 6 A to 9 A at 26 V
    ///   reading supply at fan connector across plug and ground
    ///   fault open feed wire adds 4 ohm to 8 ohm at feed wire
    /// rule feed lost:
    ///   supply at fan connector below 5 V with fan unplugged
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// fault open feed wire
    ///   "High resistance between the relay and the fan connector"
    /// change fan unplugged
    ///   how "Pull the plug at the fan."
    ///   takes 2 min
    /// circuit fan feed
    ///   battery from ground to post, EMF 24 V to 28 V, behind 10 mohm to 30 mohm
    ///   wire feed wire from post to plug, 10 mohm to 30 mohm
    ///   connector fan plug from plug to motor plus, at most 5 mohm, opens with fan unplugged
    ///   motor fan from motor plus to ground, 6 A to 9 A at 26 V
    ///   reading supply at fan connector across plug and ground
    ///   fault open feed wire adds 4 ohm to 8 ohm at feed wire
    /// rule feed lost:
    ///   supply at fan connector below 18 V
    ///   implies open feed wire
    /// ```
    "only-loaded-tells", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for circuit in &book.circuits {
        for fault in circuit.faults() {
            let own = book.fault(fault);
            if !subject.is_own(own.span) {
                continue;
            }
            let (asked, untold): (Vec<(IndicationId, Setup)>, Vec<_>) = asked(sides, circuit)
                .into_iter()
                .filter(|(id, setup)| circuit.unknown_change(book, *id, setup).is_none())
                .partition(|(id, setup)| !at_hand(book, &[fault], *id, setup).is_empty());
            if untold.iter().any(|(id, setup)| is_untold(book, &[fault], *id, setup)) {
                found.leave_open();
            }
            if asked.is_empty() || asked.iter().any(|(id, setup)| tells(book, fault, *id, setup)) {
                continue;
            }
            let loaded = asked.iter().find_map(|(id, setup)| {
                let plain = unchanged(book, setup)?;
                let seen = asked.iter().any(|other| other == &(*id, plain.clone()));
                (!seen && tells(book, fault, *id, &plain)).then_some((*id, setup))
            });
            let Some((id, setup)) = loaded else { continue };
            let changes: Vec<&str> = setup.changes(book).map(|change| book.setting(change).name.as_str()).collect();
            let with = changes.join(", ");
            let name = &book.indication(id).name;
            let entries = vec![blank(id, setup)];
            let told = foretold(book, &[fault], id, setup);
            let formula = told.first().map(|told| within(0, told));
            let system =
                System::new(vec![crate::lint::space::system::Domain::Number(crate::units::Interval::everything())]);
            let witness = formula.and_then(|formula| match crate::lint::space::solve::solve([&formula], system) {
                crate::lint::space::solve::Answer::Can(system) => {
                    Joint { entries, vars: vec![0], system }.shows(book, Claim::SoundAsWell(fault))
                }
                _ => None,
            });
            found.add(
                Finding::at(
                    own.span,
                    format!("nothing that the book measures tells `{}` from a sound vehicle", own.name),
                )
                .help(format!("`{name}` does without `{with}`, current flowing: ask for it so"))
                .also(book.indication(id).span, format!("it is asked for only with {with}"))
                .witness(witness),
            );
        }
    }
}

/// The readings of a circuit with the setups in which the book asks for them; with a change in place, at least one.
fn asked(sides: &Sides<'_>, circuit: &Circuit) -> Vec<(IndicationId, Setup)> {
    let tests = sides.table().tests.iter().filter(|test| circuit.probes_of(test.indication).next().is_some());
    tests.map(|test| (test.indication, test.setup.clone())).collect()
}

/// Whether a reading parts a fault from a sound vehicle.
fn tells(book: &Book, fault: FaultId, id: IndicationId, setup: &Setup) -> bool {
    let (ill, well) = (at_hand(book, &[fault], id, setup), at_hand(book, &[], id, setup));
    ill.iter().zip(&well).any(|(ill, well)| are_apart(ill, well))
}

/// The setup with every change put back; none where there is none in place.
fn unchanged(book: &Book, setup: &Setup) -> Option<Setup> {
    let mut plain = setup.clone();
    // A part swapped for another of its kind carries the same current.
    let changes: Vec<_> = setup.changes(book).filter(|change| book.setting(*change).swaps.is_none()).collect();
    for change in &changes {
        plain.set(book, *change, 0);
    }
    (!changes.is_empty()).then_some(plain)
}
