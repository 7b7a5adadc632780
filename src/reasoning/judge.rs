//! Verdicts: every fault proved, ruled out, open, the only one left, or in conflict, with its reasons.

use std::cell::OnceCell;

use crate::book::{Book, ComplaintId, Conclusion, FaultId, RuleId};
use crate::job::Job;

use super::choice::Choice;
use super::circuits::CircuitSays;
use super::conflict::{self, Conflict};
use super::evidence::{Disturbed, Evidence};
use super::heard::Hearing;
use super::hypotheses::{FaultSet, Filter};
use super::recall::Recall;
use super::said::Said;
use super::weights;

/// What is held of a fault.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Verdict {
    /// A rule proves it and nothing speaks against that.
    Proved,
    /// It can't be.
    RuledOut,
    /// It may be.
    Open,
    /// The last one not ruled out; not proved.
    OnlyOneLeft,
    /// Proved and ruled out, or proved beside others that can't be there with it.
    Conflict,
}

/// What the job comes to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Outcome {
    /// At least one fault is proved.
    Proved,
    /// Several may be.
    Open,
    /// One is left.
    OnlyOneLeft,
    /// None is left and the vehicle is not sound.
    NotCoveredOrWrongEntry,
    /// Entries quarrel.
    Conflict,
    /// None is left and nothing says that the vehicle is not sound.
    NoFaultSeen,
}

/// Why a verdict is what it is.
#[derive(Clone, PartialEq, Debug)]
pub enum Reason {
    /// A rule implies it.
    Implied(RuleId, Choice),
    /// A rule rules it out.
    RuledOutBy(RuleId, Choice),
    /// A rule implies one of others.
    OneOfOthers(RuleId, Choice),
    /// What it always shows is not there.
    ShowsFails(usize, Choice),
    /// A complaint that it can't explain.
    CannotExplain(ComplaintId),
    /// Another is proved (or several), and no more may be there at once.
    Elimination(Vec<FaultId>),
    /// No set of faults with it explains everything.
    NoSetLeft,
    /// Repaired, and verified by these choices.
    Repaired(Vec<Choice>),
    /// Repaired, and not yet verified.
    AwaitsVerify,
    /// Others that are proved beside it and can't be there with it.
    Rivals(Vec<FaultId>),
    /// All others are ruled out.
    OnlyOneLeft,
    /// A rule changes its odds by this factor.
    Odds(RuleId, Choice, f64),
    /// A circuit would show something else: that rules it out, or speaks against it.
    Circuit(CircuitSays),
}

impl Reason {
    /// Whether it only changes how likely a fault is.
    pub fn only_weighs(&self) -> bool {
        match self {
            Reason::Odds(..) => true,
            Reason::Circuit(says) => !says.exact,
            _ => false,
        }
    }
}

/// A verdict with its reasons.
#[derive(Clone, PartialEq, Debug)]
pub struct FaultVerdict {
    /// Of which fault.
    pub fault: FaultId,
    /// What is held of it.
    pub verdict: Verdict,
    /// How likely it is, by the book's shares and odds: an estimate.
    pub weight: f64,
    /// Why.
    pub reasons: Vec<Reason>,
}

/// A hypothesis with its weight.
#[derive(Clone, PartialEq, Debug)]
pub struct Hypothesis {
    /// Its faults; empty for what the book doesn't cover.
    pub faults: FaultSet,
    /// An estimate; the weights of all hypotheses sum to 1.
    pub weight: f64,
}

/// The judgement of a job.
#[derive(Clone, PartialEq, Debug)]
pub struct Judgement {
    /// One verdict a fault, in book order.
    pub verdicts: Vec<FaultVerdict>,
    /// What it comes to.
    pub outcome: Outcome,
    /// Why `no fault present` is ruled out; empty while it stands.
    pub disturbed: Vec<Disturbed>,
    /// Sets that are left with their weights, smallest first, then heaviest; what the book doesn't cover last.
    pub hypotheses: Vec<Hypothesis>,
    /// Entries that can't all be right.
    pub conflicts: Vec<Conflict>,
    /// What the entries say.
    pub evidence: Evidence,
}

impl Judgement {
    /// The verdict of a fault.
    pub fn of(&self, fault: FaultId) -> Option<&FaultVerdict> {
        self.verdicts.get(fault.place())
    }

    /// Faults with that verdict, in book order.
    pub fn with(&self, verdict: Verdict) -> impl Iterator<Item = FaultId> + '_ {
        self.verdicts.iter().filter(move |v| v.verdict == verdict).map(|v| v.fault)
    }

    /// Whether `no fault present` still stands.
    pub fn no_fault_stands(&self) -> bool {
        self.disturbed.is_empty()
    }
}

/// Judges a job from scratch; who judges one again and again keeps a [`Recall`].
pub fn judge(book: &Book, job: &Job) -> Judgement {
    Recall::default().judge(book, job)
}

/// The judgement that some evidence leads to.
pub(crate) fn judged(book: &Book, job: &Job, evidence: Evidence, hearing: &Hearing) -> Judgement {
    let mut position = Position::of(book, &evidence);
    let mut verdicts: Vec<FaultVerdict> = book
        .fault_ids()
        .map(|fault| {
            let verdict = position.verdict(fault);
            FaultVerdict { fault, verdict, weight: 0.0, reasons: position.reasons(fault, verdict) }
        })
        .collect();
    let outcome = position.outcome(&verdicts);
    if outcome == Outcome::OnlyOneLeft {
        for verdict in verdicts.iter_mut().filter(|v| v.verdict == Verdict::Open) {
            verdict.verdict = Verdict::OnlyOneLeft;
            verdict.reasons.push(Reason::OnlyOneLeft);
        }
    }
    let hypotheses = weights::weigh(book, &evidence, hearing, position.take_sets_for_weights());
    for hypothesis in &hypotheses {
        for fault in &hypothesis.faults {
            if let Some(verdict) = verdicts.get_mut(fault.place()) {
                verdict.weight += hypothesis.weight;
            }
        }
    }
    let conflicts = conflict::conflicts(job, &position, outcome);
    let disturbed = position.disturbed.clone();
    Judgement { verdicts, outcome, disturbed, hypotheses, conflicts, evidence }
}

/// What some evidence comes to, without weights or reasons: for conflicts and what-if.
pub(crate) fn stance(book: &Book, evidence: &Evidence) -> (Vec<Verdict>, Outcome) {
    let position = Position::of(book, evidence);
    let verdicts: Vec<FaultVerdict> = book
        .fault_ids()
        .map(|fault| FaultVerdict { fault, verdict: position.verdict(fault), weight: 0.0, reasons: Vec::new() })
        .collect();
    let outcome = position.outcome(&verdicts);
    (verdicts.iter().map(|v| v.verdict).collect(), outcome)
}

/// Whether entries that come to this can't all be right.
pub(crate) fn disagree(verdicts: &[Verdict], outcome: Outcome) -> bool {
    outcome == Outcome::NotCoveredOrWrongEntry || verdicts.contains(&Verdict::Conflict)
}

/// Where the evidence leaves each fault.
pub(crate) struct Position<'a> {
    pub(crate) book: &'a Book,
    pub(crate) evidence: &'a Evidence,
    pub(crate) filter: Filter<'a>,
    /// By fault: whether a set with it is left before proofs are followed.
    possible: Vec<bool>,
    /// Sets left once proofs are followed.
    left: Vec<FaultSet>,
    /// By fault: whether one of those holds it.
    remains: Vec<bool>,
    /// Proved, and not contested by itself.
    pub(crate) proved: Vec<FaultId>,
    /// Proved and ruled out.
    pub(crate) contested: Vec<FaultId>,
    /// Whether the proofs can't all be there at once.
    pub(crate) rivals: bool,
    disturbed: Vec<Disturbed>,
    /// What the rules that apply say, by fault.
    said: OnceCell<Said<'a>>,
}

/// By fault: whether one of some sets holds it.
fn held(book: &Book, sets: &[FaultSet]) -> Vec<bool> {
    let mut marks = vec![false; book.faults.len()];
    for fault in sets.iter().flatten() {
        if let Some(mark) = marks.get_mut(fault.place()) {
            *mark = true;
        }
    }
    marks
}

fn is(marks: &[bool], fault: FaultId) -> bool {
    marks.get(fault.place()) == Some(&true)
}

impl<'a> Position<'a> {
    pub(crate) fn of(book: &'a Book, evidence: &'a Evidence) -> Self {
        let filter = Filter::new(book, evidence);
        let sets = filter.sets();
        let all_proved = filter.proved();
        let possible = held(book, &sets);
        let can_be = |fault: &FaultId| is(&possible, *fault) || Self::revived(&filter, evidence, *fault);
        let (proved, contested): (Vec<FaultId>, Vec<FaultId>) = all_proved.into_iter().partition(can_be);
        let holds_all = |set: &FaultSet| proved.iter().all(|fault| set.contains(fault));
        let rivals = proved.len() > 1 && !sets.iter().any(holds_all);
        let mut left = sets;
        if !rivals && !proved.is_empty() {
            left.retain(holds_all);
            if left.is_empty() {
                left = vec![proved.clone()];
            }
        }
        let mut position = Self {
            book,
            evidence,
            filter,
            possible,
            remains: held(book, &left),
            left,
            said: OnceCell::new(),
            proved,
            contested,
            rivals,
            disturbed: evidence.disturbed.clone(),
        };
        let proofs = position.proofs_against_soundness();
        position.disturbed.extend(proofs);
        position
    }

    /// A repaired fault that a rule proves again from new entries is no conflict.
    fn revived(filter: &Filter<'_>, evidence: &Evidence, fault: FaultId) -> bool {
        let repaired = evidence.repair_of(fault).is_some_and(|r| r.verified.is_some());
        let exonerated = evidence.conclusions_rule_out(filter, fault);
        repaired && !exonerated
    }

    fn proofs_against_soundness(&self) -> Vec<Disturbed> {
        let mut found = Vec::new();
        for (applied, conclusion) in self.evidence.conclusions(self.book) {
            let stands = match conclusion {
                Conclusion::Implies(faults) => faults.iter().any(|fault| self.proved.contains(fault)),
                Conclusion::ImpliesOneOf(faults) => faults.iter().any(|fault| is(&self.possible, *fault)),
                _ => false,
            };
            if stands {
                found.push(Disturbed::Proof(applied.rule));
            }
        }
        found
    }

    fn awaiting(&self, fault: FaultId) -> bool {
        self.filter.awaiting.get(fault.place()).copied().unwrap_or(false)
    }

    pub(crate) fn verdict(&self, fault: FaultId) -> Verdict {
        if self.contested.contains(&fault) || (self.rivals && self.proved.contains(&fault)) {
            return Verdict::Conflict;
        }
        if self.proved.contains(&fault) {
            return Verdict::Proved;
        }
        if self.awaiting(fault) || is(&self.remains, fault) {
            return Verdict::Open;
        }
        Verdict::RuledOut
    }

    fn outcome(&self, verdicts: &[FaultVerdict]) -> Outcome {
        let count = |verdict: Verdict| verdicts.iter().filter(|v| v.verdict == verdict).count();
        if count(Verdict::Proved) > 0 {
            return Outcome::Proved;
        }
        if count(Verdict::Conflict) > 0 {
            return Outcome::Conflict;
        }
        let by_entry = |v: &FaultVerdict| v.verdict == Verdict::RuledOut && self.evidence.repair_of(v.fault).is_none();
        match count(Verdict::Open) {
            0 if self.disturbed.is_empty() => Outcome::NoFaultSeen,
            0 => Outcome::NotCoveredOrWrongEntry,
            1 => {
                let last = verdicts.iter().find(|v| v.verdict == Verdict::Open);
                let awaits = last.is_some_and(|v| self.evidence.repair_of(v.fault).is_some());
                if !awaits && verdicts.iter().any(by_entry) { Outcome::OnlyOneLeft } else { Outcome::Open }
            }
            _ => Outcome::Open,
        }
    }

    /// The sets that carry weight: those left, and faults in conflict, which nothing has eliminated.
    pub(crate) fn take_sets_for_weights(&mut self) -> Vec<FaultSet> {
        let mut sets = std::mem::take(&mut self.left);
        for fault in self.contested.iter().chain(if self.rivals { &self.proved[..] } else { &[] }) {
            if !sets.iter().any(|set| set.contains(fault)) {
                sets.push(vec![*fault]);
            }
        }
        sets
    }

    fn said(&self) -> &Said<'a> {
        self.said.get_or_init(|| Said::by(self.book, self.evidence))
    }

    /// Why a fault is ruled out by the evidence itself, assumptions left out.
    pub(crate) fn against(&self, fault: FaultId) -> Vec<Reason> {
        let mut reasons = self.said().against(fault, self.book.at_once);
        reasons.extend(self.evidence.circuits_rule_out(&[fault]).cloned().map(Reason::Circuit));
        for failed in self.evidence.failed_of(fault).iter().filter(|failed| !failed.sometimes) {
            reasons.push(Reason::ShowsFails(failed.nth, failed.choice.clone()));
        }
        for complained in &self.evidence.complaints {
            let listed = self.book.complaint(complained.complaint).may_be.as_ref();
            if self.book.at_once == 1 && listed.is_some_and(|list| !list.contains(&fault)) {
                reasons.push(Reason::CannotExplain(complained.complaint));
            }
        }
        reasons
    }

    fn reasons(&self, fault: FaultId, verdict: Verdict) -> Vec<Reason> {
        let mut reasons = Vec::new();
        match self.evidence.repair_of(fault).map(|repair| &repair.verified) {
            Some(Some((_, choices))) => reasons.push(Reason::Repaired(choices.clone())),
            Some(None) => reasons.push(Reason::AwaitsVerify),
            None => {}
        }
        reasons.extend(self.said().about(fault));
        reasons.extend(self.evidence.against(&[fault]).cloned().map(Reason::Circuit));
        reasons.extend(self.against(fault));
        if verdict == Verdict::Conflict && self.rivals && self.proved.contains(&fault) {
            reasons.push(Reason::Rivals(self.proved.iter().copied().filter(|other| *other != fault).collect()));
        }
        if verdict == Verdict::RuledOut && !self.rivals && !self.proved.is_empty() {
            reasons.push(Reason::Elimination(self.proved.clone()));
        }
        if verdict == Verdict::RuledOut && reasons.iter().all(Reason::only_weighs) {
            reasons.push(Reason::NoSetLeft);
        }
        reasons
    }
}

impl Evidence {
    /// Whether a rule, a `shows` or a circuit speaks against a fault, its repair aside.
    fn conclusions_rule_out(&self, filter: &Filter<'_>, fault: FaultId) -> bool {
        let rules_out =
            |conclusion: &Conclusion| matches!(conclusion, Conclusion::RulesOut(faults) if faults.contains(&fault));
        self.conclusions(filter.book()).any(|(_, conclusion)| rules_out(conclusion))
            || self.failed_of(fault).iter().any(|failed| !failed.sometimes)
            || self.circuits_rule_out(&[fault]).next().is_some()
    }
}
