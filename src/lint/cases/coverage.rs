//! What the cases of a book reach: which rules applied, which comparisons came out both ways, which verdicts each
//! fault was given, at every `expect` and at the end. Only what the book's own file declares is counted: a file that
//! it uses has cases of its own. Rules, comparisons and faults are told apart by their place, so that cases under
//! another profile count for the same rules.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::book::{Book, Comparison, Condition, ConditionRef, FaultId, Node, RuleId};
use crate::job::Job;
use crate::reasoning::choice::is_decided;
use crate::reasoning::{Facts, Judgement, Verdict};
use crate::source::{SourceId, Span};

use super::CaseResult;

/// In how many cases a rule applied.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct RuleTried {
    /// Which rule.
    pub rule: RuleId,
    /// In how many cases it applied; 0: never.
    pub applied: usize,
}

/// In how many cases a comparison came out which way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ComparisonTried {
    /// Its words in the book.
    pub span: Span,
    /// In how many cases it was true.
    pub was_true: usize,
    /// In how many it was false.
    pub was_false: usize,
}

impl ComparisonTried {
    /// Whether its limit was tried on both sides.
    pub fn both_sides(&self) -> bool {
        self.was_true > 0 && self.was_false > 0
    }
}

/// In how many cases a fault was given which verdict.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct FaultTried {
    /// Which fault.
    pub fault: FaultId,
    /// Proved.
    pub proved: usize,
    /// Ruled out.
    pub ruled_out: usize,
    /// Left open, the only one left included.
    pub left_open: usize,
    /// In conflict.
    pub in_conflict: usize,
}

/// What the cases of a book reach.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Coverage {
    /// Of how many cases.
    pub cases: usize,
    /// Each rule of the file, in book order.
    pub rules: Vec<RuleTried>,
    /// Each comparison of the file that a verdict can rest on, by place.
    pub comparisons: Vec<ComparisonTried>,
    /// Each fault of the file, in book order.
    pub faults: Vec<FaultTried>,
}

impl Coverage {
    /// Rules that no case makes apply.
    pub fn untried_rules(&self) -> impl Iterator<Item = RuleId> + '_ {
        self.rules.iter().filter(|rule| rule.applied == 0).map(|rule| rule.rule)
    }
}

/// What one case reached; everything by its place.
#[derive(Default)]
struct Reached {
    rules: BTreeSet<Span>,
    comparisons: BTreeSet<(Span, bool)>,
    faults: BTreeMap<Span, [bool; VERDICTS.len()]>,
}

/// The verdicts that are counted, in the order of [`FaultTried`].
const VERDICTS: [&[Verdict]; 4] =
    [&[Verdict::Proved], &[Verdict::RuledOut], &[Verdict::Open, Verdict::OnlyOneLeft], &[Verdict::Conflict]];

/// What the cases of a book's own file reach.
pub fn coverage(book: &Book, own: SourceId, results: &[CaseResult]) -> Coverage {
    let reached: Vec<Reached> = results.par_iter().map(Reached::by).collect();
    let count = |met: &dyn Fn(&Reached) -> bool| reached.iter().filter(|one| met(one)).count();
    let rules = book.rule_ids().filter(|id| book.rule(*id).span.source == own);
    let rules = rules.map(|rule| {
        let span = book.rule(rule).span;
        RuleTried { rule, applied: count(&|one| one.rules.contains(&span)) }
    });
    let comparisons = own_comparisons(book, own).into_iter().map(|span| ComparisonTried {
        span,
        was_true: count(&|one| one.comparisons.contains(&(span, true))),
        was_false: count(&|one| one.comparisons.contains(&(span, false))),
    });
    let faults = book.fault_ids().filter(|id| book.fault(*id).span.source == own);
    let faults = faults.map(|fault| {
        let span = book.fault(fault).span;
        let given = |nth: usize| count(&|one| one.faults.get(&span).and_then(|seen| seen.get(nth)) == Some(&true));
        FaultTried { fault, proved: given(0), ruled_out: given(1), left_open: given(2), in_conflict: given(3) }
    });
    Coverage {
        cases: results.len(),
        rules: rules.collect(),
        comparisons: comparisons.collect(),
        faults: faults.collect(),
    }
}

/// The places of the file's comparisons, each once: a finding's stand in every condition that names it.
fn own_comparisons(book: &Book, own: SourceId) -> BTreeSet<Span> {
    let mut all = BTreeSet::new();
    for (_, condition) in book.conditions() {
        each_comparison(&condition.node, &mut |_, comparison| {
            if comparison.span.source == own {
                all.insert(comparison.span);
            }
        });
    }
    all
}

fn each_comparison<'n>(node: &'n Node, found: &mut dyn FnMut(&'n Node, &'n Comparison)) {
    match node {
        Node::All(parts) | Node::Any(parts) => parts.iter().for_each(|part| each_comparison(part, found)),
        Node::Not(inner) | Node::Finding(_, inner, _) => each_comparison(inner, found),
        Node::Answer(..) => {}
        Node::Compare(comparison) => found(node, comparison),
        Node::Signal(test) => found(node, &test.what.comparison),
    }
}

impl Reached {
    fn by(result: &CaseResult) -> Self {
        let mut reached = Self::default();
        for (job, judgement) in result.judged() {
            reached.judgement(&result.book, judgement);
            reached.comparisons(&result.book, job);
        }
        reached
    }

    fn judgement(&mut self, book: &Book, judgement: &Judgement) {
        self.rules.extend(judgement.evidence.applied.iter().map(|applied| book.rule(applied.rule).span));
        for verdict in &judgement.verdicts {
            let seen = self.faults.entry(book.fault(verdict.fault).span).or_default();
            for (cell, counted) in seen.iter_mut().zip(VERDICTS) {
                *cell |= counted.contains(&verdict.verdict);
            }
        }
    }

    /// Each comparison by itself, over the entries that count.
    fn comparisons(&mut self, book: &Book, job: &Job) {
        let facts = Facts::of(book, job, job.epoch(), |_| true);
        let uses = facts.seen().filter_map(|id| book.uses_of(id));
        let touched: BTreeSet<ConditionRef> = uses.flat_map(|uses| uses.conditions.iter().copied()).collect();
        for condition in touched.into_iter().filter_map(|which| book.condition(which)) {
            each_comparison(&condition.node, &mut |node, comparison| {
                for side in [true, false] {
                    let key = (comparison.span, side);
                    if !self.comparisons.contains(&key) && is_decided(&facts, &alone(condition, node), side) {
                        self.comparisons.insert(key);
                    }
                }
            });
        }
    }
}

/// One part of a condition by itself, over the same slots.
pub(super) fn alone(condition: &Condition, node: &Node) -> Condition {
    Condition { node: node.clone(), slots: condition.slots.clone(), span: condition.span }
}
