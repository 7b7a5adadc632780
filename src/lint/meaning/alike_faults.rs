//! Faults of which every job says the same: first by what each test by itself tells, then, one pair after the other, by whether
//! what bears on one of them ever bears alone.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::book::{Conclusion, FaultId, IndicationId, RuleId};
use crate::job::Job;
use crate::lint::space::large::Side;
use crate::reasoning::alike::alike;
use crate::reasoning::{Verdict, judge};

use super::alone::{Alone, Asked, OnLimits, alone, alone_with};
use super::sides::{Can, Sides, Source, excludes, proves};
use super::single::Said;

/// Groups of faults that nothing tells apart, in book order, and how many pairs were not decided.
pub(super) fn alike_faults(sides: &Sides<'_>) -> (Vec<Vec<FaultId>>, usize) {
    let book = sides.book;
    let tests: Vec<Vec<Said>> =
        sides.table().tests.iter().flat_map(|test| &test.told).map(|told| told.said(book)).collect();
    let joint = if book.at_once > 1 { joint_shows(sides) } else { BTreeMap::new() };
    let mut groups: BTreeMap<(Vec<Said>, Vec<u8>), Vec<FaultId>> = BTreeMap::new();
    for fault in book.fault_ids() {
        let by_test = tests.iter().filter_map(|said| said.get(fault.place())).copied().collect();
        let by_sentence = if book.at_once > 1 { signature(sides, fault, &joint) } else { Vec::new() };
        groups.entry((by_test, by_sentence)).or_default().push(fault);
    }
    let mut groups: Vec<Vec<FaultId>> = groups.into_values().filter(|group| group.len() > 1).collect();
    let mut open = 0;
    if book.at_once == 1 {
        let parted: Vec<(Vec<Vec<FaultId>>, usize)> = groups.par_iter().map(|group| parted(sides, group)).collect();
        open = parted.iter().map(|(_, open)| open).sum();
        groups = parted.into_iter().flat_map(|(groups, _)| groups).filter(|group| group.len() > 1).collect();
    }
    groups.sort();
    (groups, open)
}

/// A group in parts that nothing tells apart; to be told apart from one of a part is to be told apart from all of it.
fn parted(sides: &Sides<'_>, group: &[FaultId]) -> (Vec<Vec<FaultId>>, usize) {
    let (mut parts, mut open): (Vec<Vec<FaultId>>, usize) = (Vec::new(), 0);
    for fault in group {
        let mut own = None;
        for (place, part) in parts.iter().enumerate() {
            let Some(first) = part.first() else { continue };
            match told_apart(sides, *first, *fault) {
                Alone::No => own = Some(place),
                Alone::Yes => continue,
                Alone::Open => {
                    open += 1;
                    continue;
                }
            }
            break;
        }
        match own.and_then(|place| parts.get_mut(place)) {
            Some(part) => part.push(*fault),
            None => parts.push(vec![*fault]),
        }
    }
    (parts, open)
}

/// Whether some job says of one fault what it does not say of the other; one fault at once. Where each test by itself rules
/// both out or neither, proofs aside, only what asks for several entries is left to tell them apart.
fn told_apart(sides: &Sides<'_>, one: FaultId, other: FaultId) -> Alone {
    let mut answers = sides.table().tests.iter().flat_map(|test| &test.told);
    let same = answers.all(|told| {
        let left = |fault: FaultId| told.left.get(fault.place());
        left(one) == left(other) && told.proved.contains(&one) == told.proved.contains(&other)
    });
    let slots = |source: &Source| sides.side(*source).map_or(0, |side| side.condition.slots.len());
    let matters = |source: &&Source| !same || slots(source) > 1;
    let mut told = Alone::No;
    for (first, second) in [(one, other), (other, one)] {
        let proofs = |fault: FaultId| {
            let rules = sides.book.rule_ids().filter(move |rule| proves(sides.book, *rule).contains(&fault));
            rules.map(Source::Rule).collect::<Vec<_>>()
        };
        let (own, others) = (proofs(first), proofs(second));
        for source in own.iter().filter(|source| !others.contains(source)).filter(matters) {
            told = told.or(bears_alone(sides, *source, &others, None));
        }
        let excluding = |fault: FaultId| {
            let all = sides.sources.iter().map(|(source, _)| *source);
            all.filter(|source| excludes(sides.book, *source, fault)).collect::<Vec<_>>()
        };
        let (own, others) = (excluding(first), excluding(second));
        for source in own.iter().filter(|source| !others.contains(source)).filter(matters) {
            if told == Alone::Yes {
                return told;
            }
            told = told.or(excludes_alone(sides, *source, &others, (first, second)));
        }
    }
    told
}

fn bears_alone(sides: &Sides<'_>, source: Source, others: &[Source], spared: Option<FaultId>) -> Alone {
    match (sides.side(source), sides.can_bear_at_all(source)) {
        (_, Can::No) => Alone::No,
        (Some(side), _) => alone(sides, &asked(sides, (source, side), others, spared)),
        (None, _) => Alone::Open,
    }
}

/// The same of what rules a fault out, which nobody sees where the proof of a third rules both out.
fn excludes_alone(sides: &Sides<'_>, source: Source, others: &[Source], pair: (FaultId, FaultId)) -> Alone {
    let simply = bears_alone(sides, source, others, Some(pair.1));
    if simply != Alone::Yes {
        return simply;
    }
    let book = sides.book;
    let third = |rule: &RuleId| proves(book, *rule).iter().any(|fault| ![pair.0, pair.1].contains(fault));
    let thirds: Vec<Source> = book.rule_ids().filter(third).map(Source::Rule).collect();
    let both: Vec<Source> = others.iter().chain(&thirds).copied().collect();
    let openly = bears_alone(sides, source, &both, Some(pair.1));
    if openly != Alone::No {
        return openly;
    }
    // Only where that proof is disputed, or stands beside another.
    let Some(side) = sides.side(source) else { return Alone::Open };
    let proved = |source: &Source| if let Source::Rule(rule) = source { proves(book, *rule) } else { Vec::new() };
    let all_proved: BTreeSet<FaultId> = thirds.iter().flat_map(proved).collect();
    let all_proved: Vec<FaultId> = all_proved.into_iter().collect();
    let differs = |job: &Job| {
        let judgement = judge(book, job);
        let verdict = |fault: FaultId| -> Option<Verdict> { judgement.of(fault).map(|found| found.verdict) };
        verdict(pair.0) != verdict(pair.1)
    };
    alone_with(sides, &asked(sides, (source, side), others, Some(pair.1)), &all_proved, &differs)
}

fn asked<'b>(
    sides: &Sides<'b>,
    (source, one): (Source, Side<'b>),
    others: &[Source],
    spared: Option<FaultId>,
) -> Asked<'b> {
    let others = sides_of(sides, &near(sides, source, others));
    Asked { one, others, spared, on_limits: OnLimits::LeftAside }
}

/// Those of some sentences that can bear by the readings of one.
fn near(sides: &Sides<'_>, source: Source, all: &[Source]) -> Vec<Source> {
    let within = sides.within(sides.readings(source));
    all.iter().copied().filter(|other| *other != source && within.contains(other)).collect()
}

fn sides_of<'b>(sides: &Sides<'b>, sources: &[Source]) -> Vec<Side<'b>> {
    sources.iter().filter_map(|source| sides.side(*source)).collect()
}

/// `shows` over several readings that can fail, each with a number that alike ones share; several faults at once.
fn joint_shows(sides: &Sides<'_>) -> BTreeMap<FaultId, Vec<usize>> {
    let mut known: BTreeMap<&[IndicationId], Vec<Source>> = BTreeMap::new();
    let mut all: BTreeMap<FaultId, Vec<usize>> = BTreeMap::new();
    for (place, ((source, readings), can)) in sides.sources.iter().zip(sides.can()).enumerate() {
        let Source::Shows(fault, _) = source else { continue };
        if readings.len() < 2 || matches!(can, Can::No) {
            continue;
        }
        let Some(own) = sides.side(*source) else { continue };
        let list = known.entry(readings).or_default();
        let twin =
            list.iter().find(|other| sides.side(**other).is_some_and(|side| alike(side.condition, own.condition)));
        let first = twin.copied().unwrap_or(*source);
        list.push(*source);
        let number = sides.sources.binary_search_by_key(&first, |(source, _)| *source).unwrap_or(place);
        all.entry(*fault).or_default().push(number);
    }
    all
}

/// What all sentences come to for a fault; several faults at once.
fn signature(sides: &Sides<'_>, fault: FaultId, joint: &BTreeMap<FaultId, Vec<usize>>) -> Vec<u8> {
    let book = sides.book;
    let mut signs = Vec::new();
    for rule in book.rule_ids().filter(|rule| !matches!(sides.can_apply(*rule), Can::No)) {
        let named = book.rule(rule).conclusions.iter().any(|one| match one {
            Conclusion::ImpliesOneOf(faults) => faults.contains(&fault),
            _ => false,
        });
        let proved = proves(book, rule).contains(&fault);
        signs.push(u8::from(excludes(book, Source::Rule(rule), fault)) | u8::from(proved) << 1 | u8::from(named) << 2);
    }
    for number in joint.get(&fault).into_iter().flatten() {
        signs.extend(number.to_be_bytes());
    }
    signs
}
