//! What the entries of a job say about how likely each hypothesis is: one table a test that was taken, and each `shows`
//! over several tests that is decided.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{Book, Conclusion, Condition, ConditionRef, FaultId, IndicationId, Node, RuleId, Setup};
use crate::job::{Entry, EntryId};

use super::alike::alike;
use super::cells::{Cell, Limits, cells};
use super::choice::{Choice, decide, is_decided};
use super::evidence::Evidence;
use super::facts::Facts;
use super::likelihood::{Claim, MASKED, Odds, Table, chance_of, silent_share};
use super::truth::Truth;
use super::weights::priors;

/// A test that was taken.
#[derive(Clone, PartialEq, Debug)]
pub struct Heard {
    /// Its entry.
    pub entry: EntryId,
    /// The answers that the entry may lie in.
    pub met: Vec<bool>,
    /// In how many tries, each by itself.
    pub tries: u32,
    /// What the book says of the test.
    pub asked: Arc<AskedTest>,
    /// What that comes to.
    pub(crate) logs: Arc<Logs>,
}

/// What the book says of a test, whatever was found.
#[derive(Clone, PartialEq, Debug)]
pub struct AskedTest {
    /// The answers that it can have.
    pub cells: Vec<Cell>,
    /// What is said of them.
    pub table: Table,
    /// By fault: whether anything is said of it there.
    pub mentioned: Vec<bool>,
}

/// What the book says of the tests that were taken, kept while a job goes on: it hangs on the setup alone.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tables {
    priors: Option<Arc<Logs>>,
    asked: BTreeMap<(IndicationId, Setup), Known>,
}

#[derive(Clone, Debug)]
struct Known {
    asked: Arc<AskedTest>,
    /// Logarithms of the chance of what was found, for each way of finding.
    logs: BTreeMap<Vec<bool>, Arc<Logs>>,
}

/// Logarithms of the chance of what was found, by hypothesis.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Logs {
    /// What the book doesn't cover.
    pub(crate) uncovered: f64,
    /// By fault, by itself.
    pub(crate) single: Vec<f64>,
}

impl Logs {
    fn of(book: &Book, asked: &AskedTest, met: &[bool]) -> Self {
        let of = |set: &[FaultId]| chance(book, &asked.table, met, set).ln();
        // All faults of which the book says nothing there are alike.
        let mut silent: Option<f64> = None;
        let single = |fault: FaultId| match asked.mentioned.get(fault.place()) {
            Some(true) => of(&[fault]),
            _ => *silent.get_or_insert_with(|| of(&[fault])),
        };
        Self { uncovered: of(&[]), single: book.fault_ids().map(single).collect() }
    }
}

impl Heard {
    /// The chance of what was found if these faults are there: over all answers that the entry may lie in.
    pub fn chance(&self, book: &Book, set: &[FaultId]) -> f64 {
        chance(book, &self.asked.table, &self.met, set).powf(f64::from(self.tries))
    }
}

fn chance(book: &Book, table: &Table, met: &[bool], set: &[FaultId]) -> f64 {
    let row = table.row(book, set, Odds::Apart);
    let found = row.iter().zip(met).filter(|(_, met)| **met).fold(0.0, |sum, (chance, _)| sum + chance);
    // A hypothesis that is kept although an entry speaks against it (a conflict, a repair not yet verified).
    if found > 0.0 { found } else { MASKED }
}

/// A `shows` over several tests that is decided; the same condition of several faults is one.
#[derive(Clone, PartialEq, Debug)]
pub struct Joint {
    /// Whose it is, which of their `shows`, in how many cases.
    pub claims: Vec<(FaultId, usize, f64)>,
    /// Whether it holds.
    pub holds: bool,
    /// The entries that decide it.
    pub choice: Choice,
    /// In how many tries, each by itself.
    pub tries: u32,
    /// How often it holds for faults of which the book says nothing here: 1/2, less where a try may show it.
    pub silent: f64,
}

impl Joint {
    /// The chance of it if these faults are there.
    pub fn chance(&self, set: &[FaultId]) -> f64 {
        self.once(set).powf(f64::from(self.tries))
    }

    fn once(&self, set: &[FaultId]) -> f64 {
        let claimed = self.claims.iter().filter(|(fault, ..)| set.contains(fault)).map(|(.., chance)| *chance);
        let Some(share) = claimed.reduce(f64::max) else {
            return if self.holds { self.silent } else { 1.0 - self.silent };
        };
        match self.holds {
            true => share,
            false if set.len() > 1 || share >= 1.0 => (1.0 - share).max(MASKED),
            false => 1.0 - share,
        }
    }
}

/// All that was heard.
#[derive(Clone, PartialEq, Debug)]
pub struct Hearing {
    /// By test, in order of entries.
    pub tests: Vec<Heard>,
    /// Over several tests, in book order.
    pub joint: Vec<Joint>,
    /// How likely each hypothesis was before anything was heard.
    pub(crate) priors: Arc<Logs>,
}

impl Hearing {
    /// The logarithms of all tests added up: of what the book doesn't cover, and by fault.
    pub(crate) fn sums(&self) -> (f64, Vec<f64>) {
        let mut single = vec![0.0; self.priors.single.len()];
        let mut uncovered = 0.0;
        for test in &self.tests {
            let tries = f64::from(test.tries);
            uncovered += test.logs.uncovered * tries;
            single.iter_mut().zip(&test.logs.single).for_each(|(sum, log)| *sum += log * tries);
        }
        (uncovered, single)
    }
}

/// What the entries that count now say.
pub(crate) fn hear(facts: &Facts<'_>, evidence: &Evidence, tables: &mut Tables) -> Hearing {
    tables.learn(facts);
    let counting = facts.all().filter(|id| counts(facts, *id));
    let mut tests: Vec<Heard> = counting
        .filter_map(|id| {
            let entry = facts.entry(id)?;
            let known = tables.asked.get_mut(&(entry.indication, entry.setup.clone()))?;
            let met: Vec<bool> = known.asked.cells.iter().map(|cell| cell.meets(&entry.value)).collect();
            let logs = known.logs.entry(met.clone());
            let logs = logs.or_insert_with(|| Arc::new(Logs::of(facts.book, &known.asked, &met))).clone();
            Some(Heard { entry: id, met, tries: entry.tries, asked: known.asked.clone(), logs })
        })
        .collect();
    tests.sort_by_key(|test| test.entry);
    let priors = tables.priors.get_or_insert_with(|| Arc::new(priors(facts.book))).clone();
    Hearing { tests, joint: joint(facts, evidence), priors }
}

impl Tables {
    /// Works out the tables of the tests that are new, and forgets those of tests that no longer count.
    fn learn(&mut self, facts: &Facts<'_>) {
        let (book, job) = (facts.book, facts.job);
        let taken = facts.all().filter(|id| counts(facts, *id)).filter_map(|id| facts.entry(id));
        let mut before = std::mem::take(&mut self.asked);
        let (mut new, mut entries): (Vec<(&Entry, Vec<Cell>)>, Vec<Entry>) = (Vec::new(), Vec::new());
        for entry in taken {
            let test = (entry.indication, entry.setup.clone());
            if let Some(known) = before.remove(&test) {
                self.asked.insert(test, known);
            } else if !self.asked.contains_key(&test) {
                let cells = cells(facts, entry.indication, &entry.setup, Limits::Fixed);
                let supposed = cells.iter().map(|cell| cell.entry(book, entry.indication, &entry.setup, entry.epoch));
                entries.extend(supposed);
                new.push((entry, cells));
            }
        }
        let mut alone = Facts::of(book, job, job.epoch(), |_| false).with_supposed(&entries);
        let mut first = 0;
        for (entry, cells) in new {
            let is_try = book.is_try(entry.indication, &entry.setup);
            let table = table(&mut alone, first, cells.len()).with_silence(is_try);
            first += cells.len();
            let mentioned = table.mentioned(book);
            let asked = Arc::new(AskedTest { cells, table, mentioned });
            self.asked.insert((entry.indication, entry.setup.clone()), Known { asked, logs: BTreeMap::new() });
        }
    }
}

/// Whether an entry was taken as its reading needs.
fn counts(facts: &Facts<'_>, id: EntryId) -> bool {
    facts.entry(id).is_some_and(|entry| facts.book.indication(entry.indication).demand.holds(&entry.setup))
}

/// The table of a test whose answers are the supposed entries from `first` on, nothing else being known.
fn table(alone: &mut Facts<'_>, first: usize, count: usize) -> Table {
    let book = alone.book;
    let mut table = Table { claims: Vec::new(), applied: vec![Vec::new(); count], ..Table::default() };
    alone.suppose(first);
    let (rules, shows) = alone.supposed(first).map_or_else(Default::default, |entry| concerned(alone, entry));
    alone.forget();
    table.claims.extend(shows.iter().map(|(fault, nth)| Claim {
        fault: *fault,
        nth: *nth,
        chance: chance_of(book, *fault, *nth),
        truths: Vec::with_capacity(count),
    }));
    for answer in 0..count {
        alone.suppose(first + answer);
        for claim in &mut table.claims {
            let condition = book.fault(claim.fault).shows.get(claim.nth).map(|shows| &shows.condition);
            claim.truths.push(condition.map_or(Truth::Unknown, |condition| stands(alone, condition)));
        }
        if let Some(applied) = table.applied.get_mut(answer) {
            applied.extend(rules.iter().copied().filter(|rule| is_decided(alone, &book.rule(*rule).condition, true)));
        }
        alone.forget();
    }
    table
}

/// The rules that one entry by itself could make apply and that leave less room, and the `shows` of one test that it
/// bears on.
fn concerned(facts: &Facts<'_>, entry: &Entry) -> (Vec<RuleId>, Vec<(FaultId, usize)>) {
    let (mut rules, mut shows) = (Vec::new(), Vec::new());
    let uses = facts.book.uses_of(entry.indication).map_or(&[][..], |uses| &uses.conditions);
    for which in uses {
        let Some(condition) = facts.book.condition(*which) else { continue };
        let bears = condition.slots.iter().any(|s| s.indication == entry.indication && s.demand.holds(&entry.setup));
        match which {
            ConditionRef::Rule(rule) if bears && stands_alone(&condition.node) && limits_room(facts.book, *rule) => {
                rules.push(*rule)
            }
            ConditionRef::Shows(fault, nth) if bears && condition.slots.len() == 1 && !condition.asks_a_log() => {
                shows.push((*fault, *nth))
            }
            _ => {}
        }
    }
    (rules, shows)
}

fn limits_room(book: &Book, rule: RuleId) -> bool {
    book.rule(rule).conclusions.iter().any(|conclusion| !matches!(conclusion, Conclusion::Odds(..)))
}

/// Whether one slot could make it true: no `and` whose first comparisons ask for different slots.
fn stands_alone(node: &Node) -> bool {
    let Node::All(parts) = node else { return true };
    let mut slots = Vec::new();
    for part in parts {
        match part {
            Node::Answer(slot, ..) => slots.push(*slot),
            Node::Compare(comparison) => slots.extend(comparison.slots.iter().copied()),
            Node::Signal(test) => slots.extend(test.slots.iter().copied()),
            _ => {}
        }
    }
    slots.windows(2).all(|pair| pair.first() == pair.last())
}

/// Whether a `shows` fails (false), holds or is not decided.
pub(crate) fn stands(facts: &Facts<'_>, condition: &Condition) -> Truth {
    if is_decided(facts, condition, false) {
        Truth::False
    } else if is_decided(facts, condition, true) {
        Truth::True
    } else {
        Truth::Unknown
    }
}

fn joint(facts: &Facts<'_>, evidence: &Evidence) -> Vec<Joint> {
    let book = facts.book;
    let mut found: Vec<(&Condition, Joint)> = Vec::new();
    let refs = facts.seen().filter_map(|id| book.uses_of(id)).flat_map(|uses| uses.conditions.iter().copied());
    let mut shows: Vec<(FaultId, usize)> = refs
        .filter_map(|which| match which {
            ConditionRef::Shows(fault, nth) => Some((fault, nth)),
            _ => None,
        })
        .collect();
    shows.sort_unstable();
    shows.dedup();
    for (fault, nth) in shows {
        let Some(condition) =
            book.condition(ConditionRef::Shows(fault, nth)).filter(|c| c.slots.len() > 1 || c.asks_a_log())
        else {
            continue;
        };
        let claim = (fault, nth, chance_of(book, fault, nth));
        let mut known = false;
        for (_, joint) in found.iter_mut().filter(|(other, _)| alike(other, condition)) {
            joint.claims.push(claim);
            known = true;
        }
        if known {
            continue;
        }
        for (holds, choice, tries) in decided(facts, evidence, condition, (fault, nth)) {
            found.push((condition, Joint { claims: vec![claim], holds, choice, tries, silent: 0.5 }));
        }
    }
    let each = found.into_iter().map(|(condition, joint)| {
        let chances = joint.claims.iter().map(|(.., chance)| *chance);
        let silent = silent_share(chances).filter(|_| book.is_provoked(condition)).unwrap_or(joint.silent);
        Joint { silent, ..joint }
    });
    each.collect()
}

/// How a `shows` is decided: over several tests once, of a log by each entry for itself, with how many tries that was.
fn decided(
    facts: &Facts<'_>,
    evidence: &Evidence,
    condition: &Condition,
    (fault, nth): (FaultId, usize),
) -> Vec<(bool, Choice, u32)> {
    if let [slot] = condition.slots.as_slice() {
        let each = facts.entries(slot.indication).iter().filter_map(|id| {
            let alone = Facts::of(facts.book, facts.job, facts.job.epoch(), |other| other == *id);
            let tries = facts.entry(*id)?.tries;
            let seen = decide(&alone, condition, true).map(|choice| (true, choice, tries));
            seen.or_else(|| decide(&alone, condition, false).map(|choice| (false, choice, tries)))
        });
        return each.collect();
    }
    let failed = evidence.failed.iter().find(|failed| failed.fault == fault && failed.nth == nth);
    let once = match failed {
        Some(failed) => Some((false, failed.choice.clone(), 1)),
        None => decide(facts, condition, true).map(|choice| (true, choice, 1)),
    };
    once.into_iter().collect()
}
