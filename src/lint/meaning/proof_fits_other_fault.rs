//! Rules that prove one fault where another gives the same entries.

use rayon::prelude::*;

use crate::book::{Conclusion, FaultId, RuleId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::formula::Formula;
use crate::lint::space::solve::ways;
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Can, MOST_WAYS, Sides, Source, proves};
use super::speaks::speaks;

check! {
    /// Finds: a rule that proves a fault by entries which another fault of the book gives as well, by what it `shows`
    /// or by the circuit, and nothing in the book speaks against that other fault then. What a fault shows of a
    /// reading holds on while a part is swapped that is not its own: a new relay mends no fuse.
    ///
    /// Harm: the wrong part is exchanged, and the book said that it was proved.
    ///
    /// Bad:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows supply at fan connector below 0.5 V
    /// rule feed lost:
    ///   supply at fan connector below 11.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows supply at fan connector below 0.5 V
    /// rule feed lost:
    ///   supply at fan connector below 11.5 V
    ///   implies open feed wire or blown fuse
    /// ```
    "proof-fits-other-fault", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let own: Vec<RuleId> = subject.own(&book.rules).map(|(place, _)| RuleId::at(place)).collect();
    let all: Vec<Vec<(FaultId, FaultId, Witness)>> = own.par_iter().map(|rule| others(sides, *rule)).collect();
    for (id, others) in own.into_iter().zip(all) {
        let rule = book.rule(id);
        for (proved, other, witness) in others {
            let (proved, other) = (book.fault(proved), book.fault(other));
            found.add(
                Finding::at(
                    rule.span,
                    format!(
                        "rule `{}` proves `{}` where `{}` gives the same entries",
                        rule.label, proved.name, other.name
                    ),
                )
                .also(other.span, "nothing speaks against this one then")
                .help(format!(
                    "ask besides for what `{}` does not show, or conclude `implies {} or {}`",
                    other.name, proved.name, other.name
                ))
                .witness(Some(witness)),
            );
        }
    }
}

fn others(sides: &Sides<'_>, rule: RuleId) -> Vec<(FaultId, FaultId, Witness)> {
    let book = sides.book;
    let proved = proves(book, rule);
    let Some(first) = proved.first() else { return Vec::new() };
    if matches!(sides.can_apply(rule), Can::No) || (proved.len() > 1 && book.at_once > 1) {
        return Vec::new();
    }
    let stood = sides.space.stand(&book.rule(rule).condition, &[]);
    let named = |fault: &FaultId| {
        let mut conclusions = book.rule(rule).conclusions.iter();
        proved.contains(fault)
            || conclusions.any(|one| matches!(one, Conclusion::RulesOut(list) if list.contains(fault)))
    };
    let others = sides.speakers_of(sides.readings(Source::Rule(rule))).into_iter().filter(|fault| !named(fault));
    others.filter_map(|other| Some((*first, other, fits(sides, rule, &stood, (*first, other))?))).collect()
}

/// Entries by which a rule proves the first fault while the second gives them.
fn fits(
    sides: &Sides<'_>,
    rule: RuleId,
    stood: &[crate::lint::space::stood::Stood],
    (proved, other): (FaultId, FaultId),
) -> Option<Witness> {
    let book = sides.book;
    let (readings, all_proved) = (sides.readings(Source::Rule(rule)), proves(book, rule));
    let mut open = false;
    let witness = stood.iter().find_map(|stood| {
        let formula = sides.space.filled(&book.rule(rule).condition, &stood.entries, &stood.fill, true);
        ways(&formula, MOST_WAYS)?.into_iter().find_map(|way| {
            let mut vars = Vec::new();
            way.vars(&mut vars);
            let mut also: Vec<Formula> = speaks(sides, other, &stood.entries, &vars)?;
            let entered = (stood.entries.as_slice(), vars.as_slice());
            for spared in [proved, other] {
                also.extend(sides.undisputed(readings, entered, &all_proved, spared));
            }
            let solved = sides.solved(stood, &way, &also);
            open |= matches!(solved, Err(true));
            solved.ok()?.shows(book, Claim::ProvedBeside(proved, other))
        })
    });
    if witness.is_none() && open {
        sides.leave_open();
    }
    witness
}
