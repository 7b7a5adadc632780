//! A book as its conditions speak of its faults: what proves each, what rules each out, what can come true at all.
//! Made once a book; every check looks things up here.

use std::collections::BTreeSet;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use crate::book::{Book, Conclusion, Condition, FaultId, IndicationId, Node, RuleId, SlotIx};
use crate::job::{Entry, Job};
use crate::lint::cases::draft::applies_by_trial;
use crate::lint::space::formula::Formula;
use crate::lint::space::large::{self, Side};
use crate::lint::space::solve::{Answer, solve, ways};
use crate::lint::space::stood::{Space, Stood};
use crate::lint::space::system::{System, Var};
use crate::lint::space::witness::witness;

use super::claim::{Claim, Witness};
use super::single::Table;

/// The most ways of one condition that are looked at.
pub(crate) const MOST_WAYS: usize = 64;

/// A sentence that bears on a fault.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Source {
    /// A rule, where it applies.
    Rule(RuleId),
    /// The nth `shows` of a fault, where it fails.
    Shows(FaultId, usize),
}

/// Whether a sentence can come to bear.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Can {
    /// On these entries.
    Yes(Joint),
    /// On entries that were found by trying values; it is not linear in its readings.
    Tried,
    /// Never.
    No,
    /// Not decided.
    Open,
}

/// Entries of which some make one or several sentences bear.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Joint {
    /// The entries, their values unknown.
    pub(crate) entries: Vec<Entry>,
    /// Those that are entered.
    pub(crate) vars: Vec<Var>,
    /// What is known of their values.
    pub(crate) system: System,
}

impl Joint {
    /// The witness of a claim, if the judge bears it out.
    pub(crate) fn shows(&self, book: &Book, claim: Claim) -> Option<Witness> {
        let lines = witness(book, &self.entries, &self.vars, &self.system, |job| claim.holds(book, job))?;
        Some(Witness { profile: book.profile.clone(), lines, claim })
    }
}

/// A book ready to be asked.
pub(crate) struct Sides<'b> {
    /// The book.
    pub(crate) book: &'b Book,
    /// What its conditions ask.
    pub(crate) space: Space<'b>,
    /// Every sentence that bears on a fault, with the readings that it names, sorted; rules first.
    pub(crate) sources: Vec<(Source, Vec<IndicationId>)>,
    /// Faults that say something of each reading, by `shows` or circuit; sorted.
    speakers: Vec<Vec<FaultId>>,
    /// Sentences by each of their readings: places in `sources`.
    by_reading: Vec<Vec<usize>>,
    /// Questions that were left open since it was last asked.
    open: AtomicUsize,
    can: OnceLock<Vec<Can>>,
    table: OnceLock<Table>,
}

impl<'b> Sides<'b> {
    /// Of a book; `empty` is an empty job of it.
    pub(crate) fn new(book: &'b Book, empty: &'b Job) -> Self {
        let rules = book.rule_ids().map(Source::Rule);
        let shows = book.fault_ids().flat_map(|fault| {
            let plain = book.fault(fault).shows.iter().enumerate().filter(|(_, shows)| is_plain(shows.chance));
            plain.map(move |(nth, _)| Source::Shows(fault, nth))
        });
        let sources: Vec<(Source, Vec<IndicationId>)> = rules
            .chain(shows)
            .map(|source| (source, side(book, source).map_or(Vec::new(), |side| readings(side.condition))))
            .collect();
        let mut by_reading = vec![Vec::new(); book.indications.len()];
        for (place, (_, readings)) in sources.iter().enumerate() {
            for reading in readings {
                if let Some(list) = by_reading.get_mut(reading.place()) {
                    list.push(place);
                }
            }
        }
        let (can, table, speakers) = (OnceLock::new(), OnceLock::new(), speakers(book));
        Self {
            book,
            space: Space::new(book, empty),
            sources,
            speakers,
            by_reading,
            open: AtomicUsize::new(0),
            can,
            table,
        }
    }

    /// The condition of a sentence, and how it must come out to bear.
    pub(crate) fn side(&self, source: Source) -> Option<Side<'b>> {
        side(self.book, source)
    }

    /// Whether each sentence can come to bear, in the order of `sources`.
    pub(crate) fn can(&self) -> &[Can] {
        self.can.get_or_init(|| self.sources.par_iter().map(|(source, _)| self.can_bear(*source)).collect())
    }

    /// Whether a rule can apply.
    pub(crate) fn can_apply(&self, rule: RuleId) -> &Can {
        self.can().get(rule.place()).unwrap_or(&Can::Open)
    }

    /// Whether a sentence can bear.
    pub(crate) fn can_bear_at_all(&self, source: Source) -> &Can {
        let place = self.place(source);
        place.and_then(|place| self.can().get(place)).unwrap_or(&Can::Open)
    }

    /// What each single test tells.
    pub(crate) fn table(&self) -> &Table {
        self.table.get_or_init(|| Table::of(self))
    }

    /// Sentences that can bear where no other readings than these (sorted) are entered, in the order of `sources`.
    pub(crate) fn within(&self, readings: &[IndicationId]) -> Vec<Source> {
        let mut places: Vec<usize> =
            readings.iter().flat_map(|one| self.by_reading.get(one.place()).into_iter().flatten()).copied().collect();
        places.sort_unstable();
        places.dedup();
        let sources = places.into_iter().filter_map(|place| self.sources.get(place)).map(|(source, _)| *source);
        sources.filter(|source| self.side(*source).is_some_and(|side| decides_on(side, readings))).collect()
    }

    /// That nothing rules a fault out by some entries.
    fn not_excluded(&self, readings: &[IndicationId], entries: (&[Entry], &[Var]), fault: FaultId) -> Vec<Formula> {
        let sources = self.within(readings).into_iter().filter(|source| excludes(self.book, *source, fault));
        let sides = sources.filter_map(|source| self.side(source));
        sides.map(|side| self.space.formula_by(side.condition, entries.0, entries.1, side.want).not()).collect()
    }

    /// That nothing but a proof of one fault speaks by some entries: `spared` is not ruled out, and no fault but `proved`
    /// is proved.
    pub(crate) fn undisputed(
        &self,
        readings: &[IndicationId],
        entries: (&[Entry], &[Var]),
        proved: &[FaultId],
        spared: FaultId,
    ) -> Vec<Formula> {
        let rivals = |rule: RuleId| {
            self.book.at_once == 1 && proves(self.book, rule).iter().any(|fault| !proved.contains(fault))
        };
        let speaks = |source: &Source| {
            excludes(self.book, *source, spared) || matches!(source, Source::Rule(rule) if rivals(*rule))
        };
        let sources = self.within(readings).into_iter().filter(speaks);
        let sides = sources.filter_map(|source| self.side(source));
        sides.map(|side| self.space.formula_by(side.condition, entries.0, entries.1, side.want).not()).collect()
    }

    /// Other sentences that share a reading with this one, in the order of `sources`.
    pub(crate) fn near(&self, source: Source) -> Vec<Source> {
        let own = self.readings(source);
        let mut places: Vec<usize> = own
            .iter()
            .flat_map(|reading| self.by_reading.get(reading.place()).into_iter().flatten())
            .copied()
            .collect();
        places.sort_unstable();
        places.dedup();
        let near = places.into_iter().filter_map(|place| self.sources.get(place));
        near.map(|(other, _)| *other).filter(|other| *other != source).collect()
    }

    /// Whether two sentences can bear by the same entries: those that a way of one of them needs.
    /// `spared` are not ruled out by them.
    pub(crate) fn either_way(&self, one: Side<'_>, other: Side<'_>, spared: &[FaultId]) -> Option<Joint> {
        self.together(one, other, spared).or_else(|| self.together(other, one, spared))
    }

    /// Entries on which a condition comes out true, or false.
    pub(crate) fn comes_out(&self, condition: &Condition, so: bool) -> Option<Joint> {
        let stood = self.space.stand(condition, &[]);
        stood.iter().find_map(|stood| {
            let formula = self.space.filled(condition, &stood.entries, &stood.fill, so);
            self.solved(stood, &formula, &[]).ok()
        })
    }

    /// The readings that a sentence names, sorted.
    pub(crate) fn readings(&self, source: Source) -> &[IndicationId] {
        self.place(source).and_then(|place| self.sources.get(place)).map_or(&[], |(_, readings)| readings)
    }

    fn place(&self, source: Source) -> Option<usize> {
        match source {
            Source::Rule(rule) => Some(rule.place()),
            Source::Shows(..) => self.sources.binary_search_by_key(&source, |(source, _)| *source).ok(),
        }
    }

    fn can_bear(&self, source: Source) -> Can {
        let Some(side) = self.side(source) else { return Can::Open };
        for stood in self.space.stand(side.condition, &[]) {
            let formula = self.space.filled(side.condition, &stood.entries, &stood.fill, side.want);
            if let Ok(joint) = self.solved(&stood, &formula, &[]) {
                return Can::Yes(joint);
            }
        }
        match large::never(self.book, side) {
            Answer::Cannot => Can::No,
            _ => match source {
                Source::Rule(rule) if applies_by_trial(self.book, rule) => Can::Tried,
                _ => Can::Open,
            },
        }
    }

    /// The faults that say something of one of these readings, in book order.
    pub(crate) fn speakers_of(&self, readings: &[IndicationId]) -> Vec<FaultId> {
        let lists = readings.iter().filter_map(|reading| self.speakers.get(reading.place()));
        let all: BTreeSet<FaultId> = lists.flatten().copied().collect();
        all.into_iter().collect()
    }

    /// Says that a question was left open.
    pub(crate) fn leave_open(&self) {
        self.open.fetch_add(1, Ordering::Relaxed);
    }

    /// How many questions were left open since this was last asked.
    pub(crate) fn take_open(&self) -> usize {
        self.open.swap(0, Ordering::Relaxed)
    }

    /// Whether one sentence can bear by the entries that a way of another needs.
    fn together(&self, first: Side<'_>, second: Side<'_>, spared: &[FaultId]) -> Option<Joint> {
        let named = readings(first.condition);
        if !decides_on(second, &named) {
            return None;
        }
        let mut open = false;
        for stood in self.space.stand(first.condition, &[second.condition]) {
            let formula = self.space.filled(first.condition, &stood.entries, &stood.fill, first.want);
            for way in ways(&formula, MOST_WAYS).into_iter().flatten() {
                let mut vars = Vec::new();
                way.vars(&mut vars);
                let entered = (stood.entries.as_slice(), vars.as_slice());
                let mut also = vec![self.space.formula_by(second.condition, entered.0, entered.1, second.want)];
                if also.first() == Some(&Formula::Never) {
                    continue;
                }
                also.extend(spared.iter().flat_map(|fault| self.not_excluded(&named, entered, *fault)));
                match self.solved(&stood, &way, &also) {
                    Ok(joint) => return Some(joint),
                    Err(more) => open |= more,
                }
            }
        }
        if open {
            self.leave_open();
        }
        None
    }

    /// Entries on which a formula and others hold; else whether that was left open.
    pub(crate) fn solved(&self, stood: &Stood, formula: &Formula, also: &[Formula]) -> Result<Joint, bool> {
        let mut open = false;
        let Some(ways) = ways(formula, MOST_WAYS) else { return Err(true) };
        for way in ways {
            let goals = std::iter::once(&way).chain(also);
            match solve(goals, System::new(stood.domains(self.book))) {
                Answer::Can(system) => {
                    let mut vars = Vec::new();
                    way.vars(&mut vars);
                    also.iter().for_each(|more| more.vars(&mut vars));
                    vars.sort_unstable();
                    return Ok(Joint { entries: stood.entries.clone(), vars, system });
                }
                Answer::Open => open = true,
                Answer::Cannot => {}
            }
        }
        Err(open)
    }
}

/// By reading the faults that say something of it.
fn speakers(book: &Book) -> Vec<Vec<FaultId>> {
    let mut all: Vec<BTreeSet<FaultId>> = vec![BTreeSet::new(); book.indications.len()];
    let mut add = |reading: IndicationId, fault: FaultId| {
        if let Some(list) = all.get_mut(reading.place()) {
            list.insert(fault);
        }
    };
    for fault in book.fault_ids() {
        for shows in &book.fault(fault).shows {
            shows.condition.slots.iter().for_each(|slot| add(slot.indication, fault));
        }
    }
    for circuit in &book.circuits {
        for fault in circuit.faults() {
            circuit.probes.iter().for_each(|probe| add(probe.reading, fault));
        }
    }
    all.into_iter().map(|list| list.into_iter().collect()).collect()
}

/// The condition of a sentence, and how it must come out to bear.
fn side(book: &Book, source: Source) -> Option<Side<'_>> {
    Some(match source {
        Source::Rule(rule) => Side { condition: &book.rules.get(rule.place())?.condition, want: true },
        Source::Shows(fault, nth) => {
            Side { condition: &book.faults.get(fault.place())?.shows.get(nth)?.condition, want: false }
        }
    })
}

/// Whether a condition could come out so if only these readings (sorted) were entered.
fn decides_on(side: Side<'_>, entered: &[IndicationId]) -> bool {
    decides(side.condition, &side.condition.node, side.want, entered)
}

fn decides(condition: &Condition, node: &Node, want: bool, entered: &[IndicationId]) -> bool {
    let is_entered =
        |slot: &SlotIx| condition.slot(*slot).is_some_and(|slot| entered.binary_search(&slot.indication).is_ok());
    match node {
        Node::Not(inner) => decides(condition, inner, !want, entered),
        Node::Finding(_, inner, _) => decides(condition, inner, want, entered),
        Node::All(parts) | Node::Any(parts) => {
            let mut each = parts.iter().map(|part| decides(condition, part, want, entered));
            if matches!(node, Node::All(_)) == want { each.all(|one| one) } else { each.any(|one| one) }
        }
        Node::Answer(slot, ..) => is_entered(slot),
        Node::Compare(comparison) => comparison.slots.iter().all(is_entered),
        Node::Signal(test) => test.slots.iter().all(is_entered),
    }
}

/// Whether a `shows` always holds.
pub(crate) fn is_plain(chance: Option<(u32, u32)>) -> bool {
    chance.is_none_or(|(m, n)| m >= n)
}

/// The readings and observations that a condition names, sorted.
pub(crate) fn readings(condition: &Condition) -> Vec<IndicationId> {
    let all: BTreeSet<IndicationId> = condition.slots.iter().map(|slot| slot.indication).collect();
    all.into_iter().collect()
}

/// The faults that a rule proves.
pub(crate) fn proves(book: &Book, rule: RuleId) -> Vec<FaultId> {
    let each = book.rule(rule).conclusions.iter().filter_map(|conclusion| match conclusion {
        Conclusion::Implies(faults) => Some(faults),
        _ => None,
    });
    each.flatten().copied().collect()
}

/// Whether a sentence that bears rules a fault out, a proof of another left aside.
pub(crate) fn excludes(book: &Book, source: Source, fault: FaultId) -> bool {
    match source {
        Source::Shows(of, _) => of == fault,
        Source::Rule(rule) => book.rule(rule).conclusions.iter().any(|conclusion| match conclusion {
            Conclusion::RulesOut(faults) => faults.contains(&fault),
            Conclusion::ImpliesOneOf(faults) => book.at_once == 1 && !faults.contains(&fault),
            _ => false,
        }),
    }
}
