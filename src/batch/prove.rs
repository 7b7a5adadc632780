//! Every way in which the columns of a layout could decide a condition. This walks a condition by the same
//! [`Walk`] as the search for a choice does in one job, with one entry a column whose value is not known yet; where that
//! search asks what a value is, this one notes the comparison and goes on.

use crate::book::{Comparison, Condition, Mask, SignalTest, SlotIx, Test, ToleranceLine, ToleranceSide, Value};
use crate::reasoning::Facts;
use crate::reasoning::walk::{Goal, Ground, Walk};
use crate::units::Exact;

use super::compile::Weigher;
use super::fixed::Side;

/// The most steps of one condition; one that needs more is left to the ordinary judge.
const MOST_STEPS: usize = 20_000;
/// The most ways of one condition.
const MOST_WAYS: usize = 256;

/// One comparison that must hold.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Need {
    /// A cell is at least that.
    Cell(u32, i64),
    /// These columns decide it in a way that whole numbers can't tell.
    Hard(Vec<u32>),
    /// It never holds.
    Never,
}

/// The comparisons that make a condition so, all together.
pub(super) type Way = Vec<Need>;

/// Every way to make a condition true (or false). None where there are too many.
pub(super) fn ways(
    facts: &Facts<'_>,
    condition: &Condition,
    want: bool,
    weigher: &mut Weigher<'_>,
) -> Option<Vec<Way>> {
    let ground = Ground::new(facts, condition);
    let mut prover = Prover { ground, weigher, needs: Vec::new(), ways: Vec::new(), steps: 0 };
    prover.walk(want);
    let whole = prover.steps <= MOST_STEPS && prover.ways.len() <= MOST_WAYS;
    whole.then_some(prover.ways)
}

struct Prover<'a, 'f, 'w> {
    ground: Ground<'a, 'f>,
    weigher: &'a mut Weigher<'w>,
    needs: Way,
    ways: Vec<Way>,
    steps: usize,
}

impl<'a, 'f: 'a> Walk<'a, 'f> for Prover<'a, 'f, '_> {
    fn ground(&self) -> &Ground<'a, 'f> {
        &self.ground
    }

    fn ground_mut(&mut self) -> &mut Ground<'a, 'f> {
        &mut self.ground
    }

    fn step(&mut self) -> bool {
        self.steps += 1;
        self.steps <= MOST_STEPS && self.ways.len() <= MOST_WAYS
    }

    fn arrived(&mut self) {
        if !self.ways.contains(&self.needs) {
            self.ways.push(self.needs.clone());
        }
    }

    fn answer(&mut self, slot: SlotIx, mask: Mask, want: bool, next: Option<&Goal<'_>>) {
        self.with_each(self.answers(slot, mask, want), next);
    }

    fn test(&mut self, comparison: &Comparison, test: &Test, want: bool, next: Option<&Goal<'_>>) {
        let ways = self.ways_to(&comparison.subject, test, want);
        self.with_each(ways, next);
    }

    fn tolerance(
        &mut self,
        comparison: &Comparison,
        side: ToleranceSide,
        lines: &[&ToleranceLine],
        want: bool,
        next: Option<&Goal<'_>>,
    ) {
        let ways = self.against_lines(&comparison.subject, side, lines, want);
        self.with_each(ways, next);
    }

    fn signal(&mut self, test: &SignalTest, _: bool, next: Option<&Goal<'_>>) {
        // What a log shows is no whole number.
        let columns = test.slots.iter().filter_map(|slot| self.column(*slot)).collect();
        self.with(vec![Need::Hard(columns)], next);
    }
}

impl Prover<'_, '_, '_> {
    fn with_each(&mut self, ways: Vec<Way>, next: Option<&Goal<'_>>) {
        for way in ways {
            self.with(way, next);
        }
    }

    /// Goes on with some needs more.
    fn with(&mut self, needs: Way, next: Option<&Goal<'_>>) {
        if needs.contains(&Need::Never) {
            return;
        }
        let before = self.needs.len();
        for need in needs {
            if !self.needs.contains(&need) {
                self.needs.push(need);
            }
        }
        self.go_on(next);
        self.needs.truncate(before);
    }

    /// The runs of answers that will do.
    fn answers(&self, slot: SlotIx, mask: Mask, want: bool) -> Vec<Way> {
        let Some(column) = self.column(slot) else { return Vec::new() };
        let count = self
            .ground
            .condition
            .slot(slot)
            .and_then(|slot| self.ground.facts.book.indication(slot.indication).observation());
        let count = count.map_or(0, |observation| observation.answers.len().min(64));
        let will_do = |answer: usize| answer < count && (mask & (1 << answer) != 0) == want;
        let starts = (0..count).filter(|n| will_do(*n) && (*n == 0 || !will_do(n - 1)));
        starts
            .map(|first| {
                let last = (first..count).take_while(|n| will_do(*n)).last().unwrap_or(first);
                let place = |answer: usize| 2 * i64::try_from(answer).unwrap_or(0);
                vec![Need::Cell(2 * column, place(first)), Need::Cell(2 * column + 1, -place(last))]
            })
            .collect()
    }

    fn column(&self, slot: SlotIx) -> Option<u32> {
        self.ground.chosen(slot).map(|id| id.0)
    }

    /// In tolerance is within all lines, out is out of any; below and above are so of any.
    fn against_lines(
        &mut self,
        subject: &Value,
        side: ToleranceSide,
        lines: &[&ToleranceLine],
        want: bool,
    ) -> Vec<Way> {
        let within = |line: &ToleranceLine| Test::Between(line.low.clone(), line.high.clone());
        let (tests, all): (Vec<(Test, bool)>, bool) = match (side, want) {
            (ToleranceSide::In, true) | (ToleranceSide::Out, false) => {
                (lines.iter().map(|line| (within(line), true)).collect(), true)
            }
            (ToleranceSide::In, false) | (ToleranceSide::Out, true) => {
                (lines.iter().map(|line| (within(line), false)).collect(), false)
            }
            (ToleranceSide::Below, _) => {
                (lines.iter().map(|line| (Test::Below(line.low.clone()), want)).collect(), !want)
            }
            (ToleranceSide::Above, _) => {
                (lines.iter().map(|line| (Test::Above(line.high.clone()), want)).collect(), !want)
            }
        };
        let each: Vec<Vec<Way>> = tests.iter().map(|(test, want)| self.ways_to(subject, test, *want)).collect();
        if all { all_of(&each) } else { each.into_iter().flatten().collect() }
    }

    /// The ways to make one comparison so.
    fn ways_to(&mut self, subject: &Value, test: &Test, want: bool) -> Vec<Way> {
        let value = |limit: &Exact| Value::Constant(limit.clone());
        // Each limit with what is asked of the subject if it is to hold, and if it is to fail.
        let limits: Vec<(Value, Side, Side)> = match test {
            Test::Below(x) => vec![(x.clone(), Side::Less, Side::AtLeast)],
            Test::AtLeast(x) => vec![(x.clone(), Side::AtLeast, Side::Less)],
            Test::Above(x) => vec![(x.clone(), Side::More, Side::AtMost)],
            Test::AtMost(x) => vec![(x.clone(), Side::AtMost, Side::More)],
            Test::Between(x, y) => vec![(x.clone(), Side::AtLeast, Side::Less), (y.clone(), Side::AtMost, Side::More)],
            // Outside holds where one of the two fails to be within.
            Test::Outside(x, y) => vec![(x.clone(), Side::AtLeast, Side::Less), (y.clone(), Side::AtMost, Side::More)],
            Test::Band(low, high) => {
                let low = low.iter().map(|x| (value(x), Side::AtLeast, Side::Less));
                low.chain(high.iter().map(|x| (value(x), Side::Less, Side::AtLeast))).collect()
            }
            Test::Tolerance(..) => return Vec::new(),
        };
        let within = want != matches!(test, Test::Outside(..));
        let each: Vec<Vec<Way>> = limits
            .into_iter()
            .map(|(limit, holds, fails)| {
                let sum = Value::difference(subject.clone(), limit);
                self.weigher.ways(&self.ground.slots, &sum, if within { holds } else { fails })
            })
            .collect();
        if within { all_of(&each) } else { each.into_iter().flatten().collect() }
    }
}

/// One way of each, joined.
fn all_of(each: &[Vec<Way>]) -> Vec<Way> {
    each.iter().fold(vec![Vec::new()], |joined: Vec<Way>, ways| {
        joined
            .iter()
            .flat_map(|so_far| ways.iter().map(move |way| so_far.iter().chain(way).cloned().collect()))
            .collect()
    })
}
