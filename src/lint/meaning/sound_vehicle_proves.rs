//! Rules by which a sound vehicle has a fault.

use rayon::prelude::*;

use crate::book::{IndicationKind, RuleId, Test};
use crate::job::Entry;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::formula::Formula;
use crate::lint::space::solve::ways;
use crate::lint::space::stood::{Stood, blank, each_comparison};
use crate::lint::space::system::Var;
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Can, MOST_WAYS, Sides, proves};

check! {
    /// Finds: a rule that proves a fault by entries which a sound vehicle shows: all in tolerance, all answers sound.
    /// Silent where a reading of the rule has no tolerance there, or an observation no sound answer.
    ///
    /// Harm: a good part is exchanged.
    ///
    /// Bad:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   tolerance 22 V to 29 V
    ///   takes 2 min
    /// rule feed lost:
    ///   supply at fan connector below 23 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   tolerance 22 V to 29 V
    ///   takes 2 min
    /// rule feed lost:
    ///   supply at fan connector below 22 V
    ///   implies open feed wire
    /// ```
    "sound-vehicle-proves", Error, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let own: Vec<RuleId> = subject.own(&book.rules).map(|(place, _)| RuleId::at(place)).collect();
    let witnesses: Vec<Option<Witness>> = own.par_iter().map(|rule| sound(sides, *rule)).collect();
    for (id, witness) in own.into_iter().zip(witnesses) {
        let (rule, Some(witness)) = (book.rule(id), witness) else { continue };
        found.add(
            Finding::at(rule.span, format!("rule `{}` proves a fault of a sound vehicle", rule.label))
                .here("all that it asks for can be in tolerance while it applies")
                .help("narrow its limits, or the tolerance that lets it through")
                .witness(Some(witness)),
        );
    }
}

fn sound(sides: &Sides<'_>, rule: RuleId) -> Option<Witness> {
    let book = sides.book;
    let proved = proves(book, rule);
    let fault = *proved.first()?;
    if matches!(sides.can_apply(rule), Can::No) {
        return None;
    }
    let mut open = false;
    let condition = &book.rule(rule).condition;
    let witness = sides.space.stand(condition, &[]).into_iter().find_map(|stood| {
        let formula = sides.space.filled(condition, &stood.entries, &stood.fill, true);
        ways(&formula, MOST_WAYS)?.into_iter().find_map(|way| {
            let mut vars = Vec::new();
            way.vars(&mut vars);
            let (entries, vars) = with_limits(sides, &stood.entries, vars);
            let sound: Option<Vec<Formula>> = vars.iter().map(|var| soundness(sides, &entries, *var, &vars)).collect();
            let mut readings: Vec<_> = entries.iter().map(|entry| entry.indication).collect();
            readings.sort_unstable();
            readings.dedup();
            let mut also = sound?;
            also.extend(sides.undisputed(&readings, (&entries, &vars), &proved, fault));
            let stood = Stood { entries, fill: Vec::new() };
            let solved = sides.solved(&stood, &way, &also);
            open |= matches!(solved, Err(true));
            solved.ok()?.shows(book, Claim::ProvedSound(fault))
        })
    });
    if witness.is_none() && open {
        sides.leave_open();
    }
    witness
}

/// The entries, and those of readings that their tolerances hang on.
fn with_limits(sides: &Sides<'_>, entries: &[Entry], vars: Vec<Var>) -> (Vec<Entry>, Vec<Var>) {
    let (mut entries, mut vars) = (entries.to_vec(), vars);
    let mut next = 0;
    while let Some(entry) = vars.get(next).and_then(|var| entries.get(*var)).cloned() {
        next += 1;
        let Some(test) = sides.book.tolerance_test(entry.indication) else { continue };
        each_comparison(&test.node, &mut |comparison| {
            let Test::Tolerance(_, lines) = &comparison.test else { return };
            let holding = lines.iter().filter(|line| line.demand.holds(&entry.setup));
            for slot in holding.flat_map(|line| &line.slots).filter_map(|slot| test.slot(*slot)) {
                let new = blank(slot.indication, &entry.setup);
                let known = entries.iter().position(|other| *other == new);
                let var = known.unwrap_or(entries.len());
                if known.is_none() {
                    entries.push(new);
                }
                if !vars.contains(&var) {
                    vars.push(var);
                }
            }
        });
    }
    (entries, vars)
}

/// That an entry is a sound vehicle's; none where the book doesn't say what that is.
pub(crate) fn soundness(sides: &Sides<'_>, entries: &[Entry], var: Var, vars: &[Var]) -> Option<Formula> {
    let entry = entries.get(var)?;
    match &sides.book.indication(entry.indication).kind {
        IndicationKind::Observation(observation) if observation.sound != 0 => {
            Some(Formula::Answer(var, observation.sound))
        }
        IndicationKind::Observation(_) => None,
        IndicationKind::Reading(_) => {
            let test = sides.book.tolerance_test(entry.indication)?;
            let fill_vars: Vec<Var> = vars
                .iter()
                .copied()
                .filter(|other| *other == var || entries.get(*other).is_some_and(|e| e.setup == entry.setup))
                .collect();
            match sides.space.formula_by(test, entries, &fill_vars, false) {
                Formula::Never => None,
                formula => Some(formula),
            }
        }
    }
}
