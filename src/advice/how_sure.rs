//! How sure verdicts and advice are: what would flip if an entry lay as far off again as its uncertainty says, or if a
//! share were half or double what the book guesses.

use crate::book::{Book, FaultId, IndicationId};
use crate::job::{EntryId, EntryValue, Job};
use crate::reasoning::{Judgement, Verdict, judge};
use crate::units::{Exact, Interval};

use super::next::{Advice, advise};

/// Of how many faults, the likeliest first, the shares are varied.
const MOST_SHARES: usize = 12;

/// What is varied.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Varied {
    /// An entry reads lower by its half width.
    Lower(EntryId),
    /// An entry reads higher by its half width.
    Higher(EntryId),
    /// The share of a fault is half.
    HalfShare(FaultId),
    /// The share of a fault is double.
    DoubleShare(FaultId),
    /// The share of what the book doesn't cover is half.
    HalfUncovered,
    /// The share of what the book doesn't cover is double.
    DoubleUncovered,
}

/// What is advised first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum First {
    /// A test.
    Test(IndicationId),
    /// A repair.
    Repair(FaultId),
}

/// What flips.
#[derive(Clone, PartialEq, Debug)]
pub struct Flip {
    /// If this is varied.
    pub varied: Varied,
    /// Faults whose verdict would be another, with that.
    pub verdicts: Vec<(FaultId, Verdict)>,
    /// What would be advised first instead; none if the same.
    pub first: Option<First>,
    /// Which fault would be the likeliest instead; none if the same.
    pub likeliest: Option<FaultId>,
}

/// How sure a judgement and its advice are.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct HowSure {
    /// How many variations were tried.
    pub tried: usize,
    /// Those that flip something: entries first, then shares.
    pub flips: Vec<Flip>,
}

/// Varies each entry by its half width and the shares of the likeliest open faults by two.
pub fn how_sure(book: &Book, job: &Job, judgement: &Judgement) -> HowSure {
    let now = Standing::of(book, job, judgement);
    let mut sure = HowSure::default();
    for id in job.live(job.epoch()).iter().copied() {
        for (varied, up) in [(Varied::Lower(id), false), (Varied::Higher(id), true)] {
            if let Some(moved) = moved(job, id, up) {
                sure.tried += 1;
                let judgement = judge(book, &moved);
                sure.flips.extend(now.flip(varied, &Standing::of(book, &moved, &judgement)));
            }
        }
    }
    let mut varied = book.clone();
    for (what, factor) in shares(judgement) {
        let factor = if factor { Exact::from_int(2) } else { Exact::one().half() };
        let before = scale(&mut varied, what, &factor);
        sure.tried += 1;
        let judgement = judge(&varied, job);
        sure.flips.extend(now.flip(what, &Standing::of(&varied, job, &judgement)));
        restore(&mut varied, what, before);
    }
    sure
}

/// The job with an entry read off by its half width; none where it has none.
fn moved(job: &Job, id: EntryId, up: bool) -> Option<Job> {
    let EntryValue::Interval(read) = &job.entry(id)?.value else { return None };
    let half = read.width()?.half();
    if half.is_zero() {
        return None;
    }
    let by = if up { half } else { -half };
    let shifted = read.add(&Interval::point(by));
    let mut moved = job.clone();
    moved.entries.get_mut(id)?.value = EntryValue::Interval(shifted);
    Some(moved)
}

/// Which shares are varied: whether double, else half.
fn shares(judgement: &Judgement) -> Vec<(Varied, bool)> {
    let mut open: Vec<(FaultId, f64)> =
        judgement.verdicts.iter().filter(|v| v.verdict == Verdict::Open).map(|v| (v.fault, v.weight)).collect();
    open.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let faults = open
        .into_iter()
        .take(MOST_SHARES)
        .flat_map(|(fault, _)| [(Varied::HalfShare(fault), false), (Varied::DoubleShare(fault), true)]);
    faults.chain([(Varied::HalfUncovered, false), (Varied::DoubleUncovered, true)]).collect()
}

fn scale(book: &mut Book, what: Varied, factor: &Exact) -> Exact {
    let Some(share) = share(book, what) else { return Exact::zero() };
    let scaled = &*share * factor;
    std::mem::replace(share, scaled)
}

fn restore(book: &mut Book, what: Varied, before: Exact) {
    if let Some(share) = share(book, what) {
        *share = before;
    }
}

fn share(book: &mut Book, what: Varied) -> Option<&mut Exact> {
    match what {
        Varied::HalfShare(fault) | Varied::DoubleShare(fault) => {
            book.faults.get_mut(fault.place()).map(|fault| &mut fault.share)
        }
        Varied::HalfUncovered | Varied::DoubleUncovered => Some(&mut book.uncovered_share),
        Varied::Lower(_) | Varied::Higher(_) => None,
    }
}

/// Verdicts and first advice, to be held beside another.
struct Standing {
    verdicts: Vec<Verdict>,
    first: Option<First>,
    likeliest: Option<FaultId>,
}

impl Standing {
    fn of(book: &Book, job: &Job, judgement: &Judgement) -> Self {
        let advice: Advice = advise(book, job, judgement, 1);
        let test = advice.steps.first().map(|step| First::Test(step.indication));
        let likeliest = judgement.verdicts.iter().fold(None, |best: Option<(FaultId, f64)>, v| match best {
            Some((_, weight)) if weight >= v.weight => best,
            _ => Some((v.fault, v.weight)),
        });
        Self {
            verdicts: judgement.verdicts.iter().map(|v| v.verdict).collect(),
            first: test.or_else(|| advice.repairs.first().map(|repair| First::Repair(repair.fault))),
            likeliest: likeliest.filter(|(_, weight)| *weight > 0.0).map(|(fault, _)| fault),
        }
    }

    fn flip(&self, varied: Varied, other: &Standing) -> Option<Flip> {
        let changed = self.verdicts.iter().zip(&other.verdicts).enumerate().filter(|(_, (now, then))| now != then);
        let verdicts: Vec<(FaultId, Verdict)> = changed.map(|(place, (_, then))| (FaultId::at(place), *then)).collect();
        let first = other.first.filter(|first| Some(*first) != self.first);
        let likeliest = other.likeliest.filter(|fault| Some(*fault) != self.likeliest);
        let flips = !verdicts.is_empty() || first.is_some() || likeliest.is_some();
        flips.then_some(Flip { varied, verdicts, first, likeliest })
    }
}
