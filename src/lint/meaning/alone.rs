//! Whether a sentence ever bears alone: entries on which it bears and some others do not. Yes needs entries that the
//! vehicle can be brought to; no holds under every setup; what lies between is left open.

use std::collections::BTreeSet;

use crate::book::{Book, Condition, FaultId};
use crate::job::Job;
use crate::lint::space::formula::Formula;
use crate::lint::space::large::{Side, follows};
use crate::lint::space::solve::{Answer, ways};
use crate::lint::space::stood::{Stood, blank};
use crate::lint::space::system::Var;
use crate::lint::space::witness::witness;

use super::sides::{Can, Joint, MOST_WAYS, Sides, Source, excludes, proves};
use super::single::Told;
use super::speaks::{allowed, foretold};

/// The most sets of sentences that are tried for one question.
const MOST_SETS: usize = 400;

/// Whether something can be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Alone {
    /// On entries that were found.
    Yes,
    /// On none.
    No,
    /// Not decided.
    Open,
}

impl Alone {
    /// Of several: yes if one is, no if all are not.
    pub(crate) fn or(self, other: Alone) -> Alone {
        match (self, other) {
            (Alone::Yes, _) | (_, Alone::Yes) => Alone::Yes,
            (Alone::Open, _) | (_, Alone::Open) => Alone::Open,
            _ => Alone::No,
        }
    }
}

/// Whether what lies exactly on a limit counts: no meter shows it, but it can be typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum OnLimits {
    /// It counts.
    Count,
    /// It is left aside.
    LeftAside,
}

/// What is asked of a sentence that is to bear alone.
pub(crate) struct Asked<'b> {
    /// The sentence.
    pub(crate) one: Side<'b>,
    /// Those that are not to bear.
    pub(crate) others: Vec<Side<'b>>,
    /// The fault that no circuit is to rule out, if any.
    pub(crate) spared: Option<FaultId>,
    /// Whether limits count.
    pub(crate) on_limits: OnLimits,
}

/// Whether a sentence bears on some entries on which none of the others does, nor a circuit rules out the fault that is to be
/// spared.
pub(crate) fn alone(sides: &Sides<'_>, asked: &Asked<'_>) -> Alone {
    match follows(sides.book, asked.one, &asked.others) {
        Answer::Cannot => return Alone::No,
        Answer::Open => return Alone::Open,
        Answer::Can(_) => {}
    }
    let mut search = Search { sides, asked, wanted: None, open: !has_changes_only(sides.book), left: 1 };
    if search.with(&[], &[]) { Alone::Yes } else { search.told() }
}

/// Whether a sentence bears alone on entries by which others prove faults, or dispute such proofs, so that a job of them is as
/// wanted. What a job comes to hangs on nothing but which of those bear: every set of them is tried that can. Only a book
/// without states is sure to have one entry of each reading and change; in any other, and where circuits know the faults, what
/// was not found is left open.
pub(crate) fn alone_with(
    sides: &Sides<'_>,
    asked: &Asked<'_>,
    proofs: &[FaultId],
    wanted: &dyn Fn(&Job) -> bool,
) -> Alone {
    let disputing = disputing(sides);
    let open = !has_changes_only(sides.book);
    let mut search = Search { sides, asked, wanted: Some(wanted), open, left: MOST_SETS };
    if search.with_answers(proofs) || search.with(&[], &disputing) { Alone::Yes } else { search.told() }
}

/// That no circuit rules a fault out by these entries.
fn by_circuit(sides: &Sides<'_>, stood: &Stood, vars: &[Var], fault: FaultId) -> Vec<Formula> {
    let entered = vars.iter().filter_map(|var| Some((*var, stood.entries.get(*var)?)));
    let each = entered.flat_map(|(var, entry)| {
        let told = foretold(sides.book, &[fault], entry.indication, &entry.setup);
        told.into_iter().filter(|told| told.is_exact()).map(move |told| allowed(var, &told))
    });
    each.collect()
}

/// That none of some sentences bears by these entries.
fn silent(sides: &Sides<'_>, stood: &Stood, vars: &[Var], others: &[Side<'_>]) -> Vec<Formula> {
    let bears = |side: &Side<'_>| sides.space.formula_by(side.condition, &stood.entries, vars, side.want);
    others.iter().map(|side| bears(side).not()).collect()
}

/// Every sentence that proves a fault, or rules out one that another proves.
fn disputing(sides: &Sides<'_>) -> Vec<Source> {
    let book = sides.book;
    let proved: BTreeSet<FaultId> = book.rule_ids().flat_map(|rule| proves(book, rule)).collect();
    let all = sides.sources.iter().zip(sides.can()).filter(|(_, can)| !matches!(can, Can::No));
    let disputes = |source: &Source| {
        let is_proof = matches!(source, Source::Rule(rule) if !proves(book, *rule).is_empty());
        is_proof || proved.iter().any(|fault| excludes(book, *source, *fault))
    };
    all.map(|((source, _), _)| *source).filter(disputes).collect()
}

struct Search<'s, 'b> {
    sides: &'s Sides<'b>,
    asked: &'s Asked<'s>,
    wanted: Option<&'s dyn Fn(&Job) -> bool>,
    open: bool,
    left: usize,
}

impl Search<'_, '_> {
    /// What it came to where nothing was found.
    fn told(&self) -> Alone {
        if self.open { Alone::Open } else { Alone::No }
    }

    /// Whether a job as wanted is found where these bear, and perhaps some of the rest.
    fn with(&mut self, bearing: &[Source], rest: &[Source]) -> bool {
        let Some(left) = self.left.checked_sub(1) else {
            self.open = true;
            return false;
        };
        self.left = left;
        let sides = self.sides;
        let also: Vec<Side<'_>> = bearing.iter().filter_map(|source| sides.side(*source)).collect();
        let silent: Vec<Side<'_>> = rest.iter().filter_map(|source| sides.side(*source)).collect();
        let conditions: Vec<&Condition> =
            std::iter::once(self.asked.one.condition).chain(also.iter().map(|side| side.condition)).collect();
        let mut can_be = false;
        for stood in sides.space.stand_all(&conditions) {
            let vars: Vec<Var> = (0..stood.entries.len()).collect();
            let bears = |side: &Side<'_>| sides.space.formula_by(side.condition, &stood.entries, &vars, side.want);
            let goals: Vec<Formula> = also.iter().map(bears).collect();
            match self.try_out(&stood, &goals, &[]) {
                None => return true,
                Some(can) => can_be |= can,
            }
            // Exactly these and none of the rest.
            if can_be && !silent.is_empty() && self.try_out(&stood, &goals, &silent).is_none() {
                return true;
            }
        }
        can_be
            && rest.iter().enumerate().any(|(place, source)| {
                let more = [bearing, &[*source]].concat();
                self.with(&more, rest.get(place + 1..).unwrap_or(&[]))
            })
    }

    /// The same beside an answer of a single test that a circuit holds against one of these faults.
    fn with_answers(&mut self, proofs: &[FaultId]) -> bool {
        let sides = self.sides;
        let known = |fault: &FaultId| sides.book.circuits.iter().any(|circuit| circuit.faults().contains(fault));
        let known: Vec<FaultId> = proofs.iter().copied().filter(known).collect();
        let answers = sides.table().tests.iter().flat_map(|test| test.told.iter().map(move |told| (test, told)));
        let against = |told: &Told| known.iter().any(|fault| told.left.get(fault.place()) != Some(&true));
        for (test, told) in answers.filter(|(_, told)| against(told)) {
            for mut stood in sides.space.stand(self.asked.one.condition, &[]) {
                let entry = blank(test.indication, &test.setup);
                let var = stood.entries.iter().position(|known| *known == entry).unwrap_or(stood.entries.len());
                if var == stood.entries.len() {
                    stood.entries.push(entry);
                }
                match self.try_out(&stood, &[told.formula(var)], &[]) {
                    None => return true,
                    Some(can) => self.open |= can,
                }
            }
        }
        false
    }

    /// None where a job as wanted is found; else whether the entries can be at all. Only the entries count that a way for the
    /// sentence and the goals to be so needs.
    fn try_out(&mut self, stood: &Stood, goals: &[Formula], also_silent: &[Side<'_>]) -> Option<bool> {
        let (sides, asked) = (self.sides, self.asked);
        let vars: Vec<Var> = (0..stood.entries.len()).collect();
        let formula = sides.space.formula_by(asked.one.condition, &stood.entries, &vars, asked.one.want);
        let Some(ways) = ways(&Formula::all(std::iter::once(formula).chain(goals.iter().cloned())), MOST_WAYS) else {
            self.open = true;
            return Some(true);
        };
        let mut can_be = false;
        for way in ways {
            let mut vars = Vec::new();
            way.vars(&mut vars);
            let mut all = silent(sides, stood, &vars, &asked.others);
            all.extend(silent(sides, stood, &vars, also_silent));
            all.extend(asked.spared.iter().flat_map(|fault| by_circuit(sides, stood, &vars, *fault)));
            let on_limits = |formula: Formula| match asked.on_limits {
                OnLimits::Count => formula,
                OnLimits::LeftAside => formula.strictly(),
            };
            let all: Vec<Formula> = all.into_iter().map(on_limits).collect();
            match sides.solved(stood, &on_limits(way), &all) {
                Ok(joint) if self.wanted.is_none_or(|wanted| shows(sides.book, &joint, wanted)) => return None,
                Ok(_) => can_be = true,
                Err(more) => {
                    self.open |= more;
                    can_be |= more;
                }
            }
        }
        Some(can_be)
    }
}

fn shows(book: &Book, joint: &Joint, wanted: &dyn Fn(&Job) -> bool) -> bool {
    witness(book, &joint.entries, &joint.vars, &joint.system, wanted).is_some()
}

fn has_changes_only(book: &Book) -> bool {
    book.changes().count() == book.settings.len()
}
