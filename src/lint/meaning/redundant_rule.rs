//! Rules that say only what others say.

use rayon::prelude::*;

use crate::book::{Conclusion, FaultId, RuleId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::large::{Side, follows};
use crate::lint::space::solve::Answer;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Can, Sides, Source, excludes, proves};

check! {
    /// Finds: a rule that could be left out: wherever it applies, others come to the same by the same entries. Rules
    /// that only change odds are not looked at.
    ///
    /// Harm: two places to keep right, and the explanation names the wrong one.
    ///
    /// Bad:
    /// ```rulebook
    /// rule hardly any feed:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule too little feed:
    ///   supply at fan connector below 8 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule hardly any feed:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule too little feed:
    ///   supply at fan connector below 8 V
    ///   rules out blown fuse
    /// ```
    "redundant-rule", Warning, Meaning, find
}

/// What came of one rule.
enum Told {
    Needed,
    Open,
    Redundant(Vec<Source>),
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let own: Vec<RuleId> = subject.own(&book.rules).map(|(place, _)| RuleId::at(place)).collect();
    let told: Vec<Told> = own.par_iter().map(|rule| told(sides, *rule)).collect();
    for (id, told) in own.into_iter().zip(told) {
        let rule = book.rule(id);
        let joint = if let Can::Yes(joint) = sides.can_apply(id) { Some(joint) } else { None };
        match told {
            Told::Needed => {}
            Told::Open => found.leave_open(),
            Told::Redundant(by) => {
                let rules: Vec<RuleId> = std::iter::once(id).chain(by.iter().filter_map(|s| rule_of(*s))).collect();
                let claim = Claim::Apply(if by.len() == 1 { rules } else { vec![id] });
                let mut finding = Finding::at(rule.span, format!("rule `{}` adds nothing", rule.label))
                    .here("wherever it applies, what it concludes follows without it")
                    .help("take it out, or let it conclude what the others don't");
                for source in by.iter().take(4) {
                    if let Some(side) = sides.side(*source) {
                        finding = finding.also(side.condition.span, "this comes to the same");
                    }
                }
                found.add(finding.witness(joint.and_then(|joint| joint.shows(book, claim))));
            }
        }
    }
}

fn rule_of(source: Source) -> Option<RuleId> {
    if let Source::Rule(rule) = source { Some(rule) } else { None }
}

fn told(sides: &Sides<'_>, rule: RuleId) -> Told {
    let book = sides.book;
    let conclusions = &book.rule(rule).conclusions;
    if conclusions.iter().any(|one| matches!(one, Conclusion::Odds(..))) || matches!(sides.can_apply(rule), Can::No) {
        return Told::Needed;
    }
    let from = Side { condition: &book.rule(rule).condition, want: true };
    // Of two rules that say the same only the later one is called redundant: the earlier stays.
    let readings = sides.readings(Source::Rule(rule)).to_vec();
    let others: Vec<Source> =
        sides.within(&readings).into_iter().filter(|source| *source != Source::Rule(rule)).collect();
    let mut by: Vec<Source> = Vec::new();
    for conclusion in conclusions {
        for wanted in effects(conclusion) {
            let of: Vec<Source> = others.iter().copied().filter(|other| wanted.comes_of(sides, *other)).collect();
            let said: Vec<Side<'_>> = of.iter().filter_map(|source| sides.side(*source)).collect();
            if said.is_empty() {
                return Told::Needed;
            }
            match follows(book, from, &said) {
                Answer::Cannot => by.extend(least(sides, from, &of)),
                Answer::Open => return Told::Open,
                Answer::Can(_) => return Told::Needed,
            }
        }
    }
    by.sort_unstable();
    by.dedup();
    let twins =
        by.iter().filter_map(|source| rule_of(*source)).any(|other| other > rule && is_twin(sides, from, other));
    if twins { Told::Needed } else { Told::Redundant(by) }
}

/// Whether another rule in turn says no more than this one.
fn is_twin(sides: &Sides<'_>, from: Side<'_>, other: RuleId) -> bool {
    let back = Side { condition: &sides.book.rule(other).condition, want: true };
    follows(sides.book, back, &[from]).cannot()
}

/// One sentence that does it alone, or all of them.
fn least(sides: &Sides<'_>, from: Side<'_>, all: &[Source]) -> Vec<Source> {
    let alone =
        all.iter().find(|source| sides.side(**source).is_some_and(|side| follows(sides.book, from, &[side]).cannot()));
    alone.map_or_else(|| all.to_vec(), |one| vec![*one])
}

/// What one conclusion does.
enum Effect<'c> {
    Proves(FaultId),
    Excludes(FaultId),
    OneOf(&'c [FaultId]),
}

fn effects(conclusion: &Conclusion) -> Vec<Effect<'_>> {
    match conclusion {
        Conclusion::Implies(faults) => faults.iter().map(|fault| Effect::Proves(*fault)).collect(),
        Conclusion::RulesOut(faults) => faults.iter().map(|fault| Effect::Excludes(*fault)).collect(),
        Conclusion::ImpliesOneOf(faults) => vec![Effect::OneOf(faults)],
        Conclusion::Odds(..) => Vec::new(),
    }
}

impl Effect<'_> {
    /// Whether a sentence that bears brings it about.
    fn comes_of(&self, sides: &Sides<'_>, source: Source) -> bool {
        match (self, source) {
            (Effect::Proves(fault), Source::Rule(rule)) => proves(sides.book, rule).contains(fault),
            (Effect::Proves(_), Source::Shows(..)) => false,
            (Effect::Excludes(fault), source) => excludes(sides.book, source, *fault),
            (Effect::OneOf(faults), Source::Rule(rule)) => sides.book.rule(rule).conclusions.iter().any(|other| {
                matches!(other, Conclusion::ImpliesOneOf(list) if list.iter().all(|fault| faults.contains(fault)))
            }),
            (Effect::OneOf(_), Source::Shows(..)) => false,
        }
    }
}
