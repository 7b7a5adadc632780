//! Tests that tell something only together: a rule over several readings says nothing until all of them are taken.

use std::collections::BTreeMap;

use crate::book::{Asked, Book, Conclusion, ConditionRef, FaultId, IndicationId, RuleId, Setup, Slot};
use crate::job::Entry;
use crate::reasoning::cells::Cell;
use crate::reasoning::likelihood::Table;

use super::candidates::{Candidate, candidate};
use super::coupled::coupled;
use super::outlook::{Asking, Outlook};
use super::pool::{Pool, Rows, information};
use super::recipe::ways;
use super::stopping::Stopping;

/// The most tests of a bundle.
pub(super) const MOST_TESTS: usize = 4;
/// The most combinations of answers that a bundle is weighed by.
pub(super) const MOST_ANSWERS: usize = 256;

/// Tests that are taken one after the other to decide conditions over several of them.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Bundle {
    /// The tests in order, each set up from where the one before leaves the vehicle.
    pub(crate) tests: Vec<Candidate>,
    /// A condition that they decide.
    pub(crate) decides: ConditionRef,
    /// Expected information, in bits, of as many as are taken.
    pub(crate) gain: f64,
    /// How long they take on average: the rest is left out once an answer makes them pointless.
    pub(crate) seconds: f64,
}

/// What is missing for some conditions: tests by indication and the way it is asked for.
pub(super) type Missing = Vec<(IndicationId, Asked)>;

/// Outlooks that were worked out already.
pub(crate) struct Shelf<'a> {
    asking: &'a Asking<'a>,
    pool: &'a Pool,
    known: Vec<(Candidate, Outlook, Rows)>,
}

impl<'a> Shelf<'a> {
    /// An empty one.
    pub(crate) fn new(asking: &'a Asking<'a>, pool: &'a Pool) -> Self {
        Self { asking, pool, known: Vec::new() }
    }

    /// The outlook of a test and its rows.
    pub(crate) fn get(&mut self, test: &Candidate) -> (&Outlook, &Rows) {
        let same =
            |known: &(Candidate, Outlook, Rows)| known.0.indication == test.indication && known.0.setup == test.setup;
        let at = self.known.iter().position(same).unwrap_or_else(|| {
            let outlook = self.asking.outlook(test);
            let rows = self.pool.rows(self.asking, &outlook.table);
            self.known.push((test.clone(), outlook, rows));
            self.known.len() - 1
        });
        let (_, outlook, rows) = &self.known[at];
        (outlook, rows)
    }
}

/// Every bundle of two tests or more that tells something.
pub(crate) fn bundles(asking: &Asking<'_>, pool: &Pool, shelf: &mut Shelf<'_>) -> Vec<Bundle> {
    let facts = asking.facts();
    let mut wanted: BTreeMap<Missing, Vec<ConditionRef>> = BTreeMap::new();
    for (which, condition) in asking.book.conditions().filter(|(which, _)| matters(asking, pool, *which)) {
        let wants: &[bool] = if matches!(which, ConditionRef::Rule(_)) { &[true] } else { &[true, false] };
        for way in wants.iter().flat_map(|want| ways(&facts, condition, *want)) {
            let slots: Vec<&Slot> = way.iter().filter_map(|slot| condition.slot(*slot)).collect();
            if let Some(missing) = missing(asking.book, &slots).filter(|m| m.len() <= MOST_TESTS) {
                let list = wanted.entry(missing).or_default();
                if !list.contains(&which) {
                    list.push(which);
                }
            }
        }
    }
    let several = wanted.iter().filter(|(missing, _)| missing.len() > 1);
    let mut all = Vec::new();
    for (missing, _) in several {
        let Some(tests) = chain(asking, missing) else { continue };
        let conditions = within(&wanted, missing);
        all.extend(coupled(asking, pool, shelf, &tests, &conditions));
        all.extend(weigh(asking, pool, shelf, tests, &conditions));
    }
    all
}

/// Whether a condition can still tell something.
fn matters(asking: &Asking<'_>, pool: &Pool, which: ConditionRef) -> bool {
    let alive = |fault: &FaultId| pool.sets.iter().any(|set| set.contains(fault));
    match which {
        ConditionRef::Rule(rule) => {
            let concludes = |conclusion: &Conclusion| match conclusion {
                Conclusion::Implies(_) | Conclusion::ImpliesOneOf(_) => true,
                Conclusion::RulesOut(faults) | Conclusion::Odds(faults, _) => faults.iter().any(alive),
            };
            !asking.applies(rule) && asking.book.rule(rule).conclusions.iter().any(concludes)
        }
        ConditionRef::Shows(fault, _) => alive(&fault),
        ConditionRef::Verify(..) | ConditionRef::Gone(_) => false,
    }
}

/// The tests that would fill some slots; none if the book's own list of ways to ask lacks one.
pub(super) fn missing(book: &Book, slots: &[&Slot]) -> Option<Missing> {
    let mut all: Missing = Vec::new();
    for slot in slots {
        let asked = book.uses_of(slot.indication)?.asked.iter().find(|asked| asked.demand == slot.demand)?;
        all.push((slot.indication, asked.clone()));
    }
    all.sort();
    all.dedup();
    Some(all)
}

/// The conditions that a set of tests decides, those of smaller sets included.
fn within(wanted: &BTreeMap<Missing, Vec<ConditionRef>>, tests: &Missing) -> Vec<ConditionRef> {
    let inside =
        wanted.iter().filter(|(missing, _)| missing.len() > 1 && missing.iter().all(|test| tests.contains(test)));
    let mut all: Vec<ConditionRef> = inside.flat_map(|(_, conditions)| conditions.iter().copied()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// A bundle with its worth; none if it tells nothing, or has too many answers to tell.
fn weigh(
    asking: &Asking<'_>,
    pool: &Pool,
    shelf: &mut Shelf<'_>,
    tests: Vec<Candidate>,
    conditions: &[ConditionRef],
) -> Option<Bundle> {
    let mut answers: Vec<Vec<Cell>> = Vec::new();
    let mut single: Vec<Rows> = Vec::new();
    for test in &tests {
        let (outlook, rows) = shelf.get(test);
        answers.push(outlook.cells.clone());
        single.push(rows.clone());
    }
    let count = answers.iter().map(Vec::len).product::<usize>();
    if count > MOST_ANSWERS {
        return None;
    }
    let table = joint(asking, &tests, &answers, conditions, count);
    let rows = together(&pool.rows(asking, &table), &single, count);
    let masses = pool.masses(&rows);
    let decided: Vec<bool> = (0..count).map(|n| !is_idle(&table, n)).collect();
    let sizes: Vec<usize> = answers.iter().map(Vec::len).collect();
    let stopping = Stopping::of(&sizes, &decided);
    let found: Vec<Vec<f64>> = rows.rows.iter().map(|row| stopping.found(row)).collect();
    let gain = information(&found, &masses);
    let mut mixed = vec![0.0; count];
    for (row, mass) in rows.rows.iter().zip(masses) {
        mixed.iter_mut().zip(row).for_each(|(sum, chance)| *sum += mass * chance);
    }
    let each: Vec<f64> = tests.iter().map(|test| test.seconds).collect();
    let seconds = stopping.seconds(&mixed, &each);
    let slots = |which: &ConditionRef| asking.book.condition(*which).map_or(0, |condition| condition.slots.len());
    let decides = conditions.iter().copied().max_by_key(slots)?;
    Some(Bundle { tests, decides, gain, seconds })
}

/// The chances of combinations: what each test shows by itself, times what the conditions over several leave room for.
/// Hypotheses that are alike in all of it share a row.
fn together(joint: &Rows, single: &[Rows], count: usize) -> Rows {
    let mut known: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    let mut all = Rows { rows: Vec::new(), of: Vec::with_capacity(joint.of.len()) };
    for hypothesis in 0..joint.of.len() {
        let place = |rows: &Rows| rows.of.get(hypothesis).copied().unwrap_or(0);
        let key: Vec<usize> = single.iter().chain([joint]).map(place).collect();
        let at = *known.entry(key).or_insert(all.rows.len());
        if at == all.rows.len() {
            let each: Vec<&[f64]> = single.iter().map(|rows| rows.row(hypothesis)).collect();
            let chances = joint.row(hypothesis).iter().take(count).enumerate();
            let mut row: Vec<f64> = chances.map(|(n, chance)| chance * product(&each, n)).collect();
            let sum: f64 = row.iter().sum();
            if sum > 0.0 {
                row.iter_mut().for_each(|chance| *chance /= sum);
            }
            all.rows.push(row);
        }
        all.of.push(at);
    }
    all
}

/// The chance of a combination, each test by itself.
pub(super) fn product(rows: &[&[f64]], mut n: usize) -> f64 {
    let mut chance = 1.0;
    for row in rows.iter().rev() {
        let size = row.len().max(1);
        chance *= row.get(n % size).copied().unwrap_or(0.0);
        n /= size;
    }
    chance
}

/// The tests one after the other, the shortest way first; none where one can't be reached or is not ours to take.
pub(super) fn chain(asking: &Asking<'_>, missing: &Missing) -> Option<Vec<Candidate>> {
    let mut left: Vec<&(IndicationId, Asked)> = missing.iter().collect();
    let mut from: Setup = asking.job.setup.clone();
    let mut tests = Vec::new();
    while !left.is_empty() {
        let reach = |(id, asked): &(IndicationId, Asked)| {
            let found = candidate(asking.book, &from, *id, asked).filter(|found| found.stop.is_none());
            found.filter(|_| !asking.job.unreachable.contains(id))
        };
        let mut ways: Vec<(usize, Candidate)> = Vec::new();
        for (at, test) in left.iter().enumerate() {
            ways.push((at, reach(test)?));
        }
        let (at, next) = ways.into_iter().min_by(|a, b| a.1.seconds.total_cmp(&b.1.seconds))?;
        left.remove(at);
        from = next.setup.clone();
        tests.push(next);
    }
    Some(tests)
}

/// What the combinations of answers would say of the conditions; the last test's answers change fastest.
pub(super) fn joint(
    asking: &Asking<'_>,
    tests: &[Candidate],
    answers: &[Vec<Cell>],
    conditions: &[ConditionRef],
    count: usize,
) -> Table {
    let entries: Vec<Entry> =
        tests.iter().zip(answers).flat_map(|(test, cells)| cells.iter().map(|cell| asking.entry(test, cell))).collect();
    let mut facts = asking.facts().with_supposed(&entries);
    let rules: Vec<RuleId> = conditions
        .iter()
        .filter_map(|which| if let ConditionRef::Rule(rule) = which { Some(*rule) } else { None })
        .collect();
    let shows: Vec<_> = conditions
        .iter()
        .filter_map(|which| if let ConditionRef::Shows(f, n) = which { Some((*f, *n)) } else { None })
        .collect();
    let mut table = Table { claims: asking.claims(&shows), applied: Vec::with_capacity(count), ..Table::default() };
    for n in 0..count {
        let picked = picks(answers, n);
        picked.iter().for_each(|entry| facts.suppose(*entry));
        asking.answer(&mut table, &facts, &rules);
        picked.iter().for_each(|_| facts.forget());
    }
    table
}

/// The supposed entries of a combination.
fn picks(answers: &[Vec<Cell>], mut n: usize) -> Vec<usize> {
    let mut first: Vec<usize> = Vec::with_capacity(answers.len());
    let mut sum = 0;
    for cells in answers {
        first.push(sum);
        sum += cells.len();
    }
    let mut picked = vec![0; answers.len()];
    for (place, cells) in answers.iter().enumerate().rev() {
        let size = cells.len().max(1);
        if let (Some(pick), Some(first)) = (picked.get_mut(place), first.get(place)) {
            *pick = first + n % size;
        }
        n /= size;
    }
    picked
}

/// Whether a combination decides nothing.
fn is_idle(table: &Table, n: usize) -> bool {
    use crate::reasoning::Truth;
    let applied = table.applied.get(n).is_some_and(|rules| !rules.is_empty());
    let claimed = table.claims.iter().any(|claim| claim.truths.get(n).is_some_and(|truth| *truth != Truth::Unknown));
    !applied && !claimed
}
