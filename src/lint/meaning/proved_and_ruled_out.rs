//! Sentences that prove a fault and rule it out by the same entries.

use rayon::prelude::*;

use crate::book::{FaultId, RuleId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Can, Sides, Source, excludes, proves};

check! {
    /// Finds: a rule that proves a fault, and another rule, or what the fault `shows`, that rules it out by the same
    /// entries. Entries of further readings that quarrel are not looked at: those may well be wrong themselves.
    ///
    /// Harm: a correct measurement ends in a conflict, and the technician measures again for nothing.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 8 V
    ///   implies open feed wire
    /// rule feed there:
    ///   supply at fan connector above 5 V
    ///   rules out open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule feed there:
    ///   supply at fan connector above 8 V
    ///   rules out open feed wire
    /// ```
    "proved-and-ruled-out", Error, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let rules: Vec<(RuleId, FaultId)> =
        book.rule_ids().flat_map(|rule| proves(book, rule).into_iter().map(move |fault| (rule, fault))).collect();
    let all: Vec<(RuleId, FaultId, Source, Witness)> =
        rules.par_iter().flat_map_iter(|(rule, fault)| against(sides, *rule, *fault)).collect();
    for (rule, fault, source, witness) in all {
        let Some(other) = sides.side(source) else { continue };
        let (place, name) = (book.rule(rule).span, &book.fault(fault).name);
        let own = [place, other.condition.span].into_iter().find(|span| subject.is_own(*span));
        let Some(at) = own else { continue };
        let by = match source {
            Source::Rule(other) => format!("rule `{}` rules it out", book.rule(other).label),
            Source::Shows(..) => "what it `shows` rules it out".to_string(),
        };
        found.add(
            Finding::at(at, format!("rule `{}` proves `{name}`, and {by} by the same entries", book.rule(rule).label))
                .also(other.condition.span, "this rules it out")
                .help("part their limits, or ask one of them for what tells the two apart")
                .witness(Some(witness)),
        );
    }
}

/// What rules a fault out by the entries that make a rule prove it, or the other way round.
fn against(sides: &Sides<'_>, rule: RuleId, fault: FaultId) -> Vec<(RuleId, FaultId, Source, Witness)> {
    let Some(own) = sides.side(Source::Rule(rule)) else { return Vec::new() };
    if matches!(sides.can_apply(rule), Can::No) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for source in sides.near(Source::Rule(rule)) {
        let Some(other) = sides.side(source).filter(|_| excludes(sides.book, source, fault)) else { continue };
        let joint = sides.either_way(own, other, &[]);
        let witness = joint.and_then(|joint| joint.shows(sides.book, Claim::Contested(fault)));
        all.extend(witness.map(|witness| (rule, fault, source, witness)));
    }
    all
}
