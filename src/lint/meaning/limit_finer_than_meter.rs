//! Limits that the book's own meter can't decide.

use std::collections::BTreeSet;

use crate::book::{Book, Comparison, Condition, ConditionRef, IndicationId, SlotIx, Test, Value};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::solve::{Answer, solve};
use crate::lint::space::stood::each_comparison;
use crate::lint::space::system::{Domain, System};
use crate::lint::subject::Subject;
use crate::source::Span;
use crate::units::{Bound, Exact, Interval};

use super::claim::{Claim, Witness};
use super::sides::{Joint, Sides};

check! {
    /// Finds: a comparison with a number that no display of the reading's `meter` line can decide one way: what would
    /// make it true, or false, is narrower than the meter's own error there. A display is a whole number of the line's
    /// last digits within the reading's `from … to …`, or `OL` above it. Readings without a `meter` line are passed over,
    /// for then the digits typed decide.
    ///
    /// Harm: it is *too close to call* for ever, and the rule that hangs on it never speaks.
    ///
    /// Bad:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   takes 2 min
    ///   meter 0.5 % + 2 digits of 0.01 V
    /// rule dead feed:
    ///   supply at fan connector below 0.02 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   takes 2 min
    ///   meter 0.5 % + 2 digits of 0.01 V
    /// rule dead feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    "limit-finer-than-meter", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let mut said: BTreeSet<Span> = BTreeSet::new();
    for (which, condition) in book.conditions() {
        each_comparison(&condition.node, &mut |comparison| {
            if !subject.is_own(comparison.span) || said.contains(&comparison.span) {
                return;
            }
            let Some((so, at)) = undecided(book, condition, comparison) else { return };
            said.insert(comparison.span);
            let words = book.sources.slice(comparison.span);
            let so = if so { "true" } else { "false" };
            found.add(
                Finding::at(comparison.span, format!("`{words}` can never be {so} by this book's meter"))
                    .here("what would decide it is narrower than the meter's error")
                    .help("move the limit away from what it is to be told from, or give the reading a better `meter`")
                    .witness(witness(sides, which, condition, at)),
            );
        });
    }
}

/// The way in which a comparison can't come out; the place of its reading, and displays in and beside the values that would
/// be needed, in base units.
fn undecided(book: &Book, condition: &Condition, comparison: &Comparison) -> Option<(bool, (SlotIx, Vec<Interval>))> {
    let Value::Slot(slot) = comparison.subject else { return None };
    let id = condition.slot(slot)?.indication;
    let meter = Meter::of(book, id)?;
    let (holds, fails) = regions(&comparison.test)?;
    for (so, regions) in [(true, holds), (false, fails)] {
        let possible: Vec<Interval> =
            regions.iter().filter_map(|region| region.intersection(&meter.possible)).collect();
        // Outside of what is possible other checks have said it.
        if !possible.is_empty() && !regions.iter().any(|region| meter.decides(region)) {
            return possible.into_iter().next().map(|room| (so, (slot, meter.displays(&room))));
        }
    }
    None
}

/// The ranges in which a test is true, and those in which it is false.
fn regions(test: &Test) -> Option<(Vec<Interval>, Vec<Interval>)> {
    let at_least = |x: &Exact| Interval { low: Bound::Closed(x.clone()), high: Bound::Unbounded };
    let at_most = |x: &Exact| Interval { low: Bound::Unbounded, high: Bound::Closed(x.clone()) };
    let (below, above) = (|x: &Exact| Interval::below(x.clone()), |x: &Exact| Interval::above(x.clone()));
    Some(match test {
        Test::Below(x) => (vec![below(x.as_constant()?)], vec![at_least(x.as_constant()?)]),
        Test::AtLeast(x) => (vec![at_least(x.as_constant()?)], vec![below(x.as_constant()?)]),
        Test::Above(x) => (vec![above(x.as_constant()?)], vec![at_most(x.as_constant()?)]),
        Test::AtMost(x) => (vec![at_most(x.as_constant()?)], vec![above(x.as_constant()?)]),
        Test::Between(x, y) | Test::Outside(x, y) => {
            let (x, y) = (x.as_constant()?, y.as_constant()?);
            let inside = vec![Interval { low: Bound::Closed(x.clone()), high: Bound::Closed(y.clone()) }];
            let outside = vec![below(x), above(y)];
            if matches!(test, Test::Between(..)) { (inside, outside) } else { (outside, inside) }
        }
        Test::Band(..) | Test::Tolerance(..) => return None,
    })
}

/// The meter of a reading, in base units: an error of a share of what is shown and a fixed amount.
struct Meter {
    share: Exact,
    fixed: Exact,
    possible: Interval,
    /// The worth of the last digit, and what the display shows as nought.
    digit: Option<Exact>,
    nought: Exact,
}

impl Meter {
    fn of(book: &Book, id: IndicationId) -> Option<Self> {
        let reading = book.indication(id).reading()?;
        let (meter, (low, high)) = (reading.meter.as_ref()?, reading.range.as_ref()?);
        // A share of degC is none of K: such meters are left alone.
        let nought = reading.unit.map(|unit| unit.to_base(&Exact::zero()));
        if !meter.percent.is_zero() && nought.as_ref().is_some_and(|nought| !nought.is_zero()) {
            return None;
        }
        let fixed = &meter.counts * &meter.digit.clone().unwrap_or_default();
        let possible = Interval { low: low.clone(), high: high.clone() };
        let (share, digit, nought) =
            (&meter.percent * &Exact::pow10(-2), meter.digit.clone(), nought.unwrap_or_default());
        Some(Self { share, fixed, possible, digit, nought })
    }

    /// The lowest display that is no less: a whole number of last digits.
    fn display_from(&self, value: &Exact) -> Exact {
        let Some((digit, digits)) =
            self.digit.as_ref().and_then(|digit| Some((digit, (value - &self.nought).checked_div(digit)?)))
        else {
            return value.clone();
        };
        let whole = digits.rounded(0);
        let whole = if whole < digits { whole + Exact::one() } else { whole };
        &self.nought + &(&whole * digit)
    }

    /// A display in a range where there is one, and those beside it; without last digits the range itself.
    fn displays(&self, room: &Interval) -> Vec<Interval> {
        let (Some(digit), Some(low)) = (&self.digit, room.low.value()) else { return vec![room.clone()] };
        let high = room.high.value().unwrap_or(low);
        let middle = self.display_from(&(low + high).half());
        let (first, last) = (self.display_from(low), self.display_from(high));
        let beside = [&first - digit, &middle - digit];
        [middle, first, last].into_iter().chain(beside).map(Interval::point).collect()
    }

    /// Whether some display lies in a range with all its error.
    fn decides(&self, region: &Interval) -> bool {
        let (Some(least), Some(most)) = (self.possible.low.value(), self.possible.high.value()) else { return true };
        // The lowest display whose error does not reach below the range.
        let shown = match region.low.value() {
            None => self.display_from(least),
            Some(low) => {
                let sum = low + &self.fixed;
                let factor = if sum.is_negative() { Exact::one() + &self.share } else { Exact::one() - &self.share };
                let Some(shown) = sum.checked_div(&factor) else { return true };
                self.display_from(&shown.max(least.clone()))
            }
        };
        let Some(high) = region.high.value() else {
            // `OL` lies above all that can be shown.
            return region.low.value().is_none_or(|low| low <= most);
        };
        let reach = &shown + &(shown.abs() * &self.share + &self.fixed);
        shown <= *most && (reach < *high || (region.high.is_closed() && reach == *high))
    }
}

/// A display in the middle of what would be needed, where can be with all else so that it hangs on this.
fn witness(
    sides: &Sides<'_>,
    which: ConditionRef,
    condition: &Condition,
    (slot, displays): (SlotIx, Vec<Interval>),
) -> Option<Witness> {
    let claim = match which {
        ConditionRef::Rule(rule) => Claim::DoesNotApply(rule),
        ConditionRef::Shows(fault, _) => Claim::NotRuledOut(fault),
        _ => return None,
    };
    let want = matches!(claim, Claim::DoesNotApply(_));
    sides.space.stand(condition, &[]).iter().find_map(|stood| {
        let var = stood.fill.get(slot.place()).copied().flatten()?;
        let formulas = [want, !want].map(|so| sides.space.filled(condition, &stood.entries, &stood.fill, so));
        displays.iter().find_map(|display| {
            let mut domains = stood.domains(sides.book);
            match domains.get_mut(var)? {
                Domain::Number(range) => *range = range.intersection(display)?,
                Domain::Answers(_) => return None,
            }
            formulas.iter().find_map(|formula| {
                let Answer::Can(system) = solve([formula], System::new(domains.clone())) else { return None };
                let joint = Joint { entries: stood.entries.clone(), vars: (0..stood.entries.len()).collect(), system };
                joint.shows(sides.book, claim.clone())
            })
        })
    })
}
