//! Answers that leave no fault at all: of one test, or of several that one fault upsets.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::{FaultId, IndicationId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::system::System;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Joint, Sides};
use super::single::{Single, Told};

check! {
    /// Finds: an answer of one test that is not a sound vehicle's, and that rules every fault of the book out; and the
    /// smallest sets of such answers, two or three, that do so together, where some fault upsets all these tests: it
    /// leaves no sound answer of any. Signs that no fault gives together are passed over: two faults at once may well
    /// give them. So is what only circuits rule out: such answers don't come together.
    ///
    /// Harm: the tool says that the entry is wrong or the book does not cover it, when a fault is missing or one says
    /// too much of what it `shows`.
    ///
    /// Bad:
    /// ```rulebook
    /// observation fan runs
    ///   answers yes, no, slowly
    ///   sound yes
    ///   takes 1 min
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is no
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows fan runs is no
    /// ```
    /// Good:
    /// ```rulebook
    /// observation fan runs
    ///   answers yes, no, slowly
    ///   sound yes
    ///   takes 1 min
    /// fault open feed wire
    ///   "Open or high resistance between the relay and the fan connector"
    ///   shows fan runs is not yes
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   shows fan runs is no
    /// ```
    "no-fault-left", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    if book.faults.is_empty() {
        return;
    }
    let signs = Signs::of(sides);
    let mut said: BTreeSet<Vec<IndicationId>> = BTreeSet::new();
    let mut search = Search { signs: &signs, left: MOST_SETS, sets: Vec::new() };
    search.from(&[], 0);
    for set in &search.sets {
        let tests: Vec<IndicationId> = set.iter().filter_map(|at| signs.all.get(*at)).map(|s| s.0.indication).collect();
        let own = tests.iter().find(|test| subject.is_own(book.indication(**test).span));
        let Some(at) = own.filter(|_| !said.contains(&tests)) else { continue };
        let Some(witness) = signs.joint(set).and_then(|joint| joint.shows(book, Claim::NoneLeft)) else { continue };
        let text = match tests.len() {
            1 => format!("`{}` leaves no fault of the book", witness.lines.last().cloned().unwrap_or_default()),
            _ => {
                let names: Vec<String> = tests.iter().map(|id| format!("`{}`", book.indication(*id).name)).collect();
                format!("answers of {} leave no fault of the book together", names.join(", "))
            }
        };
        let mut finding = Finding::at(book.indication(*at).span, text)
            .help("the fault that shows it is missing, or one of the book's says too much of what it `shows`");
        for other in tests.iter().filter(|other| *other != at) {
            finding = finding.also(book.indication(*other).span, "with an answer of this");
        }
        found.add(finding.witness(Some(witness)));
        said.insert(tests);
    }
    // Starting points from which not every set was looked at.
    (0..search.unseen()).for_each(|_| found.leave_open());
}

/// The most answers in one set.
const MOST_TOGETHER: usize = 3;
/// The most sets that are looked at.
const MOST_SETS: usize = 200_000;

/// Answers that no sound vehicle gives, none of which proves anything.
struct Signs<'t> {
    all: Vec<(&'t Single, &'t Told)>,
    /// By answer, the faults that leave no sound answer of its test, but one that is not.
    upset: Vec<Vec<FaultId>>,
    /// By fault, the answers of tests that it upsets.
    of_fault: BTreeMap<FaultId, Vec<usize>>,
}

impl<'t> Signs<'t> {
    fn of(sides: &'t Sides<'_>) -> Self {
        let answers = sides.table().tests.iter().flat_map(|test| test.told.iter().map(move |told| (test, told)));
        let all: Vec<_> = answers.filter(|(_, told)| told.unsound && told.proved.is_empty()).collect();
        let upset: Vec<Vec<FaultId>> =
            all.iter().map(|(test, _)| sides.book.fault_ids().filter(|fault| upsets(test, *fault)).collect()).collect();
        let mut of_fault: BTreeMap<FaultId, Vec<usize>> = BTreeMap::new();
        for (at, faults) in upset.iter().enumerate() {
            faults.iter().for_each(|fault| of_fault.entry(*fault).or_default().push(at));
        }
        Self { all, upset, of_fault }
    }

    fn leaves(&self, set: &[usize]) -> bool {
        let told: Vec<&Told> = set.iter().filter_map(|at| self.all.get(*at)).map(|(_, told)| *told).collect();
        // Of several answers what a circuit rules out is physics: it foretells nothing wrong by saying too much.
        let left = |told: &&Told, fault: usize| match set.len() {
            1 => told.left.get(fault) == Some(&true),
            _ => told.left_by_sentence.get(fault) == Some(&true),
        };
        let count = told.first().map_or(0, |told| told.left.len());
        (0..count).any(|fault| told.iter().all(|told| left(told, fault)))
    }

    /// The faults that upset every test of a set.
    fn common(&self, set: &[usize]) -> Vec<FaultId> {
        let mut lists = set.iter().filter_map(|at| self.upset.get(*at));
        let mut common = lists.next().cloned().unwrap_or_default();
        for list in lists {
            common.retain(|fault| list.contains(fault));
        }
        common
    }

    /// Answers from a number on that can make a set longer: some fault upsets all tests then. Any can begin one.
    fn more(&self, set: &[usize], first: usize) -> Vec<usize> {
        if set.is_empty() {
            return (first..self.all.len()).collect();
        }
        let common = self.common(set);
        let lists = common.iter().filter_map(|fault| self.of_fault.get(fault));
        let more: BTreeSet<usize> = lists.flatten().copied().filter(|at| *at >= first).collect();
        more.into_iter().collect()
    }

    fn joint(&self, set: &[usize]) -> Option<Joint> {
        let mut all = Joint { entries: Vec::new(), vars: Vec::new(), system: System::default() };
        for (test, told) in set.iter().filter_map(|at| self.all.get(*at)) {
            let one = test.joint(told);
            all.vars.push(all.entries.len());
            all.entries.extend(one.entries);
            all.system.domains.extend(one.system.domains);
        }
        Some(all).filter(|joint| !joint.vars.is_empty())
    }
}

/// Whether a fault leaves no sound answer of a test, but one that is not.
fn upsets(test: &Single, fault: FaultId) -> bool {
    let left = |told: &&Told| told.left.get(fault.place()) == Some(&true);
    let sound = |told: &&Told| !told.unsound;
    test.told.iter().any(|told| sound(&told))
        && test.told.iter().filter(left).any(|told| !sound(&told))
        && !test.told.iter().filter(left).any(|told| sound(&told))
}

/// A search for the smallest sets that leave no fault.
struct Search<'s, 't> {
    signs: &'s Signs<'t>,
    left: usize,
    sets: Vec<Vec<usize>>,
}

impl Search<'_, '_> {
    /// All sets that begin so; the set itself leaves a fault.
    fn from(&mut self, set: &[usize], first: usize) {
        for at in self.signs.more(set, first) {
            if set.iter().any(|known| self.is_same_test(*known, at)) {
                continue;
            }
            let more = [set, &[at]].concat();
            let Some(left) = self.left.checked_sub(1) else { return };
            self.left = left;
            if self.signs.leaves(&more) {
                if more.len() < MOST_TOGETHER {
                    self.from(&more, at + 1);
                }
            } else if self.is_smallest(&more) {
                self.sets.push(more);
            }
        }
    }

    fn is_same_test(&self, one: usize, other: usize) -> bool {
        let test = |at: usize| self.signs.all.get(at).map(|(test, _)| (test.indication, &test.setup));
        test(one) == test(other)
    }

    /// Whether each answer of a set is needed.
    fn is_smallest(&self, set: &[usize]) -> bool {
        (0..set.len()).all(|without| {
            let less: Vec<usize> = set.iter().enumerate().filter(|(n, _)| *n != without).map(|(_, at)| *at).collect();
            less.is_empty() || self.signs.leaves(&less)
        })
    }

    /// How many questions were left when the budget was spent: none, or one.
    fn unseen(&self) -> usize {
        usize::from(self.left == 0)
    }
}
