//! Causes: what was proved, by what, what was done about it, and whether that is verified.

use crate::book::{ConditionRef, FaultId};
use crate::job::Job;
use crate::output::why::verdict_words;
use crate::output::words::Wording;
use crate::reasoning::choice::decide;
use crate::reasoning::history::{Came, Check, Course, Stage, Vain};
use crate::reasoning::{Choice, Facts, Judgement, Reason, Verdict};

use super::{Cause, ProofStep, ReportCheck};

impl Wording<'_> {
    /// Every cause of a job: those repaired, then those proved or left at its end.
    pub(super) fn causes(&self, course: &Course) -> Vec<Cause> {
        let mut all: Vec<Cause> = course.stages.iter().map(|stage| self.repaired_cause(stage)).collect();
        let standing = [Verdict::Proved, Verdict::OnlyOneLeft].into_iter();
        for fault in standing.flat_map(|verdict| course.last.with(verdict)) {
            let awaits = course.stages.iter().any(|stage| stage.fault == fault && stage.came == Came::NotVerified);
            if !awaits {
                all.push(self.cause(self.job, &course.last, fault));
            }
        }
        all
    }

    fn repaired_cause(&self, stage: &Stage) -> Cause {
        let earlier = Wording { book: self.book, job: &stage.job };
        let checks = self.book.fault(stage.fault).verify.iter().zip(&stage.checks);
        Cause {
            repaired: true,
            repaired_at: self.job.stamp_of(stage.line),
            came: self.came(stage),
            in_vain: matches!(stage.came, Came::InVain(_)),
            checks: checks.map(|(condition, check)| self.check(self.source_words(condition.span), check)).collect(),
            ..earlier.cause(&stage.job, &stage.judgement, stage.fault)
        }
    }

    fn cause(&self, job: &Job, judgement: &Judgement, fault: FaultId) -> Cause {
        let declared = self.book.fault(fault);
        let wording = Wording { book: self.book, job };
        let reasons = judgement.of(fault).map_or(&[][..], |found| &found.reasons);
        let ruled_out = judgement.with(Verdict::RuledOut).count();
        let part = declared.part.map(|part| self.book.part(part));
        Cause {
            fault: declared.name.clone(),
            description: declared.description.as_ref().map(ToString::to_string),
            verdict: judgement.of(fault).map_or("", |found| verdict_words(found.verdict)).to_string(),
            proof: reasons.iter().filter_map(|reason| wording.proof_step(reason)).collect(),
            ruled_out: (ruled_out, judgement.verdicts.len()),
            remedy: declared.remedy.as_ref().map(ToString::to_string),
            part: part.map(|part| part.place.as_ref().map_or(part.name.clone(), |at| format!("{} ({at})", part.name))),
            repaired: false,
            repaired_at: None,
            came: "not repaired".into(),
            in_vain: false,
            checks: declared.verify.iter().map(|c| self.check(self.source_words(c.span), &Check::Unknown)).collect(),
        }
    }

    fn proof_step(&self, reason: &Reason) -> Option<ProofStep> {
        let bare = |says: String| ProofStep { says, because: None, source: None, entries: Vec::new() };
        match reason {
            Reason::Implied(rule, choice) => {
                let rule = self.book.rule(*rule);
                Some(ProofStep {
                    says: format!("rule `{}` implies it ({})", rule.label, self.place(rule.span)),
                    because: rule.because.as_ref().map(ToString::to_string),
                    source: rule.source.as_ref().map(ToString::to_string),
                    entries: self.rows(&choice.entries()),
                })
            }
            Reason::OnlyOneLeft | Reason::Rivals(_) => Some(bare(self.reason_in_short(reason))),
            _ => None,
        }
    }

    /// What a repair came to, in words.
    pub fn came(&self, stage: &Stage) -> String {
        let name = |fault: &FaultId| &self.book.fault(*fault).name;
        match &stage.came {
            Came::Verified => "repaired and verified".into(),
            Came::NotVerified => "repaired, not yet verified".into(),
            Came::InVain(Vain::VerifyFails(nth)) => {
                let failed = self.book.condition(ConditionRef::Verify(stage.fault, *nth));
                let failed = failed.map_or(String::new(), |condition| self.source_words(condition.span));
                format!("in vain: after it, {failed} did not hold")
            }
            Came::InVain(Vain::OtherProved(other)) => format!("in vain: afterwards {} was proved", name(other)),
            Came::InVain(Vain::OtherRepaired(other)) => format!("in vain: afterwards {} was repaired", name(other)),
        }
    }

    fn check(&self, words: String, check: &Check) -> ReportCheck {
        let (holds, choice) = match check {
            Check::Holds(choice) => ("yes", Some(choice)),
            Check::Fails(choice) => ("no", Some(choice)),
            Check::Unknown => ("not known", None),
        };
        ReportCheck { words, holds: holds.into(), entries: self.rows(&choice.map_or(Vec::new(), Choice::entries)) }
    }

    /// Each complaint, and whether it is gone by the entries since the last repair.
    pub(super) fn complaints(&self) -> Vec<ReportCheck> {
        let facts = Facts::of(self.book, self.job, self.job.epoch(), |_| true);
        let mut all: Vec<ReportCheck> = Vec::new();
        for entered in &self.job.complaints {
            let name = &self.book.complaint(entered.complaint).name;
            if all.iter().any(|known| known.words == *name) {
                continue;
            }
            let check = match self.book.condition(ConditionRef::Gone(entered.complaint)) {
                None => Check::Unknown,
                Some(gone) => match (decide(&facts, gone, true), decide(&facts, gone, false)) {
                    (Some(choice), _) => Check::Holds(choice),
                    (None, Some(choice)) => Check::Fails(choice),
                    (None, None) => Check::Unknown,
                },
            };
            all.push(self.check(name.clone(), &check));
        }
        all
    }
}
