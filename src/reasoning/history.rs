//! The course of a job: how it was judged before each repair, and what each repair came to. Knows nothing of text.
//!
//! A repair is *in vain* where, before the next repair, what would verify it is seen not to hold, or where another fault
//! is proved or repaired afterwards while it was never verified by itself. What it replaced was good.

use crate::book::{Book, Condition, FaultId};
use crate::job::Job;

use super::choice::decide;
use super::evidence::gather;
use super::judge::stance;
use super::{Choice, Facts, FaultVerdict, Judgement, Verdict, judge};

/// What speaks for a repair having been in vain.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Vain {
    /// What would verify it is seen not to hold: which of its `verify`, from 0.
    VerifyFails(usize),
    /// Another fault was proved afterwards.
    OtherProved(FaultId),
    /// Another fault was repaired afterwards.
    OtherRepaired(FaultId),
}

/// What a repair came to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Came {
    /// All that verifies it holds.
    Verified,
    /// Nothing says so yet, or the book doesn't say what verifies it.
    NotVerified,
    /// It did not help.
    InVain(Vain),
}

/// One `verify` of a repair, as the entries since then leave it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Check {
    /// It holds by these entries.
    Holds(Choice),
    /// It is seen not to hold.
    Fails(Choice),
    /// It is not known.
    Unknown,
}

/// A repair with what was known before it.
#[derive(Clone, PartialEq, Debug)]
pub struct Stage {
    /// The fault that was repaired.
    pub fault: FaultId,
    /// The line that says so.
    pub line: usize,
    /// The job as it stood before.
    pub job: Job,
    /// How it was judged then.
    pub judgement: Judgement,
    /// One a `verify` of the fault.
    pub checks: Vec<Check>,
    /// What it came to.
    pub came: Came,
}

/// The whole course of a job.
#[derive(Clone, PartialEq, Debug)]
pub struct Course {
    /// Its repairs, in order.
    pub stages: Vec<Stage>,
    /// How it is judged at its end.
    pub last: Judgement,
}

/// Follows a job from repair to repair.
pub fn course(book: &Book, job: &Job) -> Course {
    followed(book, job, judge)
}

/// The same with verdicts alone, for many jobs at once: weights are 0, reasons and conflicts are left out.
pub fn outline(book: &Book, job: &Job) -> Course {
    followed(book, job, verdicts_alone)
}

fn verdicts_alone(book: &Book, job: &Job) -> Judgement {
    let evidence = gather(book, job);
    let (found, outcome) = stance(book, &evidence);
    let verdict = |(fault, verdict)| FaultVerdict { fault, verdict, weight: 0.0, reasons: Vec::new() };
    let verdicts = book.fault_ids().zip(found).map(verdict).collect();
    Judgement { verdicts, outcome, disturbed: Vec::new(), hypotheses: Vec::new(), conflicts: Vec::new(), evidence }
}

fn followed(book: &Book, job: &Job, judge: impl Fn(&Book, &Job) -> Judgement) -> Course {
    let last = judge(book, job);
    let mut stages: Vec<Stage> = Vec::new();
    let before = job.before_each(book, job.repairs.iter().map(|repair| repair.line));
    for (place, (repair, earlier)) in job.repairs.iter().zip(before).enumerate() {
        let judgement = judge(book, &earlier);
        let checks = checks(book, job, &book.fault(repair.fault).verify, place + 1);
        stages.push(Stage {
            fault: repair.fault,
            line: repair.line,
            job: earlier,
            judgement,
            checks,
            came: Came::NotVerified,
        });
    }
    let came: Vec<Came> = (0..stages.len()).map(|place| came(book, job, &stages, &last, place)).collect();
    for (stage, came) in stages.iter_mut().zip(came) {
        stage.came = came;
    }
    Course { stages, last }
}

/// Each condition by the entries of the first epoch from `first` on that decides it; one that holds goes before.
fn checks(book: &Book, job: &Job, conditions: &[Condition], first: usize) -> Vec<Check> {
    let epochs: Vec<Facts<'_>> = (first..=job.epoch()).map(|epoch| Facts::of(book, job, epoch, |_| true)).collect();
    let each = conditions.iter().map(|condition| {
        let found = |want| epochs.iter().find_map(|facts| decide(facts, condition, want));
        found(true).map(Check::Holds).or_else(|| found(false).map(Check::Fails)).unwrap_or(Check::Unknown)
    });
    each.collect()
}

fn came(book: &Book, job: &Job, stages: &[Stage], last: &Judgement, place: usize) -> Came {
    let Some(stage) = stages.get(place) else { return Came::NotVerified };
    let verify = &book.fault(stage.fault).verify;
    let own = Facts::of(book, job, place + 1, |_| true);
    let holds = |condition: &Condition| decide(&own, condition, true).is_some();
    if !verify.is_empty() && verify.iter().all(holds) {
        return Came::Verified;
    }
    // Of several faults that were proved at once the first repair can't show yet.
    let proved = stage.judgement.of(stage.fault).is_some_and(|found| found.verdict == Verdict::Proved);
    let all_hold = !stage.checks.is_empty() && stage.checks.iter().all(|check| matches!(check, Check::Holds(_)));
    if proved && all_hold {
        return Came::Verified;
    }
    if let Some(nth) = verify.iter().position(|c| !holds(c) && decide(&own, c, false).is_some()) {
        return Came::InVain(Vain::VerifyFails(nth));
    }
    let later = stages.get(place + 1..).unwrap_or(&[]);
    let other = |fault: &FaultId| *fault != stage.fault;
    let judged = later.iter().map(|stage| &stage.judgement).chain([last]);
    if let Some(proved) = judged.flat_map(|judgement| judgement.with(Verdict::Proved)).find(other) {
        return Came::InVain(Vain::OtherProved(proved));
    }
    if let Some(repaired) = later.iter().map(|stage| stage.fault).find(other) {
        return Came::InVain(Vain::OtherRepaired(repaired));
    }
    if all_hold { Came::Verified } else { Came::NotVerified }
}
