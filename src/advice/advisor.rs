//! First things first: entries to take again, baseline tests of the complaint, verification of repairs; then what tells
//! faults apart.

use crate::book::{Asked, Book, ConditionRef, FaultId, IndicationId};
use crate::job::Job;
use crate::reasoning::suspects::retake;
use crate::reasoning::{Facts, Judgement, Outcome as Comes, Truth, Verdict};

use super::aims::aims;
use super::bundles::Shelf;
use super::candidates::{Candidate, candidate, is_entered};
use super::meaning::answers;
use super::next::{Advice, HandOver, Note, Purpose, TestAdvice};
use super::outlook::Asking;
use super::pool::{Pool, information};
use super::proof::cheapest;
use super::reach;
use super::worth::{Worth, ranking};

/// What advice is made from.
pub(super) struct Advisor<'a> {
    book: &'a Book,
    job: &'a Job,
    judgement: &'a Judgement,
    facts: Facts<'a>,
    asking: Asking<'a>,
    pool: Pool,
}

impl<'a> Advisor<'a> {
    pub(super) fn of(book: &'a Book, job: &'a Job, judgement: &'a Judgement) -> Self {
        let asking = Asking::of(book, job, judgement);
        Self { book, job, judgement, facts: asking.facts(), asking, pool: Pool::of(judgement) }
    }

    pub(super) fn note(&self) -> Option<Note> {
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
    pub(super) fn retakes(&self, advice: &mut Advice) {
        for id in self.judgement.conflicts.iter().filter_map(|c| retake(self.book, self.job, c)) {
            let Some(entry) = self.job.entry(id) else { continue };
            let steps = reach::steps(self.book, &self.job.setup, &entry.setup);
            let own = &self.book.indication(entry.indication).steps;
            let (seconds, timed) = reach::seconds(own);
            let stop =
                steps.iter().find_map(|step| reach::stop_caution(self.book, &self.book.setting(step.setting).steps));
            let found = Candidate {
                indication: entry.indication,
                asked: Asked { demand: Default::default(), words: Vec::new(), loose: Vec::new() },
                setup: entry.setup.clone(),
                seconds: steps.iter().fold(seconds, |sum, step| sum + step.seconds),
                steps,
                timed,
                stop: reach::stop_caution(self.book, own).or(stop),
                beside: None,
            };
            self.take(advice, found, Purpose::Retake(id), None);
        }
    }

    /// The tests that the complaint asks for first and that nobody took.
    pub(super) fn baseline(&self, advice: &mut Advice) {
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
        let needs = Asked {
            demand: self.book.indication(id).demand.clone(),
            words: self.book.indication(id).needs.clone(),
            loose: Vec::new(),
        };
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
    pub(super) fn verification(&self, advice: &mut Advice) {
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
            let asked =
                self.book.uses_of(slot.indication).and_then(|uses| uses.asked.iter().find(|a| a.demand == slot.demand));
            let Some(asked) = asked else { continue };
            if self.job.unreachable.contains(&slot.indication) || is_entered(&self.facts, slot.indication, asked) {
                continue;
            }
            if let Some(found) = candidate(self.book, &self.job.setup, slot.indication, asked) {
                self.take(advice, found, purpose, None);
            }
        }
    }

    /// Tests by expected information per minute, up to `count` steps in all. The bits a second of the best.
    pub(super) fn tell_apart(&self, advice: &mut Advice, count: usize) -> f64 {
        let mut shelf = Shelf::new(&self.asking, &self.pool);
        let mut best: f64 = 0.0;
        self.prove(advice, &mut shelf);
        for worth in ranking(&self.asking, &self.pool, &self.facts, &mut shelf) {
            if advice.steps.len() >= count {
                break;
            }
            if self.judgement.outcome == Comes::OnlyOneLeft && !self.settles(&worth, &mut shelf) {
                continue;
            }
            best = best.max(worth.rate());
            let purpose = worth.test.beside.map_or(Purpose::TellApart, Purpose::Beside);
            self.take(advice, worth.test.clone(), purpose, Some(&worth));
        }
        if advice.steps.is_empty() && advice.hand_over.is_empty() && advice.note.is_none() {
            advice.note = Some(Note::NothingSeparates);
        }
        best
    }

    /// The cheapest test, or first of some, that may prove the only fault left.
    fn prove(&self, advice: &mut Advice, shelf: &mut Shelf<'_>) {
        let Some(fault) = self.judgement.with(Verdict::OnlyOneLeft).next() else { return };
        let Some(proof) = cheapest(&self.asking, &self.pool, shelf, fault) else { return };
        let Some((first, rest)) = proof.tests.split_first() else { return };
        let others: Vec<IndicationId> = rest.iter().map(|test| test.indication).collect();
        let before = advice.steps.len();
        self.take(advice, first.clone(), Purpose::Prove(fault), None);
        if let (Some(step), false) = (advice.steps.get_mut(before), others.is_empty()) {
            step.together = Some((ConditionRef::Rule(proof.rule), others));
        }
    }

    /// Whether an answer would prove the only fault left, or rule it out.
    fn settles(&self, worth: &Worth, shelf: &mut Shelf<'_>) -> bool {
        let (outlook, rows) = shelf.get(&worth.test);
        let proves = outlook.table.applied.iter().any(|applied| !self.asking.proves(applied).is_empty());
        let named = self.pool.sets.iter().enumerate().filter(|(_, set)| !set.is_empty());
        let rules_out = named.into_iter().any(|(n, _)| rows.row(n).iter().any(|chance| *chance <= 0.0));
        proves || rules_out || worth.together.is_some()
    }

    /// Adds a test, or hands it over where a caution stops it.
    fn take(&self, advice: &mut Advice, found: Candidate, purpose: Purpose, worth: Option<&Worth>) {
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
        let outlook = self.asking.outlook(&found);
        let rows = self.pool.rows(&self.asking, &outlook.table);
        let masses = self.pool.masses(&rows);
        let blurred: Vec<Vec<f64>> = rows.rows.iter().map(|row| outlook.blurred(row)).collect();
        let too_close = rows.rows.iter().zip(&masses).map(|(row, mass)| mass * outlook.too_close(row)).sum();
        let aims = aims(&self.asking, &found, &outlook.cells, purpose);
        let answers = answers(&self.asking, self.judgement, &self.pool, &outlook, &rows, &aims);
        let open: Vec<FaultId> = super::meaning::open(self.judgement).collect();
        let repeat = super::repeats::repeat(&self.asking, &self.pool, &found, &outlook, &rows);
        let spoken = outlook.table.mentioned(self.book);
        let silent = open.iter().filter(|fault| spoken.get(fault.place()) != Some(&true)).count();
        let Candidate { indication, setup, steps, seconds, timed, .. } = found;
        advice.steps.push(TestAdvice {
            indication,
            setup,
            steps,
            seconds,
            timed,
            purpose,
            gain_bits: worth.map_or_else(|| information(&blurred, &masses), |worth| worth.gain),
            together: worth.and_then(|worth| worth.together.clone()),
            too_close,
            meter: outlook.meter,
            silent,
            open: open.len(),
            answers,
            repeat,
        });
    }
}
