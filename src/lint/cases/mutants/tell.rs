//! Jobs that a rule and its mutant judge differently, with values as a meter shows them. Where only a value without any
//! uncertainty would do, the two are the same to whoever measures.

use crate::book::{Book, Condition};
use crate::job::Job;
use crate::lint::meaning::sides::Sides;
use crate::lint::meaning::{Joint, soundness};
use crate::lint::space::formula::Formula;
use crate::lint::space::stood::Stood;
use crate::lint::space::system::{Domain, Var};
use crate::lint::space::witness::measured;
use crate::reasoning::{Judgement, Verdict, judge};
use crate::units::{Exact, Interval};

use super::make::{Kind, Slip};

/// What tells a mutant from its rule.
pub(super) enum Told {
    /// A little job.
    By(Vec<String>),
    /// Nothing that a meter can show, or nothing that changes a verdict.
    Nothing,
    /// Not decided.
    Open,
}

/// The displays that are tried beside a limit, in eighths of the meter's error there.
const EIGHTHS: [i64; 8] = [-12, 12, -4, 4, -20, 20, -8, 8];

/// Looks for a job that tells a mutant from its rule.
pub(super) fn tell(sides: &Sides<'_>, slip: &Slip, slipped: &Book) -> Told {
    let book = sides.book;
    let (own, other) = (&book.rule(slip.rule).condition, &slipped.rule(slip.rule).condition);
    let mut open = false;
    let joints = joints(sides, slip, own, other, &mut open);
    let apart = !joints.is_empty();
    let near: Vec<Joint> = joints.into_iter().flat_map(|(joint, stood)| beside(book, slip, &stood, joint)).collect();
    // A job in which nothing quarrels is the better case.
    for quarrels in [false, true] {
        let differs = |job: &Job| {
            let judgement = judge(book, job);
            let peaceful = judgement.conflicts.is_empty();
            (peaceful || quarrels) && verdicts(&judgement) != verdicts(&judge(slipped, job))
        };
        let found = near.iter().find_map(|joint| measured(book, &joint.entries, &joint.vars, &joint.system, differs));
        if let Some(lines) = found {
            return Told::By(lines);
        }
    }
    // Of the entries that the vehicle can be set up for, none tells them apart.
    if open && !apart { Told::Open } else { Told::Nothing }
}

fn verdicts(judgement: &Judgement) -> Vec<Verdict> {
    judgement.verdicts.iter().map(|found| found.verdict).collect()
}

/// Entries on which one of the two conditions is true and the other is not; all on which it is, where only a conclusion
/// differs.
fn joints(sides: &Sides<'_>, slip: &Slip, own: &Condition, other: &Condition, open: &mut bool) -> Vec<(Joint, Stood)> {
    let mut all = Vec::new();
    let stood = sides.space.stand(own, &[]).into_iter().chain(sides.space.stand(other, &[]));
    for stood in stood {
        let vars: Vec<Var> = (0..stood.entries.len()).collect();
        let of = |condition: &Condition| sides.space.formula_by(condition, &stood.entries, &vars, true);
        let (one, two) = (of(own), of(other));
        let goals: Vec<[Formula; 2]> = match slip.kind {
            Kind::Swapped { .. } => vec![[one, Formula::Holds]],
            _ => vec![[one.clone(), two.not()], [two, one.not()]],
        };
        for [first, second] in goals {
            match sides.solved(&stood, &first, std::slice::from_ref(&second)) {
                Ok(joint) => {
                    all.extend(usual(sides, &stood, (&first, &second)).map(|joint| (joint, stood.clone())));
                    all.push((joint, stood.clone()));
                }
                Err(more) => *open |= more,
            }
        }
    }
    all
}

/// The same with every entry that may be so a sound vehicle's: a case is to try one thing at a time.
fn usual(sides: &Sides<'_>, stood: &Stood, (first, second): (&Formula, &Formula)) -> Option<Joint> {
    let vars: Vec<Var> = (0..stood.entries.len()).collect();
    let mut goals = vec![second.clone()];
    let mut found = None;
    for var in &vars {
        let Some(sound) = soundness(sides, &stood.entries, *var, &vars) else { continue };
        goals.push(sound);
        match sides.solved(stood, first, &goals) {
            Ok(joint) => found = Some(joint),
            Err(_) => {
                goals.pop();
            }
        }
    }
    found
}

/// The entries as found, or, where a limit was moved, with displays beside it.
fn beside(book: &Book, slip: &Slip, stood: &Stood, joint: Joint) -> Vec<Joint> {
    let moved = slip.moved(book).and_then(|(slot, limit, width)| {
        let var = stood.fill.get(slot.place()).copied().flatten()?;
        Some((var, limit, width))
    });
    let Some((var, limit, width)) = moved else { return vec![joint] };
    let eighth = &width * &Exact::ratio(1, 8).unwrap_or_default();
    let mut all = Vec::new();
    for eighths in EIGHTHS {
        let at = &limit + &(&eighth * &Exact::from_int(eighths));
        let mut near = joint.clone();
        let Some(domain) = near.system.domains.get_mut(var) else { continue };
        *domain = Domain::Number(Interval::around(at, eighth.clone()));
        if !near.vars.contains(&var) {
            near.vars.push(var);
        }
        all.push(near);
    }
    all.push(joint);
    all
}
