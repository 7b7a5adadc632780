//! What to do next: baseline tests of the complaint, then the test that tells most for its minutes, then repairs.

use crate::book::{Asked, Book, CautionId, ComplaintId, ConditionRef, FaultId, IndicationId, Setup};
use crate::job::{EntryId, Job};
use crate::reasoning::cells::Cell;
use crate::reasoning::judge::Hypothesis;
use crate::reasoning::{Facts, Judgement, Outcome as Comes, Truth, Verdict};

use super::candidates::{Candidate, candidate, candidates, is_entered};
use super::outlook::{Asking, Outlook};
use super::reach::{self, SetStep};

/// Seconds that a repair is taken to last where the book says nothing.
pub const USUAL_REPAIR_SECONDS: f64 = 1800.0;

/// Less information than this, in bits, is none.
const NOTHING: f64 = 1e-9;

/// What a test is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// The complaint asks for it before anything else.
    Baseline(ComplaintId),
    /// It tells what is left apart.
    TellApart,
    /// An entry is to be taken again.
    Retake(EntryId),
    /// It verifies a repair.
    Verify(FaultId),
    /// It shows whether the complaint is gone.
    Gone(ComplaintId),
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
    /// Faults that would still be possible.
    pub leaves: Vec<FaultId>,
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
    /// Whether the book says how long the test takes; else [`reach::USUAL_SECONDS`] is assumed.
    pub timed: bool,
    /// What it is for.
    pub purpose: Purpose,
    /// Expected information about what is wrong, in bits.
    pub gain_bits: f64,
    /// Its answers.
    pub answers: Vec<AnswerOutcome>,
}

/// A repair to make.
#[derive(Clone, PartialEq, Debug)]
pub struct RepairAdvice {
    /// Of which fault.
    pub fault: FaultId,
    /// How likely it is that this is what is wrong: an estimate.
    pub weight: f64,
    /// How long it takes.
    pub seconds: f64,
    /// Whether the book says so; else [`USUAL_REPAIR_SECONDS`] is assumed.
    pub timed: bool,
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
    /// Work for licensed or qualified staff: hand over and take their result.
    pub hand_over: Vec<HandOver>,
    /// A word beside it.
    pub note: Option<Note>,
}

/// What to do next; at most `count` tests that tell faults apart, and as many repairs.
pub fn advise(book: &Book, job: &Job, judgement: &Judgement, count: usize) -> Advice {
    let advisor = Advisor {
        book,
        job,
        judgement,
        facts: Facts::of(book, job, job.epoch(), |_| true),
        asking: Asking::of(book, job, judgement),
    };
    let mut advice = Advice { note: advisor.note(), ..Advice::default() };
    advisor.retakes(&mut advice);
    advisor.baseline(&mut advice);
    advisor.verification(&mut advice);
    if judgement.conflicts.is_empty() && matches!(judgement.outcome, Comes::Open | Comes::OnlyOneLeft) {
        advisor.tell_apart(&mut advice, count);
    }
    advisor.repairs(&mut advice, count);
    if advice.steps.is_empty() && advice.repairs.is_empty() && advice.hand_over.is_empty() && advice.note.is_none() {
        advice.note = Some(Note::NothingLeft);
    }
    advice
}

struct Advisor<'a> {
    book: &'a Book,
    job: &'a Job,
    judgement: &'a Judgement,
    facts: Facts<'a>,
    asking: Asking<'a>,
}

impl Advisor<'_> {
    fn note(&self) -> Option<Note> {
        use crate::reasoning::conflict::ConflictKind;
        let rivals = self.judgement.conflicts.iter().find_map(|conflict| match &conflict.kind {
            ConflictKind::Rivals(faults) => Some(faults.len()),
            _ => None,
        });
        match (rivals, self.judgement.outcome) {
            (Some(count), _) => Some(Note::MoreAtOnce(count)),
            (None, Comes::NotCoveredOrWrongEntry) => Some(Note::NotCovered),
            (None, Comes::NoFaultSeen) => Some(Note::NoFaultSeen),
            (None, _) if !self.judgement.conflicts.is_empty() => Some(Note::Quarrel),
            _ => None,
        }
    }

    /// Entries of conflicts that are to be taken again.
    fn retakes(&self, advice: &mut Advice) {
        for id in self.judgement.conflicts.iter().filter_map(|conflict| conflict.retake) {
            let Some(entry) = self.job.entry(id) else { continue };
            let steps = reach::steps(self.book, &self.job.setup, &entry.setup);
            let own = &self.book.indication(entry.indication).steps;
            let (seconds, timed) = reach::seconds(own);
            let stop = steps.iter().find_map(|step| reach::stop_caution(self.book, &self.book.setting(step.setting).steps));
            let found = Candidate {
                indication: entry.indication,
                setup: entry.setup.clone(),
                seconds: steps.iter().fold(seconds, |sum, step| sum + step.seconds),
                steps,
                timed,
                stop: reach::stop_caution(self.book, own).or(stop),
            };
            self.take(advice, found, Purpose::Retake(id), None);
        }
    }

    /// The tests that the complaint asks for first and that nobody took.
    fn baseline(&self, advice: &mut Advice) {
        for complained in self.judgement.evidence.complaints.iter().filter(|c| c.gone.is_none()) {
            for id in &self.book.complaint(complained.complaint).first {
                if let Some(found) = self.nearest(*id) {
                    self.take(advice, found, Purpose::Baseline(complained.complaint), None);
                }
            }
        }
    }

    /// The test of an indication that is soonest done; none if it is entered or can't be reached.
    fn nearest(&self, id: IndicationId) -> Option<Candidate> {
        let needs = Asked { demand: self.book.indication(id).demand.clone(), words: self.book.indication(id).needs.clone(), loose: Vec::new() };
        if self.job.unreachable.contains(&id) || is_entered(&self.facts, id, &needs) {
            return None;
        }
        let asked = self.book.uses_of(id).map_or(&[][..], |uses| &uses.asked);
        if asked.iter().any(|asked| is_entered(&self.facts, id, asked)) {
            return None;
        }
        let ways = asked.iter().chain([&needs]).filter_map(|asked| candidate(self.book, &self.job.setup, id, asked));
        ways.min_by(|a, b| a.seconds.total_cmp(&b.seconds))
    }

    /// The tests that verify a repair, and those that show whether the complaint is gone.
    fn verification(&self, advice: &mut Advice) {
        for repair in self.judgement.evidence.repairs.iter().filter(|repair| repair.verified.is_none()) {
            for nth in 0..self.book.fault(repair.fault).verify.len() {
                self.decide(advice, ConditionRef::Verify(repair.fault, nth), Purpose::Verify(repair.fault));
            }
        }
        for entered in self.job.complaints.iter().filter(|_| !self.job.repairs.is_empty()) {
            self.decide(advice, ConditionRef::Gone(entered.complaint), Purpose::Gone(entered.complaint));
        }
    }

    /// The tests that a condition still waits for.
    fn decide(&self, advice: &mut Advice, which: ConditionRef, purpose: Purpose) {
        let Some(condition) = self.book.condition(which) else { return };
        if crate::reasoning::choice::truth(&self.facts, condition) != Truth::Unknown {
            return;
        }
        for slot in &condition.slots {
            let asked = self.book.uses_of(slot.indication).and_then(|uses| uses.asked.iter().find(|a| a.demand == slot.demand));
            let Some(asked) = asked else { continue };
            if self.job.unreachable.contains(&slot.indication) || is_entered(&self.facts, slot.indication, asked) {
                continue;
            }
            if let Some(found) = candidate(self.book, &self.job.setup, slot.indication, asked) {
                self.take(advice, found, purpose, None);
            }
        }
    }

    /// Tests by expected information per minute.
    fn tell_apart(&self, advice: &mut Advice, count: usize) {
        let mut worth: Vec<(f64, Candidate, Outlook, f64)> = Vec::new();
        for found in candidates(self.book, self.job, &self.facts) {
            let outlook = self.asking.outlook(&found);
            let gain = self.gain(&outlook);
            if gain > NOTHING {
                let rate = gain / found.seconds.max(1.0);
                worth.push((rate, found, outlook, gain));
            }
        }
        worth.sort_by(|a, b| b.0.total_cmp(&a.0));
        let before = advice.steps.len() + advice.hand_over.len();
        for (_, found, outlook, gain) in worth {
            if advice.steps.len() < before + count {
                self.take(advice, found, Purpose::TellApart, Some((&outlook, gain)));
            }
        }
        let none = advice.steps.is_empty() && advice.hand_over.is_empty();
        if none && advice.note.is_none() {
            advice.note = Some(Note::NothingSeparates);
        }
    }

    /// Expected information of a test, in bits.
    fn gain(&self, outlook: &Outlook) -> f64 {
        let entropy = |chances: &[f64]| chances.iter().filter(|p| **p > 0.0).fold(0.0, |sum, p| sum - p * p.log2());
        let mut mixed = vec![0.0; outlook.cells.len()];
        let mut doubt = 0.0;
        for Hypothesis { faults, weight } in &self.judgement.hypotheses {
            let row = self.asking.row(outlook, faults);
            doubt += weight * entropy(&row);
            mixed.iter_mut().zip(&row).for_each(|(sum, chance)| *sum += weight * chance);
        }
        (entropy(&mixed) - doubt).max(0.0)
    }

    /// Adds a test, or hands it over where a caution stops it.
    fn take(&self, advice: &mut Advice, found: Candidate, purpose: Purpose, known: Option<(&Outlook, f64)>) {
        if let Some(caution) = found.stop {
            let over = HandOver::Test(found.indication, caution);
            if !advice.hand_over.contains(&over) {
                advice.hand_over.push(over);
            }
            return;
        }
        if advice.steps.iter().any(|step| step.indication == found.indication && step.setup == found.setup) {
            return;
        }
        let own = known.is_none().then(|| self.asking.outlook(&found));
        let (outlook, gain_bits) = match (known, &own) {
            (Some((outlook, gain)), _) => (outlook, gain),
            (None, Some(outlook)) => (outlook, self.gain(outlook)),
            (None, None) => return,
        };
        let answers = self.answers(outlook);
        let Candidate { indication, setup, steps, seconds, timed, .. } = found;
        advice.steps.push(TestAdvice { indication, setup, steps, seconds, timed, purpose, gain_bits, answers });
    }

    /// The answers of a test, those joined that lead to the same.
    fn answers(&self, outlook: &Outlook) -> Vec<AnswerOutcome> {
        let rows: Vec<(&Hypothesis, Vec<f64>)> =
            self.judgement.hypotheses.iter().map(|h| (h, self.asking.row(outlook, &h.faults))).collect();
        let open: Vec<FaultId> = self.judgement.verdicts.iter().filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft)).map(|v| v.fault).collect();
        let mut answers: Vec<(usize, AnswerOutcome)> = Vec::new();
        for (place, cell) in outlook.cells.iter().enumerate() {
            let chance = |row: &Vec<f64>| row.get(place).copied().unwrap_or(0.0);
            let probability = rows.iter().map(|(h, row)| h.weight * chance(row)).sum();
            let stays = |fault: &FaultId| rows.iter().any(|(h, row)| h.faults.contains(fault) && chance(row) > 0.0);
            let (leaves, rules_out): (Vec<FaultId>, Vec<FaultId>) = open.iter().copied().partition(stays);
            let proves = self.asking.proves(outlook.table.applied.get(place).map_or(&[][..], Vec::as_slice));
            let answer = AnswerOutcome { cells: vec![cell.clone()], probability, rules_out, proves, leaves };
            let alike = |(other, _): &(usize, AnswerOutcome)| outlook.table.same_answer(*other, place);
            let neighbour = matches!(cell, Cell::Range { .. });
            let found = if neighbour { answers.last_mut().filter(|last| alike(last)) } else { answers.iter_mut().find(|other| alike(other)) };
            match found {
                Some((_, joined)) => {
                    joined.cells.extend(answer.cells);
                    joined.probability += answer.probability;
                }
                None => answers.push((place, answer)),
            }
        }
        answers.into_iter().map(|(_, answer)| answer).collect()
    }

    /// Repairs of what is proved; of what is left where no test is on offer.
    fn repairs(&self, advice: &mut Advice, count: usize) {
        let proved: Vec<FaultId> = self.judgement.with(Verdict::Proved).collect();
        let nothing_to_measure = advice.steps.is_empty() && matches!(self.judgement.outcome, Comes::Open | Comes::OnlyOneLeft);
        let faults: Vec<FaultId> = match (proved.is_empty(), nothing_to_measure) {
            (false, _) => proved,
            (true, true) => self.judgement.verdicts.iter().filter(|v| matches!(v.verdict, Verdict::Open | Verdict::OnlyOneLeft)).map(|v| v.fault).collect(),
            _ => Vec::new(),
        };
        let mut all: Vec<RepairAdvice> = faults.into_iter().filter(|fault| !self.awaits(*fault)).map(|fault| self.repair(fault)).collect();
        all.sort_by(|a, b| self.pays(b).total_cmp(&self.pays(a)));
        for repair in all {
            let steps = &self.book.fault(repair.fault).steps;
            match reach::stop_caution(self.book, steps) {
                Some(caution) => advice.hand_over.push(HandOver::Repair(repair.fault, caution)),
                None if advice.repairs.len() < count => advice.repairs.push(repair),
                None => {}
            }
        }
    }

    fn awaits(&self, fault: FaultId) -> bool {
        self.judgement.evidence.repair_of(fault).is_some_and(|repair| repair.verified.is_none())
    }

    fn repair(&self, fault: FaultId) -> RepairAdvice {
        let takes = self.book.fault(fault).steps.takes.as_ref();
        let weight = self.judgement.of(fault).map_or(0.0, |v| v.weight);
        let seconds = takes.map_or(USUAL_REPAIR_SECONDS, |takes| takes.to_f64().max(0.0));
        RepairAdvice { fault, weight, seconds, timed: takes.is_some() }
    }

    /// Probability over cost; odds over cost where several faults may be there at once.
    fn pays(&self, repair: &RepairAdvice) -> f64 {
        let likely = if self.book.at_once == 1 { repair.weight } else { repair.weight / (1.0 - repair.weight).max(1e-9) };
        likely / repair.seconds.max(1.0)
    }
}
