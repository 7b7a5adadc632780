//! What to do next: baseline tests of the complaint, then the test that tells most for its minutes, then repairs.

use crate::book::{Book, CautionId, ComplaintId, ConditionRef, FaultId, IndicationId, Setup};
use crate::job::{EntryId, Job};
use crate::reasoning::cells::Cell;
use crate::reasoning::{Judgement, Outcome, Verdict};
use crate::units::Exact;

use super::advisor::Advisor;
use super::reach::SetStep;
use super::repairs::RepairAdvice;
use super::repeats::Repeat;

/// What a test is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// The complaint asks for it before anything else.
    Baseline(ComplaintId),
    /// It tells what is left apart.
    TellApart,
    /// It tells what is left apart, beside this entry: the two were taken under different setups, and decide something
    /// only under one.
    Beside(EntryId),
    /// An entry is to be taken again.
    Retake(EntryId),
    /// It verifies a repair.
    Verify(FaultId),
    /// It shows whether the complaint is gone.
    Gone(ComplaintId),
    /// It may prove the only fault left.
    Prove(FaultId),
}

/// What an answer does to what a test is taken for: a repair to be verified, a complaint to be gone, a quarrel to end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Aim {
    /// It is so then.
    Reached,
    /// Not yet, but the answer doesn't speak against it.
    Open,
    /// It is not so.
    Missed,
}

/// One answer of a test and what would follow.
#[derive(Clone, PartialEq, Debug)]
pub struct AnswerOutcome {
    /// The answers that lead to the same: answers of an observation, or neighbouring ranges.
    pub cells: Vec<Cell>,
    /// How likely it is: an estimate.
    pub probability: f64,
    /// Faults that it would rule out.
    pub rules_out: Vec<FaultId>,
    /// Faults that it would prove.
    pub proves: Vec<FaultId>,
    /// The likeliest fault then, and how likely: an estimate.
    pub likeliest: Option<(FaultId, f64)>,
    /// Faults that would still be possible.
    pub leaves: Vec<FaultId>,
    /// What it does to what the test is taken for; none if that is to tell faults apart.
    pub aim: Option<Aim>,
}

impl AnswerOutcome {
    /// Whether it tells nothing of any fault, nor of what the test is taken for.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.proves.is_empty() && self.rules_out.is_empty() && matches!(self.aim, None | Some(Aim::Open))
    }
}

/// A test to take.
#[derive(Clone, PartialEq, Debug)]
pub struct TestAdvice {
    /// Of what.
    pub indication: IndicationId,
    /// Under which setup.
    pub setup: Setup,
    /// The way there from where the vehicle stands.
    pub steps: Vec<SetStep>,
    /// How long it takes, the way there included.
    pub seconds: f64,
    /// Whether the book says how long the test takes; else [`super::reach::USUAL_SECONDS`] is assumed.
    pub timed: bool,
    /// What it is for.
    pub purpose: Purpose,
    /// Expected information about what is wrong, in bits; with all of `together`, if there are any.
    pub gain_bits: f64,
    /// The tests to take after it, if it tells something only together with them, and what they decide.
    pub together: Option<(ConditionRef, Vec<IndicationId>)>,
    /// How likely the reading lies too close to a limit for the meter.
    pub too_close: f64,
    /// How well the meter reads at the limits: the widest half width, in base units; none if no meter is known.
    pub meter: Option<Exact>,
    /// Of how many faults that may be there the book says nothing in this test: they may show any answer.
    pub silent: usize,
    /// How many faults may be there.
    pub open: usize,
    /// Its answers.
    pub answers: Vec<AnswerOutcome>,
    /// What further tries would come to, where it shows something only sometimes.
    pub repeat: Option<Repeat>,
}

/// Work that is left to licensed or qualified staff.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum HandOver {
    /// A test.
    Test(IndicationId, CautionId),
    /// A repair.
    Repair(FaultId, CautionId),
}

/// Something to say beside, or instead of, tests and repairs.
#[derive(Clone, PartialEq, Debug)]
pub enum Note {
    /// More faults are proved than the book allows at once.
    MoreAtOnce(usize),
    /// Entries quarrel.
    Quarrel,
    /// No fault is left: an entry is wrong, or the book doesn't cover it.
    NotCovered,
    /// No fault is left and nothing is out of order.
    NoFaultSeen,
    /// No test on offer separates what is left.
    NothingSeparates,
    /// One fault is left, and no test on offer would prove it or rule it out.
    NothingProves(FaultId),
    /// Nothing is left to advise.
    NothingLeft,
}

/// What to do next.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Advice {
    /// Tests, first things first.
    pub steps: Vec<TestAdvice>,
    /// Repairs, the one that pays most for its minutes first.
    pub repairs: Vec<RepairAdvice>,
    /// A repair that, with its verification, may cost less than the tests that are left.
    pub instead: Option<RepairAdvice>,
    /// Work for licensed or qualified staff: hand over and take their result.
    pub hand_over: Vec<HandOver>,
    /// A word beside it.
    pub note: Option<Note>,
}

/// What to do next: at most `count` tests, and as many repairs.
pub fn advise(book: &Book, job: &Job, judgement: &Judgement, count: usize) -> Advice {
    let advisor = Advisor::of(book, job, judgement);
    let count = count.max(1);
    let mut advice = Advice { note: advisor.note(), ..Advice::default() };
    advisor.retakes(&mut advice);
    advisor.baseline(&mut advice);
    advisor.verification(&mut advice);
    let mut best = 0.0;
    if judgement.conflicts.is_empty() && matches!(judgement.outcome, Outcome::Open | Outcome::OnlyOneLeft) {
        best = advisor.tell_apart(&mut advice, count);
    }
    super::repairs::add(book, judgement, &mut advice, count, best);
    if let (Some(Note::NothingSeparates), Some(left)) = (&advice.note, judgement.with(Verdict::OnlyOneLeft).next()) {
        advice.note = Some(Note::NothingProves(left));
    }
    advice.steps.truncate(count);
    if advice.steps.is_empty() && advice.repairs.is_empty() && advice.hand_over.is_empty() && advice.note.is_none() {
        advice.note = Some(Note::NothingLeft);
    }
    advice
}
