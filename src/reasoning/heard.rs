//! What the entries of a job say about how likely each hypothesis is: one table a test that was taken, and each `shows`
//! over several tests that is decided.

use crate::book::{Book, Conclusion, Condition, ConditionRef, FaultId, Node, RuleId};
use crate::job::{Entry, EntryId, Job};

use super::alike::alike;
use super::cells::{Cell, Limits, cells};
use super::choice::{Choice, decide, is_decided};
use super::evidence::Evidence;
use super::facts::Facts;
use super::likelihood::{Claim, MASKED, Odds, Table, chance_of};
use super::truth::Truth;

/// A test that was taken.
#[derive(Clone, PartialEq, Debug)]
pub struct Heard {
    /// Its entry.
    pub entry: EntryId,
    /// The answers that it can have.
    pub cells: Vec<Cell>,
    /// Those that the entry may lie in.
    pub met: Vec<bool>,
    /// What the book says of them.
    pub table: Table,
}

impl Heard {
    /// The chance of what was found if these faults are there: over all answers that the entry may lie in.
    pub fn chance(&self, book: &Book, set: &[FaultId]) -> f64 {
        let row = self.table.row(book, set, Odds::Apart);
        let found = row.iter().zip(&self.met).filter(|(_, met)| **met).fold(0.0, |sum, (chance, _)| sum + chance);
        // A hypothesis that is kept although an entry speaks against it (a conflict, a repair not yet verified).
        if found > 0.0 { found } else { MASKED }
    }
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
}

impl Joint {
    /// The chance of it if these faults are there: 1/2 where all are silent.
    pub fn chance(&self, set: &[FaultId]) -> f64 {
        let claimed = self.claims.iter().filter(|(fault, ..)| set.contains(fault)).map(|(.., chance)| *chance);
        let Some(share) = claimed.reduce(f64::max) else { return 0.5 };
        match self.holds {
            true => share,
            false if set.len() > 1 || share >= 1.0 => (1.0 - share).max(MASKED),
            false => 1.0 - share,
        }
    }
}

/// All that was heard.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Hearing {
    /// By test, in order of entries.
    pub tests: Vec<Heard>,
    /// Over several tests, in book order.
    pub joint: Vec<Joint>,
}

/// What the entries that count now say.
pub fn hear(book: &Book, job: &Job, evidence: &Evidence) -> Hearing {
    let facts = Facts::of(book, job, job.epoch(), |_| true);
    let mut taken: Vec<(EntryId, Vec<Cell>)> = Vec::new();
    let mut entries: Vec<Entry> = Vec::new();
    for id in facts.all().filter(|id| counts(&facts, *id)) {
        let Some(entry) = facts.entry(id) else { continue };
        let cells = cells(&facts, entry.indication, &entry.setup, Limits::Fixed);
        entries.extend(cells.iter().map(|cell| Entry { value: cell.value(), said: String::new(), ..entry.clone() }));
        taken.push((id, cells));
    }
    let mut alone = Facts::of(book, job, job.epoch(), |_| false).with_supposed(&entries);
    let mut first = 0;
    let mut tests = Vec::with_capacity(taken.len());
    for (entry, cells) in taken {
        let table = table(&mut alone, first, cells.len());
        first += cells.len();
        let met =
            job.entry(entry).map_or(Vec::new(), |entry| cells.iter().map(|cell| cell.meets(&entry.value)).collect());
        tests.push(Heard { entry, cells, met, table });
    }
    tests.sort_by_key(|test| test.entry);
    Hearing { tests, joint: joint(&facts, evidence) }
}

/// Whether an entry was taken as its reading needs.
fn counts(facts: &Facts<'_>, id: EntryId) -> bool {
    facts.entry(id).is_some_and(|entry| facts.book.indication(entry.indication).demand.holds(&entry.setup))
}

/// The table of a test whose answers are the supposed entries from `first` on, nothing else being known.
fn table(alone: &mut Facts<'_>, first: usize, count: usize) -> Table {
    let book = alone.book;
    let mut table = Table { claims: Vec::new(), applied: vec![Vec::new(); count], barred: Vec::new() };
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
            ConditionRef::Shows(fault, nth) if bears && condition.slots.len() == 1 => shows.push((*fault, *nth)),
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
        let Some(condition) = book.condition(ConditionRef::Shows(fault, nth)).filter(|c| c.slots.len() > 1) else {
            continue;
        };
        let claim = (fault, nth, chance_of(book, fault, nth));
        if let Some((_, joint)) = found.iter_mut().find(|(other, _)| alike(other, condition)) {
            joint.claims.push(claim);
            continue;
        }
        let failed = evidence.failed.iter().find(|failed| failed.fault == fault && failed.nth == nth);
        let decided = match failed {
            Some(failed) => Some((false, failed.choice.clone())),
            None => decide(facts, condition, true).map(|choice| (true, choice)),
        };
        if let Some((holds, choice)) = decided {
            found.push((condition, Joint { claims: vec![claim], holds, choice }));
        }
    }
    found.into_iter().map(|(_, joint)| joint).collect()
}
