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
use super::range::{Filled, Values, affine, range};

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
        let Some((low, high)) = self.ends() else { return };
        let mut used = Vec::new();
        sum.collect_slots(&mut used);
        let mut fixed: Vec<Option<(Exact, Exact)>> = vec![None; slots.len()];
        let mut own = Vec::new();
        for place in used {
            let Some(slot) = slots.get(place.place()) else { return };
            if self.is_own(slot, comparison) {
                own.push(place);
            } else if let (Some(value), Some(cell)) = (self.known(slot, comparison), fixed.get_mut(place.place())) {
                *cell = Some(value);
            } else {
                return;
            }
        }
        if own.is_empty() {
            return;
        }
        let around = &self.facts.job.surroundings;
        let with = |fixed: &[Option<Interval>], x: &Exact| -> Option<Interval> {
            let point = Interval::point(x.clone());
            let slots = fixed.iter().enumerate();
            let slots = slots
                .map(|(n, value)| if own.iter().any(|o| o.place() == n) { Some(&point) } else { value.as_ref() })
                .map(|value| value.map(Filled::range))
                .collect();
            range(sum, &Values { slots, around })
        };
        let filled = |of: &dyn Fn(&(Exact, Exact)) -> Interval| -> Vec<Option<Interval>> {
            fixed.iter().map(|value| value.as_ref().map(of)).collect()
        };
        let middles = filled(&|(centre, _)| Interval::point(centre.clone()));
        let wide = filled(&|(centre, half)| Interval::around(centre.clone(), half.clone()));
        let step = (&high - &low).checked_div(&Exact::from_int(PIECES)).unwrap_or_default();
        let at = |x: &Exact| with(&middles, x)?.centre();
        for (x, falls) in roots(&low, &high, at) {
            // By how much the sum may be off there, over how steep it is.
            let off = with(&wide, &x).and_then(|range| range.width()).unwrap_or_default();
            let rise = at(&(&x + &step)).zip(at(&x)).map_or_else(Exact::zero, |(after, here)| (&after - &here).abs());
            let margin = (&off * &step).checked_div(&rise).filter(|_| self.limits == Limits::Clear);
            let margin = margin.unwrap_or_default().half();
            self.add(x, if falls { Owner { lower: owner.upper, upper: owner.lower } } else { owner }, margin);
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

/// Into how many pieces a range is cut to look for changes of sign.
const PIECES: i64 = 48;
/// How often a piece is halved then: the cut is good to a millionth of the piece.
const HALVINGS: usize = 20;

/// Where a function changes its sign between two ends, and whether it falls there.
fn roots(low: &Exact, high: &Exact, at: impl Fn(&Exact) -> Option<Exact>) -> Vec<(Exact, bool)> {
    let Some(step) = (high - low).checked_div(&Exact::from_int(PIECES)) else { return Vec::new() };
    let points: Vec<(Exact, Option<bool>)> = (0..=PIECES)
        .map(|n| {
            let x = low + &(&step * &Exact::from_int(n));
            let negative = at(&x).map(|y| y.is_negative());
            (x, negative)
        })
        .collect();
    let mut found = Vec::new();
    for pair in points.windows(2) {
        let [(from, Some(before)), (to, Some(after))] = pair else { continue };
        if before == after {
            continue;
        }
        let (mut a, mut b) = (from.clone(), to.clone());
        for _ in 0..HALVINGS {
            let middle = (&a + &b).half();
            match at(&middle).map(|y| y.is_negative()) {
                Some(negative) if negative == *before => a = middle,
                Some(_) => b = middle,
                None => break,
            }
        }
        let middle = (&a + &b).half();
        let width = (&b - &a).to_f64();
        found.push((tidy(&middle, width), *after));
    }
    found
}

/// The number with the fewest decimals within a width: a cut at 12.5000003 is meant to be 12.5.
fn tidy(number: &Exact, width: f64) -> Exact {
    (0..12)
        .map(|decimals| number.rounded(decimals))
        .find(|short| (short - number).abs().to_f64() <= width)
        .unwrap_or_else(|| number.clone())
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
