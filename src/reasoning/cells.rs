//! The answers that a test can have: those of an observation, or the ranges between the limits that the book names
//! for a reading in that setup. An author writes no list of them; they follow from the conditions, tolerance lines and
//! bands.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{
    Book, Comparison, Condition, IndicationId, IndicationKind, Mask, Node, Reading, Setup, Slot, SlotIx, Test,
    ToleranceLine, ToleranceSide, Value,
};
use crate::job::{Entry, EntryValue, Recording};
use crate::units::{Bound, Exact, Interval};

use super::facts::Facts;
use super::range::affine;
use super::roots::{Bent, Fill};

/// One answer of a test.
#[derive(Clone, PartialEq, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "few at a time and walked by reference; boxing would only blur the pattern"
)]
pub enum Cell {
    /// An answer of an observation, as a set of one.
    Answer(Mask),
    /// Whether a log shows what the book asks of it there; a reading that is asked for nothing else.
    Log(bool),
    /// A range of a reading.
    Range {
        /// What lies between the limits, the limits left out, cut off at what is physically possible.
        inside: Interval,
        /// The same with the limits that belong to it, open outwards at both ends of the scale.
        owned: Interval,
    },
}

impl Cell {
    /// The cell as the value of an entry.
    pub fn value(&self) -> EntryValue {
        match self {
            Cell::Answer(mask) => EntryValue::Answer(*mask),
            Cell::Log(_) => EntryValue::Interval(Interval::everything()),
            Cell::Range { inside, .. } => EntryValue::Interval(inside.clone()),
        }
    }

    /// The cell as an entry that nobody took.
    pub fn entry(&self, book: &Book, indication: IndicationId, setup: &Setup, epoch: usize) -> Entry {
        let mut entry = Entry::supposed(indication, self.value(), setup.clone(), epoch);
        let unit = book.indication(indication).reading().and_then(|reading| reading.unit);
        if let (Cell::Log(seen), Some(unit)) = (self, unit) {
            entry.recording = Some(Arc::new(Recording::supposed(unit, *seen)));
        }
        entry
    }

    /// Whether an entry may lie in it.
    pub fn meets(&self, value: &EntryValue) -> bool {
        match (self, value) {
            (Cell::Answer(mask), EntryValue::Answer(given)) => mask & given != 0,
            // What a log shows is told by the `shows` that ask it.
            (Cell::Log(_), EntryValue::Interval(_)) => true,
            (Cell::Range { owned, .. }, EntryValue::Interval(interval)) => owned.intersects(interval),
            _ => false,
        }
    }
}

/// To which side a limit itself belongs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Owner {
    lower: bool,
    upper: bool,
}

const LOWER: Owner = Owner { lower: true, upper: false };
const UPPER: Owner = Owner { lower: false, upper: true };

/// Which limits count.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Limits {
    /// Only those that are numbers.
    Fixed,
    /// Also those that hang on other readings that are entered, at the middle of their entries.
    Known,
    /// The same, and what lies inside keeps clear of a limit by what the other readings may be off: any value inside decides.
    Clear,
}

/// The cells of a test, lowest first, or answers in book order; a reading without limits is one cell.
pub fn cells(facts: &Facts<'_>, indication: IndicationId, setup: &Setup, limits: Limits) -> Vec<Cell> {
    cells_cut_at(facts, indication, setup, limits, &[])
}

/// The same, a reading cut at some values more, in base units.
pub fn cells_cut_at(
    facts: &Facts<'_>,
    indication: IndicationId,
    setup: &Setup,
    limits: Limits,
    more: &[Exact],
) -> Vec<Cell> {
    match &facts.book.indication(indication).kind {
        IndicationKind::Observation(observation) => {
            (0..observation.answers.len().min(64)).map(|n| Cell::Answer(1 << n)).collect()
        }
        IndicationKind::Reading(reading) => {
            let anything = EntryValue::Interval(Interval::everything());
            let probe = Entry::supposed(indication, anything, setup.clone(), facts.job.epoch());
            let mut cutter = Cutter { facts, probe, limits, cuts: BTreeMap::new() };
            cutter.all(reading);
            more.iter().for_each(|at| cutter.add(at.clone(), UPPER, Exact::zero()));
            if cutter.cuts.is_empty() && reading.unit.is_some() && cutter.asks_a_log() {
                return vec![Cell::Log(false), Cell::Log(true)];
            }
            ranges(reading, &cutter.cuts)
        }
    }
}

struct Cutter<'a, 'f> {
    facts: &'a Facts<'f>,
    /// An entry of the reading under the setup of the test, of any value.
    probe: Entry,
    limits: Limits,
    cuts: BTreeMap<Exact, Cut>,
}

/// Where a range is cut.
#[derive(Clone, Debug)]
struct Cut {
    owner: Owner,
    /// How far off the limit may be, where it hangs on other entries.
    margin: Exact,
}

impl Cutter<'_, '_> {
    /// Whether the book asks a log of the reading by itself in this setup.
    fn asks_a_log(&self) -> bool {
        let book = self.facts.book;
        let uses = book.uses_of(self.probe.indication).map_or(&[][..], |uses| &uses.conditions);
        let fits = |slot: &Slot| self.facts.fits(slot, &self.probe, &[]);
        let asked = uses.iter().filter_map(|which| book.condition(*which)).filter(|condition| condition.asks_a_log());
        asked.into_iter().any(|condition| condition.slots.iter().any(fits))
    }

    fn all(&mut self, reading: &Reading) {
        let book = self.facts.book;
        for limit in reading.bands.iter().flat_map(|band| &band.low) {
            self.add(limit.clone(), UPPER, Exact::zero());
        }
        let uses = book.uses_of(self.probe.indication).map_or(&[][..], |uses| &uses.conditions);
        let asked = uses.iter().filter_map(|which| book.condition(*which));
        for condition in asked.chain(book.tolerance_test(self.probe.indication)) {
            self.node(condition, &condition.node);
        }
    }

    fn node(&mut self, condition: &Condition, node: &Node) {
        match node {
            Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| self.node(condition, part)),
            Node::Not(inner) | Node::Finding(_, inner, _) => self.node(condition, inner),
            Node::Answer(..) => {}
            // One sample can tell `ever` and `always`, at the limit of their comparison.
            Node::Signal(test) if test.one_sample_tells() => self.comparison(condition, &test.what.comparison),
            Node::Signal(_) => {}
            Node::Compare(comparison) => self.comparison(condition, comparison),
        }
    }

    fn comparison(&mut self, condition: &Condition, comparison: &Comparison) {
        let slots = &condition.slots;
        let own = |slot: &SlotIx| slots.get(slot.place()).is_some_and(|s| s.indication == self.probe.indication);
        if !matches!(comparison.test, Test::Tolerance(..)) && !comparison.slots.iter().any(own) {
            return;
        }
        let limit = |end: &Option<Exact>| end.as_ref().map(|e| (Value::Constant(e.clone()), UPPER));
        let limits: Vec<(Value, Owner)> = match &comparison.test {
            Test::Below(x) | Test::AtLeast(x) => vec![(x.clone(), UPPER)],
            Test::Above(x) | Test::AtMost(x) => vec![(x.clone(), LOWER)],
            Test::Between(x, y) | Test::Outside(x, y) => vec![(x.clone(), UPPER), (y.clone(), LOWER)],
            Test::Band(low, high) => [limit(low), limit(high)].into_iter().flatten().collect(),
            Test::Tolerance(side, lines) => self.tolerance(slots, comparison, *side, lines),
        };
        let single = match &comparison.subject {
            Value::Slot(slot) => slots.get(slot.place()),
            _ => None,
        };
        for (limit, owner) in limits {
            // The common case: a reading by itself against a number.
            if let (Some(slot), Value::Constant(at)) = (single, &limit) {
                if self.is_own(slot, comparison) {
                    self.add(at.clone(), owner, Exact::zero());
                }
                continue;
            }
            self.cut(slots, comparison, &Value::difference(comparison.subject.clone(), limit), owner);
        }
    }

    /// The limits of the tolerance lines that hold in this setup.
    fn tolerance(
        &self,
        slots: &[Slot],
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[ToleranceLine],
    ) -> Vec<(Value, Owner)> {
        let holds = |line: &&ToleranceLine| line.demand.holds(&self.probe.setup);
        let most = lines.iter().filter(holds).map(|line| line.named).max();
        let chosen: Vec<&ToleranceLine> = lines.iter().filter(holds).filter(|line| Some(line.named) == most).collect();
        let changes: Vec<_> = chosen.iter().flat_map(|line| line.changes.iter().copied()).collect();
        let mut subject = Vec::new();
        comparison.subject.collect_slots(&mut subject);
        let own = subject
            .iter()
            .filter_map(|slot| slots.get(slot.place()))
            .filter(|slot| slot.indication == self.probe.indication);
        if own.into_iter().any(|slot| !self.facts.fits(slot, &self.probe, &changes)) {
            return Vec::new();
        }
        let both = chosen.iter().flat_map(|line| match side {
            ToleranceSide::In | ToleranceSide::Out => vec![(line.low.clone(), UPPER), (line.high.clone(), LOWER)],
            ToleranceSide::Below => vec![(line.low.clone(), UPPER)],
            ToleranceSide::Above => vec![(line.high.clone(), LOWER)],
        });
        both.collect()
    }

    /// Cuts where a sum of the reading is nought.
    fn cut(&mut self, slots: &[Slot], comparison: &Comparison, sum: &Value, owner: Owner) {
        let turned = Owner { lower: owner.upper, upper: owner.lower };
        let Some(straight) = affine(sum) else {
            self.cut_bent(slots, comparison, sum, owner);
            return;
        };
        let mut constant = straight.constant;
        let (mut factor, mut off) = (Exact::zero(), Exact::zero());
        for (place, share) in &straight.factors {
            let Some(slot) = slots.get(place.place()) else { return };
            if self.is_own(slot, comparison) {
                factor = &factor + share;
                continue;
            }
            let Some(value) = self.known(slot, comparison) else { return };
            let (centre, half) = value;
            constant = &constant + &(share * &centre);
            off = &off + &(share.abs() * half);
        }
        if let (Some(at), Some(margin)) = ((-constant).checked_div(&factor), off.checked_div(&factor.abs())) {
            let margin = if self.limits == Limits::Clear { margin } else { Exact::zero() };
            self.add(at, if factor.is_negative() { turned } else { owner }, margin);
        }
    }

    fn is_own(&self, slot: &Slot, comparison: &Comparison) -> bool {
        slot.indication == self.probe.indication && self.facts.fits(slot, &self.probe, &comparison.loose)
    }

    /// The same where the sum is no straight line in the reading: by looking for changes of sign over its range.
    fn cut_bent(&mut self, slots: &[Slot], comparison: &Comparison, sum: &Value, owner: Owner) {
        let Some(ends) = self.ends() else { return };
        let mut used = Vec::new();
        sum.collect_slots(&mut used);
        let mut fills = vec![Fill::Nothing; slots.len()];
        for place in used {
            let Some((slot, fill)) = slots.get(place.place()).zip(fills.get_mut(place.place())) else { return };
            if self.is_own(slot, comparison) {
                *fill = Fill::Own;
            } else if let Some((centre, half)) = self.known(slot, comparison) {
                *fill = Fill::Known(centre, half);
            } else {
                return;
            }
        }
        if !fills.contains(&Fill::Own) {
            return;
        }
        let bent = Bent { sum, fills: &fills, ends, around: &self.facts.job.surroundings };
        for root in &*bent.roots() {
            let margin = if self.limits == Limits::Clear { root.margin.clone() } else { Exact::zero() };
            let falling = Owner { lower: owner.upper, upper: owner.lower };
            self.add(root.at.clone(), if root.falls { falling } else { owner }, margin);
        }
    }

    fn ends(&self) -> Option<(Exact, Exact)> {
        let reading = self.facts.book.indication(self.probe.indication).reading()?;
        let (low, high) = reading.range.as_ref()?;
        Some((low.value()?.clone(), high.value()?.clone()))
    }

    /// The middle of what is entered in another slot of the same comparison, and how far off it may be.
    fn known(&self, slot: &Slot, comparison: &Comparison) -> Option<(Exact, Exact)> {
        if self.limits == Limits::Fixed {
            return None;
        }
        let entries = self.facts.entries(slot.indication).iter().rev().filter_map(|id| self.facts.entry(*id));
        let mut fitting = entries.filter(|entry| {
            self.facts.fits(slot, entry, &comparison.loose) && self.facts.same_setup(entry, &self.probe)
        });
        match &fitting.next()?.value {
            EntryValue::Interval(interval) => Some((interval.centre()?, interval.width()?.half())),
            _ => None,
        }
    }

    fn add(&mut self, at: Exact, owner: Owner, margin: Exact) {
        let found = self.cuts.entry(at).or_insert_with(|| Cut { owner, margin: Exact::zero() });
        found.owner = Owner { lower: found.owner.lower || owner.lower, upper: found.owner.upper || owner.upper };
        found.margin = found.margin.clone().max(margin);
    }
}

/// The ranges between cuts, those left out that are physically impossible.
fn ranges(reading: &Reading, cuts: &BTreeMap<Exact, Cut>) -> Vec<Cell> {
    let (least, most) = match &reading.range {
        Some((low, high)) => (low.value().cloned(), high.value().cloned()),
        None => (None, None),
    };
    let possible = |at: &Exact| least.as_ref().is_none_or(|low| at > low) && most.as_ref().is_none_or(|high| at < high);
    let cuts: Vec<(&Exact, &Cut)> = cuts.iter().filter(|(at, _)| possible(at)).collect();
    let outer = |end: &Option<Exact>| end.clone().map_or(Bound::Unbounded, Bound::Closed);
    let mut cells = Vec::with_capacity(cuts.len() + 1);
    for place in 0..=cuts.len() {
        let (below, above) = (place.checked_sub(1).and_then(|place| cuts.get(place)), cuts.get(place));
        let inside = |clear: bool| {
            let margin = |cut: &Cut| if clear { cut.margin.clone() } else { Exact::zero() };
            let low = below.map_or_else(|| outer(&least), |(at, cut)| Bound::Open(*at + &margin(cut)));
            let high = above.map_or_else(|| outer(&most), |(at, cut)| Bound::Open(*at - &margin(cut)));
            Interval { low, high }
        };
        let owned = |at: &Exact, is: bool| if is { Bound::Closed(at.clone()) } else { Bound::Open(at.clone()) };
        let owned = Interval {
            low: below.map_or(Bound::Unbounded, |(at, cut)| owned(at, cut.owner.upper)),
            high: above.map_or(Bound::Unbounded, |(at, cut)| owned(at, cut.owner.lower)),
        };
        // Where the margins leave nothing, the limits themselves are the ends.
        let clear = inside(true);
        let is_left = clear.width().is_none_or(|width| !width.is_negative() && !width.is_zero());
        cells.push(Cell::Range { inside: if is_left { clear } else { inside(false) }, owned });
    }
    cells
}
