//! Entries at large: nothing is known of their setup but that it meets what the sentence asks. What can't be here can't
//! be under any setup. Another condition sees such an entry only where its own sentence asks no more, so that what
//! follows here follows under every setup.

use crate::book::setup::{can_affect, closure};
use crate::book::{Book, Comparison, Condition, IndicationKind, SettingId, Slot, SlotIx, Term, Test, ToleranceLine};
use crate::source::Span;
use crate::units::Interval;

use super::formula::{Formula, Seen, formula};
use super::solve::{Answer, solve, ways};
use super::stood::{Fill, each_comparison, every, loosened};
use super::system::{Domain, System, Var};

/// The most ways of one condition that are looked at.
const MOST_WAYS: usize = 64;
/// The most combinations of tolerance lines that are looked at.
const MOST_PICKS: usize = 48;
/// The most ways in which entries are laid to slots.
const MOST_FILLS: usize = 16;

/// A condition that is to be true, or false.
#[derive(Clone, Copy)]
pub(crate) struct Side<'c> {
    /// The condition.
    pub(crate) condition: &'c Condition,
    /// True or false.
    pub(crate) want: bool,
}

/// Which tolerance lines apply to a subject: its first slot's entry, the first line of the list, the lines.
#[derive(Clone, PartialEq, Debug)]
struct Pick {
    var: Var,
    list: Span,
    lines: Vec<Span>,
}

struct View<'v> {
    book: &'v Book,
    condition: &'v Condition,
    fill: &'v [Option<Var>],
    picks: &'v [Pick],
}

impl View<'_> {
    fn key(&self, comparison: &Comparison, lines: &[ToleranceLine]) -> Option<(Var, Span)> {
        let mut slots = Vec::new();
        comparison.subject.collect_slots(&mut slots);
        Some((self.var(*slots.first()?)?, lines.first()?.span))
    }
}

impl Seen for View<'_> {
    fn var(&self, slot: SlotIx) -> Option<Var> {
        self.fill.get(slot.place()).copied().flatten()
    }

    fn compares(&self, comparison: &Comparison) -> bool {
        let slots = comparison.slots.iter().filter_map(|slot| self.condition.slot(*slot));
        let terms: Vec<Term> = slots.flat_map(|slot| slot.demand.terms.iter().copied()).collect();
        !closure(&self.book.settings, &terms).is_impossible()
    }

    fn lines<'l>(&self, comparison: &Comparison, lines: &'l [ToleranceLine]) -> Vec<&'l ToleranceLine> {
        let key = self.key(comparison, lines);
        let pick = self.picks.iter().find(|pick| Some((pick.var, pick.list)) == key);
        pick.map_or(Vec::new(), |pick| lines.iter().filter(|line| pick.lines.contains(&line.span)).collect())
    }
}

/// Whether a condition can't be true (or false) under any setup and for any values.
pub(crate) fn never(book: &Book, side: Side<'_>) -> Answer {
    let fill = own_fill(side.condition);
    let Some(picks) = picks(book, &[(side.condition, &fill)]) else { return Answer::Open };
    let mut open = false;
    for picks in picks {
        let view = View { book, condition: side.condition, fill: &fill, picks: &picks };
        match solve([&formula(&view, &side.condition.node, side.want)], anything(book, side.condition)) {
            Answer::Cannot => {}
            Answer::Open => open = true,
            can => return can,
        }
    }
    if open { Answer::Open } else { Answer::Cannot }
}

/// Whether a condition that is so has one of the others be so by the same entries, under every setup. `Cannot`: it is
/// certain; for a counterexample can't be.
pub(crate) fn follows(book: &Book, from: Side<'_>, others: &[Side<'_>]) -> Answer {
    let own = own_fill(from.condition);
    let laid: Vec<(Side<'_>, Vec<Fill>)> =
        others.iter().map(|other| (*other, fills(book, from.condition, other.condition))).collect();
    let mut seen: Vec<(&Condition, &Fill)> = vec![(from.condition, &own)];
    seen.extend(laid.iter().flat_map(|(side, fills)| fills.iter().map(|fill| (side.condition, fill))));
    let Some(all) = picks(book, &seen) else { return Answer::Open };
    for picks in all {
        let view = View { book, condition: from.condition, fill: &own, picks: &picks };
        let Some(ways) = ways(&formula(&view, &from.condition.node, from.want), MOST_WAYS) else { return Answer::Open };
        for way in ways {
            let mut vars = Vec::new();
            way.vars(&mut vars);
            let mut goals = vec![way];
            for (side, fills) in &laid {
                let each = fills.iter().map(|fill| {
                    let fill: Fill = fill.iter().map(|var| var.filter(|var| vars.contains(var))).collect();
                    let view = View { book, condition: side.condition, fill: &fill, picks: &picks };
                    formula(&view, &side.condition.node, side.want)
                });
                goals.push(Formula::any(each.collect::<Vec<_>>()).not());
            }
            match solve(&goals, anything(book, from.condition)) {
                Answer::Cannot => {}
                other => return other,
            }
        }
    }
    Answer::Cannot
}

/// Whether a condition can come to something else than another over the same slots, once all of them are entered.
pub(crate) fn same(book: &Book, whole: Side<'_>, other: &Condition) -> Answer {
    let fill = own_fill(whole.condition);
    let Some(all) = picks(book, &[(whole.condition, &fill), (other, &fill)]) else { return Answer::Open };
    let mut open = false;
    for picks in all {
        let of = |condition: &Condition| {
            let view = View { book, condition, fill: &fill, picks: &picks };
            formula(&view, &condition.node, whole.want)
        };
        let (one, other) = (of(whole.condition), of(other));
        for goals in [[one.clone(), other.not()], [other, one.not()]] {
            match solve(&goals, anything(book, whole.condition)) {
                Answer::Cannot => {}
                Answer::Open => open = true,
                can => return can,
            }
        }
    }
    if open { Answer::Open } else { Answer::Cannot }
}

fn own_fill(condition: &Condition) -> Fill {
    let places = condition.slots.iter().enumerate();
    places.map(|(place, slot)| (!slot.demand.is_impossible()).then_some(place)).collect()
}

fn anything(book: &Book, condition: &Condition) -> System {
    let domain = |slot: &Slot| match &book.indication(slot.indication).kind {
        IndicationKind::Observation(observation) => Domain::Answers(every(observation.answers.len())),
        IndicationKind::Reading(_) => Domain::Number(Interval::everything()),
    };
    System::new(condition.slots.iter().map(domain).collect())
}

/// The ways to lay the entries of one condition to the slots of another so that they fit under every setup.
fn fills(book: &Book, from: &Condition, other: &Condition) -> Vec<Fill> {
    let (loose, other_loose) = (loosened(from), loosened(other));
    let none: Vec<SettingId> = Vec::new();
    let mut all: Vec<Fill> = vec![Vec::new()];
    for (place, slot) in other.slots.iter().enumerate() {
        let serves = |(n, own): &(usize, &Slot)| {
            let own_loose = loose.get(*n).unwrap_or(&none);
            serves(book, (own, own_loose), (slot, other_loose.get(place).unwrap_or(&none)))
        };
        let serving: Vec<usize> = from.slots.iter().enumerate().filter(serves).map(|(n, _)| n).collect();
        let longer = all.iter().flat_map(|fill| {
            let fits = serving.iter().filter(|n| agrees(book, (from, other), fill, (place, **n)));
            let mut vars: Vec<Option<Var>> = fits.map(|n| Some(*n)).collect();
            if vars.is_empty() {
                vars.push(None);
            }
            vars.into_iter().map(|var| fill.iter().copied().chain([var]).collect::<Fill>()).collect::<Vec<_>>()
        });
        all = longer.take(MOST_FILLS).collect();
    }
    all.retain(|fill| share_comparisons(from, other, fill));
    all
}

/// Whether every entry that may stand in the first slot may stand in the second.
fn serves(book: &Book, from: (&Slot, &[SettingId]), to: (&Slot, &[SettingId])) -> bool {
    if from.0.indication != to.0.indication {
        return false;
    }
    let narrower = to.0.demand.terms.iter().all(|term| {
        let every = book.setting(term.setting).every_value();
        from.0.demand.allowed(term.setting) & every & !term.allowed == 0
    });
    let named = |(slot, loose): (&Slot, &[SettingId]), change: SettingId| {
        slot.demand.allowed(change) & 1 == 0 || loose.contains(&change)
    };
    let mut changes = book.changes().filter(|change| can_affect(book, *change, from.0.indication));
    narrower && changes.all(|change| !named(from, change) || named(to, change))
}

/// Whether entries that agree as the first condition asks also agree as the second does.
fn agrees(book: &Book, (from, to): (&Condition, &Condition), fill: &Fill, new: (usize, Var)) -> bool {
    let (Some(a), Some(b)) = (from.slots.get(new.1), to.slots.get(new.0)) else { return false };
    let laid = to.slots.iter().zip(fill).filter_map(|(slot, var)| Some((from.slots.get((*var)?)?, slot)));
    laid.into_iter().all(|(other_a, other_b)| {
        let mut states = book
            .setting_ids()
            .filter(|state| book.state_matters(*state, a.indication) && book.state_matters(*state, other_a.indication));
        states.all(|state| {
            let every = book.setting(state).every_value();
            let apart = |x: &Slot, y: &Slot| x.demand.allowed(state) & y.demand.allowed(state) & every == 0;
            !apart(a, other_a) || apart(b, other_b)
        })
    })
}

/// Whether the entries of each comparison of the second condition stand in one comparison of the first, which is what
/// makes them share a setup.
fn share_comparisons(from: &Condition, to: &Condition, fill: &Fill) -> bool {
    let mut own: Vec<Vec<Var>> = Vec::new();
    each_comparison(&from.node, &mut |comparison| own.push(slots_of(comparison).map(SlotIx::place).collect()));
    let mut right = true;
    each_comparison(&to.node, &mut |comparison| {
        let mut vars: Vec<Var> =
            slots_of(comparison).filter_map(|slot| fill.get(slot.place()).copied().flatten()).collect();
        vars.sort_unstable();
        vars.dedup();
        right &= vars.len() < 2 || own.iter().any(|group| vars.iter().all(|var| group.contains(var)));
    });
    right
}

fn slots_of(comparison: &Comparison) -> impl Iterator<Item = SlotIx> + '_ {
    let lines: &[ToleranceLine] = if let Test::Tolerance(_, lines) = &comparison.test { lines } else { &[] };
    comparison.slots.iter().chain(lines.iter().flat_map(|line| &line.slots)).copied()
}

/// Every combination of tolerance lines that may apply; none where there are too many, or more than two tie.
fn picks(book: &Book, seen: &[(&Condition, &Fill)]) -> Option<Vec<Vec<Pick>>> {
    let mut lists: Vec<Vec<Pick>> = Vec::new();
    let mut whole = true;
    for (condition, fill) in seen {
        let view = View { book, condition, fill, picks: &[] };
        each_comparison(&condition.node, &mut |comparison| {
            let Test::Tolerance(_, lines) = &comparison.test else { return };
            let Some((var, list)) = view.key(comparison, lines) else { return };
            if lists.iter().flatten().any(|pick| (pick.var, pick.list) == (var, list)) {
                return;
            }
            match choices(book, condition, comparison, lines) {
                Some(sets) => lists.push(sets.into_iter().map(|lines| Pick { var, list, lines }).collect()),
                None => whole = false,
            }
        });
    }
    if !whole {
        return None;
    }
    let mut all: Vec<Vec<Pick>> = vec![Vec::new()];
    for list in lists {
        if all.len() * list.len() > MOST_PICKS {
            return None;
        }
        all = all
            .iter()
            .flat_map(|so_far| list.iter().map(|pick| [so_far.as_slice(), std::slice::from_ref(pick)].concat()))
            .collect();
    }
    Some(all)
}

/// The sets of tolerance lines of which one applies, whatever the setup.
fn choices(
    book: &Book,
    condition: &Condition,
    comparison: &Comparison,
    lines: &[ToleranceLine],
) -> Option<Vec<Vec<Span>>> {
    let slots = comparison.slots.iter().filter_map(|slot| condition.slot(*slot));
    let own: Vec<Term> = slots.flat_map(|slot| slot.demand.terms.iter().copied()).collect();
    let asked = closure(&book.settings, &own);
    let possible = |more: &[&ToleranceLine]| {
        let terms = own.iter().copied().chain(more.iter().flat_map(|line| line.demand.terms.iter().copied()));
        !closure(&book.settings, &terms.collect::<Vec<_>>()).is_impossible()
    };
    let certain = |line: &ToleranceLine| {
        line.demand
            .terms
            .iter()
            .all(|term| asked.allowed(term.setting) & book.setting(term.setting).every_value() & !term.allowed == 0)
    };
    let least = lines.iter().filter(|line| certain(line)).map(|line| line.named).max();
    let may: Vec<&ToleranceLine> = lines.iter().filter(|line| Some(line.named) >= least && possible(&[line])).collect();
    let mut sets: Vec<Vec<Span>> = Vec::new();
    if least.is_none() {
        sets.push(Vec::new());
    }
    for (n, line) in may.iter().enumerate() {
        sets.push(vec![line.span]);
        let ties: Vec<&&ToleranceLine> =
            may.iter().skip(n + 1).filter(|other| other.named == line.named && possible(&[line, other])).collect();
        if ties.len() > 1 {
            return None;
        }
        sets.extend(ties.iter().map(|other| vec![line.span, other.span]));
    }
    Some(sets)
}
