//! Ways to choose the next test.

use std::borrow::Cow;

use ruleout::advice::reach;
use ruleout::advice::{Purpose, TestAdvice, advise};
use ruleout::book::{Book, Conclusion, ConditionRef, FaultId, IndicationId};
use ruleout::job::{EntryId, Job};
use ruleout::reasoning::{Judgement, Outcome, Verdict, judge};

use super::world::{Dice, World};

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Way {
    Advice,
    BookOrder,
    Likeliest,
    ProbabilityOverCost,
    Random,
}

pub(crate) const WAYS: [Way; 5] = [Way::Advice, Way::BookOrder, Way::Likeliest, Way::ProbabilityOverCost, Way::Random];

impl Way {
    /// As the table names it.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Way::Advice => "advice",
            Way::BookOrder => "book order",
            Way::Likeliest => "likeliest first",
            Way::ProbabilityOverCost => "probability / cost",
            Way::Random => "random",
        }
    }
}

/// How a hunt ended.
pub(crate) struct Hunt {
    pub(crate) minutes: f64,
    /// The tests in order.
    pub(crate) taken: Vec<Taken>,
    /// What was entered.
    pub(crate) job: Job,
    /// The true fault is the only one left, or proved.
    pub(crate) found: bool,
    /// Another one is.
    pub(crate) wrong: bool,
}

/// A test of a hunt.
pub(crate) struct Taken {
    pub(crate) indication: IndicationId,
    /// The way there included.
    pub(crate) minutes: f64,
    /// How many faults were left after it.
    pub(crate) left: usize,
    /// Whether the complaint asks for it first: every way takes it.
    pub(crate) baseline: bool,
}

impl Hunt {
    /// The minutes of what the complaint asks for first.
    pub(crate) fn baseline(&self) -> f64 {
        self.taken.iter().filter(|test| test.baseline).map(|test| test.minutes).sum()
    }

    /// The minutes of those of its tests that are needed to show what it found, in the same order: none of them could be
    /// left out. Who knew every answer beforehand would still pay them. The dearest are tried to be left out first.
    pub(crate) fn needed(&self, world: &World<'_>) -> f64 {
        let book = world.book;
        let with = |kept: &[usize]| {
            let mut job = Job::new(book);
            job.complaints.clone_from(&self.job.complaints);
            let entries = kept.iter().filter_map(|at| self.job.kept(EntryId::at(*at))).map(Cow::into_owned);
            entries.for_each(|entry| job.entries.add(book, entry));
            job
        };
        let shows = |kept: &[usize]| {
            let judgement = judge(book, &with(kept));
            let mut left = judgement.verdicts.iter().filter(|v| v.verdict != Verdict::RuledOut);
            left.next().is_some_and(|v| v.fault == world.truth) && left.next().is_none()
        };
        let mut kept: Vec<usize> = (0..self.taken.len()).collect();
        let mut dearest = kept.clone();
        dearest.sort_by(|a, b| self.taken[*b].minutes.total_cmp(&self.taken[*a].minutes));
        for at in dearest {
            let fewer: Vec<usize> = kept.iter().copied().filter(|other| *other != at).collect();
            if shows(&fewer) {
                kept = fewer;
            }
        }
        let mut from = Job::new(book).setup;
        let mut seconds = 0.0;
        for entry in kept.iter().filter_map(|at| self.job.kept(EntryId::at(*at))) {
            let way: f64 = reach::steps(book, &from, &entry.setup).iter().map(|step| step.seconds).sum();
            seconds += way + reach::seconds(&book.indication(entry.indication).steps).0;
            from = entry.setup.clone();
        }
        seconds / 60.0
    }
}

/// Hunts a fault one way, until one is left or no test tells any more.
pub(crate) fn hunt(world: &World<'_>, way: Way, seed: u64, complaint: Option<ruleout::book::ComplaintId>) -> Hunt {
    let book = world.book;
    let mut job = Job::new(book);
    if let Some(complaint) = complaint {
        job.complaints.push(ruleout::job::EnteredComplaint { complaint, line: 0, epoch: 0 });
    }
    let mut dice = Dice::new(seed);
    let (mut minutes, mut taken) = (0.0, Vec::<Taken>::new());
    loop {
        let judgement = judge(book, &job);
        let left = judgement.verdicts.iter().filter(|v| v.verdict != Verdict::RuledOut);
        let left: Vec<FaultId> = left.map(|v| v.fault).collect();
        if let Some(last) = taken.last_mut() {
            last.left = left.len();
        }
        let over = taken.len() >= 60 || !judgement.conflicts.is_empty() || judgement.outcome != Outcome::Open;
        let next = if over { None } else { choose(book, &job, &judgement, way, &mut dice) };
        let Some(next) = next else {
            let found = left == [world.truth];
            return Hunt { minutes, taken, job, found, wrong: !left.contains(&world.truth) };
        };
        minutes += next.seconds / 60.0;
        taken.push(Taken {
            indication: next.indication,
            minutes: next.seconds / 60.0,
            left: 0,
            baseline: matches!(next.purpose, Purpose::Baseline(_)),
        });
        let entry = world.answer(&job, next.indication, &next.setup);
        job.setup = next.setup;
        job.entries.add(book, entry);
    }
}

fn choose(book: &Book, job: &Job, judgement: &Judgement, way: Way, dice: &mut Dice) -> Option<TestAdvice> {
    let count = if way == Way::Advice { 1 } else { 500 };
    let steps = advise(book, job, judgement, count).steps;
    if let Some(first) = steps.iter().find(|step| matches!(step.purpose, Purpose::Baseline(_))) {
        return Some(first.clone());
    }
    match way {
        Way::Advice => steps.first().cloned(),
        Way::BookOrder => steps.into_iter().min_by_key(|step| step.indication),
        Way::Random => {
            let at = dice.pick(&vec![1.0; steps.len()]);
            steps.into_iter().nth(at)
        }
        Way::Likeliest => by_fault(book, judgement, steps, |weight, _| weight),
        Way::ProbabilityOverCost => by_fault(book, judgement, steps, |weight, seconds| weight / seconds),
    }
}

/// The cheapest test that bears on the fault with the best score.
fn by_fault(
    book: &Book,
    judgement: &Judgement,
    steps: Vec<TestAdvice>,
    score: impl Fn(f64, f64) -> f64,
) -> Option<TestAdvice> {
    let open = judgement.verdicts.iter().filter(|v| v.verdict == Verdict::Open);
    let mut best: Option<(f64, TestAdvice)> = None;
    for verdict in open {
        let own = steps.iter().filter(|step| bears_on(book, step.indication, verdict.fault));
        let Some(test) = own.min_by(|a, b| a.seconds.total_cmp(&b.seconds)) else { continue };
        let score = score(verdict.weight, test.seconds.max(1.0));
        if best.as_ref().is_none_or(|(top, _)| score > *top) {
            best = Some((score, test.clone()));
        }
    }
    best.map(|(_, test)| test).or_else(|| steps.into_iter().next())
}

fn bears_on(book: &Book, indication: IndicationId, fault: FaultId) -> bool {
    let uses = book.uses_of(indication).map_or(&[][..], |uses| &uses.conditions);
    uses.iter().any(|which| match which {
        ConditionRef::Shows(owner, _) => *owner == fault,
        ConditionRef::Rule(rule) => book.rule(*rule).conclusions.iter().any(|c| match c {
            Conclusion::Implies(f) | Conclusion::ImpliesOneOf(f) | Conclusion::RulesOut(f) | Conclusion::Odds(f, _) => {
                f.contains(&fault)
            }
        }),
        _ => false,
    })
}
