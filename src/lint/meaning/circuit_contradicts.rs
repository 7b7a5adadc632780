//! Sentences that the circuit contradicts.

use rayon::prelude::*;

use crate::book::FaultId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::formula::Formula;
use crate::lint::space::solve::ways;
use crate::lint::space::stood::Stood;
use crate::lint::space::system::Var;
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{MOST_WAYS, Sides, Source, excludes, proves};
use super::speaks::{allowed, foretold, is_untold, within};

check! {
    /// Finds: a rule or a `shows` that rules a fault out by a reading which the circuit foretells with that very fault;
    /// and a rule that proves a fault by readings which the circuit can't show with it.
    ///
    /// Harm: either the sentence or the drawing is wrong, and the verdict hangs on which of them is asked first.
    ///
    /// Bad:
    /// ```rulebook
    /// circuit fan feed
    ///   battery from ground to post, EMF 24 V to 28 V, behind 10 mohm to 30 mohm
    ///   fuse F3 from post to socket, 20 A
    ///   wire feed wire from socket to plug, 10 mohm to 30 mohm
    ///   motor fan from plug to ground, 6 A to 9 A at 26 V
    ///   reading supply at fan connector across plug and ground
    ///   fault open feed wire opens feed wire
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   rules out open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// circuit fan feed
    ///   battery from ground to post, EMF 24 V to 28 V, behind 10 mohm to 30 mohm
    ///   fuse F3 from post to socket, 20 A
    ///   wire feed wire from socket to plug, 10 mohm to 30 mohm
    ///   motor fan from plug to ground, 6 A to 9 A at 26 V
    ///   reading supply at fan connector across plug and ground
    ///   fault open feed wire opens feed wire
    /// rule feed lost:
    ///   supply at fan connector above 20 V
    ///   rules out open feed wire
    /// ```
    "circuit-contradicts", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let known: Vec<FaultId> =
        book.fault_ids().filter(|fault| book.circuits.iter().any(|circuit| circuit.faults().contains(fault))).collect();
    let pairs: Vec<(Source, FaultId)> = sides
        .sources
        .iter()
        .flat_map(|(source, _)| known.iter().map(move |fault| (*source, *fault)))
        .filter(|(source, fault)| excludes(book, *source, *fault) || is_proof(sides, *source, *fault))
        .collect();
    let all: Vec<Held> = pairs.par_iter().map(|(source, fault)| contradicted(sides, *source, *fault)).collect();
    for ((source, fault), held) in pairs.into_iter().zip(all) {
        let witness = match held {
            Held::Against(witness) => witness,
            Held::Fits => continue,
            Held::Open => {
                found.leave_open();
                continue;
            }
        };
        let Some(side) = sides.side(source).filter(|side| subject.is_own(side.condition.span)) else { continue };
        let name = &book.fault(fault).name;
        let text = match source {
            Source::Shows(..) => format!("`{name}` shows other than its circuit says"),
            Source::Rule(rule) if is_proof(sides, source, fault) => {
                format!(
                    "rule `{}` proves `{name}` by readings that the circuit can't show with it",
                    book.rule(rule).label
                )
            }
            Source::Rule(rule) => {
                format!(
                    "rule `{}` rules `{name}` out by readings that the circuit shows with it",
                    book.rule(rule).label
                )
            }
        };
        found.add(
            Finding::at(side.condition.span, text)
                .help("`ruleout circuit` shows what the circuit foretells; mend the one that is wrong")
                .witness(Some(witness)),
        );
    }
}

fn is_proof(sides: &Sides<'_>, source: Source, fault: FaultId) -> bool {
    matches!(source, Source::Rule(rule) if proves(sides.book, rule).contains(&fault))
}

/// How a sentence stands to the circuit.
enum Held {
    /// Against it, as a job shows.
    Against(Witness),
    /// The circuit says nothing against it.
    Fits,
    /// Not decided.
    Open,
}

fn contradicted(sides: &Sides<'_>, source: Source, fault: FaultId) -> Held {
    let Some(side) = sides.side(source) else { return Held::Open };
    let mut open = false;
    for stood in sides.space.stand(side.condition, &[]) {
        let formula = sides.space.filled(side.condition, &stood.entries, &stood.fill, side.want);
        let Some(ways) = ways(&formula, MOST_WAYS) else {
            open = true;
            continue;
        };
        for way in ways {
            let mut vars = Vec::new();
            way.vars(&mut vars);
            if vars.is_empty() {
                continue;
            }
            let held = if is_proof(sides, source, fault) {
                cannot_show(sides, &stood, &way, &vars, fault)
            } else {
                shows_it(sides, &stood, &way, &vars, fault)
            };
            match held {
                Held::Against(witness) => return Held::Against(witness),
                Held::Open => open = true,
                // One way that the circuit can show is enough for a proof.
                Held::Fits if is_proof(sides, source, fault) => return Held::Fits,
                Held::Fits => {}
            }
        }
    }
    if open { Held::Open } else { Held::Fits }
}

/// What circuits foretell of entries with a fault.
enum ToldOf {
    All(Vec<Formula>),
    /// They know nothing of one of the entries.
    Silent,
    /// They know it, and it could not be reckoned.
    Untold,
}

fn told(
    sides: &Sides<'_>,
    stood: &Stood,
    vars: &[Var],
    fault: FaultId,
    form: impl Fn(Var, &crate::circuit::Foretold) -> Formula,
) -> ToldOf {
    let (mut all, mut untold) = (Vec::new(), false);
    for var in vars {
        let Some(entry) = stood.entries.get(*var) else { return ToldOf::Silent };
        let told = foretold(sides.book, &[fault], entry.indication, &entry.setup);
        if told.is_empty() {
            if !is_untold(sides.book, &[fault], entry.indication, &entry.setup) {
                return ToldOf::Silent;
            }
            untold = true;
        }
        all.extend(told.iter().map(|told| form(*var, told)));
    }
    if untold { ToldOf::Untold } else { ToldOf::All(all) }
}

fn shows_it(sides: &Sides<'_>, stood: &Stood, way: &Formula, vars: &[Var], fault: FaultId) -> Held {
    let told = match told(sides, stood, vars, fault, within) {
        ToldOf::All(told) => told,
        ToldOf::Silent => return Held::Fits,
        ToldOf::Untold => return Held::Open,
    };
    match sides.solved(stood, way, &told) {
        // Each reading is foretold by itself: that several come so together is not known.
        Ok(_) if vars.len() > 1 => Held::Open,
        Ok(joint) => {
            let witness = joint.shows(sides.book, Claim::RuledOutInSpiteOfCircuit(fault));
            witness.map_or(Held::Open, Held::Against)
        }
        Err(false) => Held::Fits,
        Err(true) => Held::Open,
    }
}

fn cannot_show(sides: &Sides<'_>, stood: &Stood, way: &Formula, vars: &[Var], fault: FaultId) -> Held {
    let told = match told(sides, stood, vars, fault, allowed) {
        ToldOf::All(told) => told,
        ToldOf::Silent => return Held::Fits,
        ToldOf::Untold => return Held::Open,
    };
    match sides.solved(stood, way, &told) {
        Ok(_) if vars.len() > 1 => Held::Open,
        Ok(_) => Held::Fits,
        Err(true) => Held::Open,
        Err(false) => {
            let joint = sides.solved(stood, way, &[]).ok();
            let witness = joint.and_then(|joint| joint.shows(sides.book, Claim::ProvedInSpiteOfCircuit(fault)));
            witness.map_or(Held::Fits, Held::Against)
        }
    }
}
