//! What circuits foretell, for many jobs of one layout. It hangs on a job only through what was read at the batteries' posts and through the
//! setups that the vehicle has been in (a fuse that opens in one stays open); all else is the layout's. So it is asked of the circuits once for each
//! such [`Key`], turned to whole numbers, and kept; after that a job's readings are held against it as against any limit.

use std::sync::{Arc, OnceLock, PoisonError, RwLock};

use crate::book::{Book, CircuitId, FaultId, Setup};
use crate::circuit::Foretold;
use crate::circuit::supply::readings;
use crate::job::{Entry, EntryId, EntryValue, Job};
use crate::kept::{Kept, Takes};
use crate::reasoning::Facts;
use crate::reasoning::circuits::told_by;

use super::fixed::{FARTHEST, NO_END, Steps};

/// Bytes of what is kept, about: a key of the roof-unit book takes some 10 KB.
const MOST_KEPT: usize = 32 << 20;

/// Of what hangs what circuits foretell of a job: which setups the vehicle has been in, a bit each, then the cells of each column that feeds a battery.
type Key = Box<[i64]>;

/// A column of which a circuit speaks.
#[derive(Clone, Debug)]
struct Spoken {
    column: usize,
    circuit: CircuitId,
    steps: Steps,
}

/// What the circuits of a book foretell of jobs of one layout.
#[derive(Debug)]
pub(super) struct Foretelling {
    spoken: Vec<Spoken>,
    /// Columns of readings that feed a battery.
    feeding: Vec<(usize, Steps)>,
    /// By column: the number of its setup.
    setups: Vec<usize>,
    /// A job in which nothing is entered, and one with an entry in each column.
    empty: Job,
    filled: Job,
    kept: RwLock<Kept<Key, ByColumn>>,
    /// How much one of them takes, about.
    takes: usize,
}

/// What was asked of each column that circuits speak of.
#[derive(Clone, Debug)]
struct ByColumn {
    told: Arc<[OnceLock<Told>]>,
    takes: usize,
}

impl Takes for ByColumn {
    fn takes(&self) -> usize {
        self.takes
    }
}

impl Takes for Key {
    fn takes(&self) -> usize {
        size_of_val(&**self)
    }
}

/// What a reading may be under each hypothesis that can be ruled out by it.
#[derive(Debug, Default)]
struct Told {
    hypotheses: Vec<Hypothesis>,
    allowed: Vec<Allowed>,
}

/// A hypothesis; what it allows ends before `end` and begins where that of the one before ends.
#[derive(Clone, Copy, Debug)]
struct Hypothesis {
    /// None for the sound vehicle.
    fault: Option<FaultId>,
    end: usize,
}

/// A range within which a reading may lie: the most that each of its cells may be.
#[derive(Clone, Copy, Debug)]
struct Allowed {
    cells: [i64; 2],
}

impl Told {
    fn of(all: &[(Vec<FaultId>, Arc<Foretold>)], steps: &Steps) -> Self {
        let mut told = Self::default();
        for (set, foretold) in all.iter().filter(|(_, foretold)| foretold.is_exact()) {
            told.allowed.extend(foretold.allowed().map(|range| Allowed { cells: most(steps, range.low, range.high) }));
            told.hypotheses.push(Hypothesis { fault: set.first().copied(), end: told.allowed.len() });
        }
        told
    }

    /// Calls `out` with each hypothesis under which nobody could have read that.
    fn rule_out(&self, [low, high]: [i64; 2], mut out: impl FnMut(Option<FaultId>)) {
        let mut start = 0;
        for hypothesis in &self.hypotheses {
            let allowed = self.allowed.get(start..hypothesis.end).unwrap_or(&[]);
            start = hypothesis.end;
            if !allowed.iter().any(|allowed| low <= allowed.cells[0] && high <= allowed.cells[1]) {
                out(hypothesis.fault);
            }
        }
    }
}

/// The most that the lower cell and the upper cell of a reading may be so that it reaches into a range: it does where its greatest value, rounded
/// up, is at least `low`, and its least, rounded down, at most `high`. Whether an end is open makes no difference to a circuit.
fn most(steps: &Steps, low: f64, high: f64) -> [i64; 2] {
    let reaches_low = |at: i64| steps.base(at).to_f64().next_up() >= low;
    let below_high = |at: i64| steps.base(at).to_f64().next_down() <= high;
    let least = first(reaches_low);
    let beyond = first(|at| !below_high(at));
    [2 * beyond - 1, 1 - 2 * least]
}

/// The first number of steps for which that holds, where it holds of all that follow; one beyond all if none.
fn first(holds: impl Fn(i64) -> bool) -> i64 {
    let far = i64::try_from(FARTHEST).unwrap_or(i64::MAX);
    let (mut low, mut high) = (-far, far);
    while low < high {
        let middle = low + (high - low) / 2;
        if holds(middle) { high = middle } else { low = middle + 1 }
    }
    low
}

fn is_given(cells: &[i64], column: usize) -> Option<[i64; 2]> {
    let pair = [*cells.get(2 * column)?, *cells.get(2 * column + 1)?];
    (pair != [NO_END; 2]).then_some(pair)
}

impl Foretelling {
    /// What circuits foretell of jobs with one entry a column; none if they speak of none of them. `empty` has the layout's setup and no entry.
    pub(super) fn of(book: &Book, empty: &Job, filled: &Job, steps: &[Option<Steps>]) -> Option<Self> {
        let mut all = Self {
            spoken: Vec::new(),
            feeding: Vec::new(),
            setups: Vec::new(),
            empty: empty.clone(),
            filled: filled.clone(),
            kept: RwLock::new(Kept::within(MOST_KEPT)),
            takes: 0,
        };
        let mut setups: Vec<Setup> = Vec::new();
        for (column, entry) in filled.entries.iter().enumerate() {
            let number = setups.iter().position(|setup| *setup == entry.setup).unwrap_or(setups.len());
            if number == setups.len() {
                setups.push(entry.setup.clone());
            }
            all.setups.push(number);
            let Some(steps) = steps.get(column).cloned().flatten() else { continue };
            let speaks = |id: &CircuitId| {
                let circuit = book.circuit(*id);
                let is_probed = circuit.probes_of(entry.indication).next().is_some();
                is_probed
                    && book.indication(entry.indication).demand.holds(&entry.setup)
                    && circuit.unknown_change(book, entry.indication, &entry.setup).is_none()
            };
            let spoken = book.circuit_ids().filter(speaks);
            all.spoken.extend(spoken.map(|circuit| Spoken { column, circuit, steps: steps.clone() }));
            if book.circuits.iter().any(|circuit| readings(circuit).any(|reading| reading == entry.indication)) {
                all.feeding.push((column, steps));
            }
        }
        // Two ranges for each hypothesis: a relay or a fuse may end up in two ways.
        let each = size_of::<Hypothesis>() + 2 * size_of::<Allowed>();
        let hypotheses = all.spoken.iter().map(|spoken| book.circuit(spoken.circuit).faults().len() + 1).sum::<usize>();
        all.takes = hypotheses * each + all.spoken.len() * size_of::<OnceLock<Told>>();
        (!all.spoken.is_empty()).then_some(all)
    }

    /// Asks the circuits what they foretell of a job, as far as it isn't known.
    pub(super) fn learn(&self, book: &Book, cells: &[i64]) {
        let given = |spoken: &&Spoken| is_given(cells, spoken.column).is_some();
        if !self.spoken.iter().any(|spoken| given(&spoken)) {
            return;
        }
        let key = self.key(cells);
        let known = self.known(&key).unwrap_or_else(|| {
            let mut kept = self.kept.write().unwrap_or_else(PoisonError::into_inner);
            let blank = || ByColumn { told: self.spoken.iter().map(|_| OnceLock::new()).collect(), takes: self.takes };
            // Another core may have been quicker.
            kept.get(&key).unwrap_or_else(|| {
                let blank = blank();
                kept.keep(key, blank.clone());
                blank
            })
        });
        let mut job: Option<Job> = None;
        for (spoken, slot) in self.spoken.iter().zip(known.told.iter()).filter(|(spoken, _)| given(spoken)) {
            slot.get_or_init(|| {
                let job = job.get_or_insert_with(|| self.job(book, cells));
                let facts = Facts::of(book, job, job.epoch(), |_| true);
                let taken = self.filled.entry(EntryId::at(spoken.column));
                taken.map_or_else(Told::default, |taken| {
                    Told::of(&told_by(&facts, spoken.circuit, taken), &spoken.steps)
                })
            });
        }
    }

    /// Calls `out` with each hypothesis that the circuits rule out, none for the sound vehicle; no answer where they haven't been asked.
    pub(super) fn rule_out(&self, cells: &[i64], mut out: impl FnMut(Option<FaultId>)) -> Option<()> {
        let mut known = None;
        for (place, spoken) in self.spoken.iter().enumerate() {
            let Some(pair) = is_given(cells, spoken.column) else { continue };
            if known.is_none() {
                known = Some(self.known(&self.key(cells))?);
            }
            known.as_ref()?.told.get(place)?.get()?.rule_out(pair, &mut out);
        }
        Some(())
    }

    /// How many keys are known.
    pub(super) fn count(&self) -> usize {
        self.kept.read().unwrap_or_else(PoisonError::into_inner).len()
    }

    fn known(&self, key: &Key) -> Option<ByColumn> {
        self.kept.read().unwrap_or_else(PoisonError::into_inner).get(key)
    }

    fn key(&self, cells: &[i64]) -> Key {
        let words = self.setups.len().div_ceil(64);
        let mut key = vec![0; words + 2 * self.feeding.len()];
        for (column, number) in self.setups.iter().enumerate() {
            if let (Some(_), Some(word)) = (is_given(cells, column), key.get_mut(number / 64)) {
                *word |= 1_i64 << (number % 64);
            }
        }
        let pairs = self.feeding.iter().map(|(column, _)| is_given(cells, *column).unwrap_or([NO_END; 2]));
        for (into, pair) in key.iter_mut().skip(words).zip(pairs.flatten()) {
            *into = pair;
        }
        key.into_boxed_slice()
    }

    /// The job as far as it matters: what feeds batteries as it was read, of all else only that it was taken.
    fn job(&self, book: &Book, cells: &[i64]) -> Job {
        let mut job = self.empty.clone();
        for (column, entry) in self.filled.entries.iter().enumerate() {
            let Some(pair) = is_given(cells, column) else { continue };
            let feeds = self.feeding.iter().find(|(other, _)| *other == column);
            let read = feeds.and_then(|(_, steps)| steps.interval(pair)).map(EntryValue::Interval);
            let value = read.unwrap_or_else(|| entry.value.clone());
            job.entries.add(book, Entry { value, ..entry.into_owned() });
        }
        job
    }
}
