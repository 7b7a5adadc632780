//! The flat form: every condition a list of comparisons of cells, every verdict a bit. Judging is a walk over two arrays.

use std::sync::Arc;

use crate::book::{Book, ComplaintId, FaultId};
use crate::reasoning::Outcome;

use super::fixed::NO_END;
use super::foretelling::Foretelling;
use super::prove::{Need, Way};
use super::sums::Sum;

/// What a condition does where it counts.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Effect {
    pub(super) says: Vec<Say>,
}

/// What is said of faults.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Say {
    /// They are there.
    There(Vec<FaultId>),
    /// They are not.
    NotThere(Vec<FaultId>),
}

/// One comparison: a cell must be at least that.
#[derive(Clone, Copy, Debug)]
struct Least {
    cell: u32,
    least: i64,
}

/// Comparisons that count together, and what they do.
#[derive(Clone, Copy, Debug)]
struct Line {
    /// Behind its last comparison; it begins where the one before ends.
    end: u32,
    /// What it does, by number.
    effect: u32,
    /// Columns that decide the rest in a way that whole numbers can't tell, by number; [`NONE`] as a rule.
    hard: u32,
}

const NONE: u32 = u32::MAX;

/// Lines of comparisons.
#[derive(Clone, Debug, Default)]
struct Lines {
    lines: Vec<Line>,
    needs: Vec<Least>,
    /// Columns of the hard ones.
    hard: Vec<Vec<u32>>,
}

/// A walk met what whole numbers can't tell.
struct Hard;

impl Lines {
    fn add(&mut self, way: &Way, effect: u32) {
        let mut columns: Vec<u32> = Vec::new();
        let mut is_hard = false;
        for need in way {
            match need {
                Need::Cell(cell, least) => self.needs.push(Least { cell: *cell, least: *least }),
                Need::Hard(some) => {
                    is_hard = true;
                    columns.extend(some);
                }
                Need::Never => {}
            }
        }
        let mut hard = NONE;
        if is_hard {
            hard = number(self.hard.len());
            self.hard.push(columns);
        }
        self.lines.push(Line { end: number(self.needs.len()), effect, hard });
    }

    /// Calls `met` with the effect of each line that holds.
    fn walk(&self, cells: &[i64], mut met: impl FnMut(u32)) -> Result<(), Hard> {
        let mut start = 0;
        for line in &self.lines {
            let end = line.end as usize;
            let needs = self.needs.get(start..end).unwrap_or(&[]);
            start = end;
            let holds = needs.iter().all(|need| cells.get(need.cell as usize).is_some_and(|cell| *cell >= need.least));
            if !holds {
                continue;
            }
            if line.hard != NONE {
                let columns = self.hard.get(line.hard as usize).map_or(&[][..], Vec::as_slice);
                if columns.iter().all(|column| is_given(cells, *column)) {
                    return Err(Hard);
                }
                continue;
            }
            met(line.effect);
        }
        Ok(())
    }

    fn any(&self, cells: &[i64]) -> Result<bool, Hard> {
        let mut any = false;
        self.walk(cells, |_| any = true)?;
        Ok(any)
    }

    fn bytes(&self) -> usize {
        self.lines.len() * size_of::<Line>()
            + self.needs.len() * size_of::<Least>()
            + self.hard.len() * size_of::<Vec<u32>>()
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(NONE)
}

fn is_given(cells: &[i64], column: u32) -> bool {
    let at = 2 * column as usize;
    cells.get(at..at + 2).is_some_and(|pair| pair.iter().any(|end| *end != NO_END))
}

/// A complaint as bits.
#[derive(Clone, Debug, Default)]
struct Complaining {
    /// What can't explain it.
    not_there: Vec<u64>,
    gone: Lines,
}

/// A book compiled for one layout.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    columns: usize,
    faults: usize,
    words: usize,
    sums: Vec<Sum>,
    rules: Lines,
    /// Two masks an effect: what is there, what is not.
    effects: Vec<u64>,
    complaints: Vec<Complaining>,
    unsound: Lines,
    circuits: Option<Arc<Foretelling>>,
}

/// What a job comes to, a bit a fault. Made once and used again for every job.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Standing {
    /// What it comes to.
    pub outcome: Outcome,
    proved: Vec<u64>,
    conflict: Vec<u64>,
    open: Vec<u64>,
    gone: Vec<u64>,
}

impl Standing {
    /// Faults that are proved, in book order.
    pub fn proved(&self) -> impl Iterator<Item = FaultId> + '_ {
        faults(&self.proved)
    }

    /// Faults in conflict.
    pub fn conflict(&self) -> impl Iterator<Item = FaultId> + '_ {
        faults(&self.conflict)
    }

    /// Faults that are open, or the only one left.
    pub fn open(&self) -> impl Iterator<Item = FaultId> + '_ {
        faults(&self.open)
    }

    /// A standing by lists of faults, in book order; for jobs that are judged the ordinary way.
    pub(super) fn by(
        outcome: Outcome,
        book: &Book,
        [proved, conflict, open]: [&mut dyn Iterator<Item = FaultId>; 3],
    ) -> Self {
        let words = book.faults.len().div_ceil(64);
        let bits = |list: &mut dyn Iterator<Item = FaultId>| mask(words, list);
        Self { outcome, proved: bits(proved), conflict: bits(conflict), open: bits(open), gone: Vec::new() }
    }
}

fn faults(words: &[u64]) -> impl Iterator<Item = FaultId> + '_ {
    words.iter().enumerate().flat_map(|(word, bits)| {
        let mut bits = *bits;
        std::iter::from_fn(move || {
            let bit = (bits != 0).then(|| bits.trailing_zeros() as usize)?;
            bits &= bits - 1;
            Some(FaultId::at(64 * word + bit))
        })
    })
}

fn mask(words: usize, faults: &mut dyn Iterator<Item = FaultId>) -> Vec<u64> {
    let mut bits = vec![0; words];
    faults.for_each(|fault| set(&mut bits, fault));
    bits
}

fn set(bits: &mut [u64], fault: FaultId) {
    if let Some(word) = bits.get_mut(fault.place() / 64) {
        *word |= 1 << (fault.place() % 64);
    }
}

fn count(words: &[u64]) -> u32 {
    words.iter().map(|word| word.count_ones()).sum()
}

impl Plan {
    pub(super) fn of(book: &Book, columns: usize) -> Self {
        Self { columns, faults: book.faults.len(), words: book.faults.len().div_ceil(64), ..Self::default() }
    }

    pub(super) fn add(&mut self, ways: &[Way], effect: &Effect) {
        if ways.is_empty() {
            return;
        }
        let (mut there, mut not_there) = (vec![0; self.words], vec![0; self.words]);
        for say in &effect.says {
            let (into, list) = match say {
                Say::There(list) => (&mut there, list),
                Say::NotThere(list) => (&mut not_there, list),
            };
            into.iter_mut().zip(mask(self.words, &mut list.iter().copied())).for_each(|(word, more)| *word |= more);
        }
        let place = number(self.effects.len());
        self.effects.extend(there);
        self.effects.extend(not_there);
        ways.iter().for_each(|way| self.rules.add(way, place));
    }

    pub(super) fn complain(&mut self, place: usize, may_be: Option<&[FaultId]>, gone: &[Way]) {
        let not =
            |list: &[FaultId]| mask(self.words, &mut (0..self.faults).map(FaultId::at).filter(|f| !list.contains(f)));
        let mut complaining =
            Complaining { not_there: may_be.map_or_else(|| vec![0; self.words], not), ..Complaining::default() };
        gone.iter().for_each(|way| complaining.gone.add(way, 0));
        debug_assert_eq!(place, self.complaints.len());
        self.complaints.push(complaining);
    }

    pub(super) fn disturb(&mut self, ways: &[Way]) {
        ways.iter().for_each(|way| self.unsound.add(way, 0));
    }

    pub(super) fn finish(&mut self, sums: Vec<Sum>, circuits: Option<Foretelling>) {
        self.sums = sums;
        self.circuits = circuits.map(Arc::new);
    }

    /// Asks the circuits what they foretell of a job, unless that is known from one before with the same voltages at the batteries' posts.
    /// A job of which it isn't known can't be judged by [`Plan::judge`].
    pub fn learn(&self, book: &Book, cells: &[i64]) {
        if let Some(circuits) = &self.circuits {
            circuits.learn(book, cells);
        }
    }

    /// Cells for one job, nothing entered: two a column, then two a sum.
    pub fn blank(&self) -> Vec<i64> {
        vec![NO_END; 2 * (self.columns + self.sums.len())]
    }

    /// A standing to judge into.
    pub fn standing(&self) -> Standing {
        let none = vec![0; self.words];
        Standing {
            outcome: Outcome::Open,
            proved: none.clone(),
            conflict: none.clone(),
            open: none.clone(),
            gone: none,
        }
    }

    /// For how many jobs that differ in their supply it is known what circuits foretell.
    pub fn supplies(&self) -> usize {
        self.circuits.as_ref().map_or(0, |circuits| circuits.count())
    }

    /// How many lines of comparisons there are, and how many comparisons.
    pub fn size(&self) -> (usize, usize) {
        (self.rules.lines.len(), self.rules.needs.len())
    }

    /// How many bytes it takes.
    pub fn bytes(&self) -> usize {
        let complaints = self.complaints.iter().map(|c| c.gone.bytes() + c.not_there.len() * 8).sum::<usize>();
        self.rules.bytes() + self.effects.len() * 8 + self.unsound.bytes() + complaints
    }

    /// Judges a job; whether it could be judged so.
    pub fn judge(&self, cells: &mut [i64], complaint: Option<ComplaintId>, standing: &mut Standing) -> bool {
        self.stand(cells, complaint, standing).is_ok()
    }

    fn stand(&self, cells: &mut [i64], complaint: Option<ComplaintId>, out: &mut Standing) -> Result<(), Hard> {
        let (columns, rest) = cells.split_at_mut((2 * self.columns).min(cells.len()));
        for (sum, pair) in self.sums.iter().zip(rest.chunks_exact_mut(2)) {
            pair.copy_from_slice(&sum.cells(columns).ok_or(Hard)?);
        }
        let Standing { proved, gone, .. } = out;
        proved.fill(0);
        gone.fill(0);
        let effects = &self.effects;
        self.rules.walk(cells, |effect| {
            let (there, not_there) = (effect as usize, effect as usize + self.words);
            for word in 0..self.words {
                if let (Some(proved), Some(more)) = (proved.get_mut(word), effects.get(there + word)) {
                    *proved |= more;
                }
                if let (Some(gone), Some(more)) = (gone.get_mut(word), effects.get(not_there + word)) {
                    *gone |= more;
                }
            }
        })?;
        let mut unsound = false;
        if let Some(circuits) = &self.circuits {
            let ruled_out = |fault: Option<FaultId>| match fault {
                Some(fault) => set(gone, fault),
                None => unsound = true,
            };
            circuits.rule_out(cells, ruled_out).ok_or(Hard)?;
        }
        let complaining = complaint.and_then(|complaint| self.complaints.get(complaint.place()));
        if let Some(complaining) = complaining {
            gone.iter_mut().zip(&complaining.not_there).for_each(|(word, more)| *word |= more);
        }
        self.settle(out);
        out.outcome = match (count(&out.proved), count(&out.conflict), count(&out.open)) {
            (1.., ..) => Outcome::Proved,
            (0, 1.., _) => Outcome::Conflict,
            (0, 0, 0) => {
                let complains = complaining.map(|c| c.gone.any(cells)).transpose()?.is_some_and(|gone| !gone);
                match complains || unsound || self.unsound.any(cells)? {
                    true => Outcome::NotCoveredOrWrongEntry,
                    false => Outcome::NoFaultSeen,
                }
            }
            (0, 0, 1) if self.faults > 1 => Outcome::OnlyOneLeft,
            _ => Outcome::Open,
        };
        Ok(())
    }

    /// From what is said to what is held, one fault at once.
    fn settle(&self, out: &mut Standing) {
        let Standing { proved, conflict, open, gone, .. } = out;
        for (((proved, conflict), open), gone) in proved.iter_mut().zip(&mut *conflict).zip(&mut *open).zip(&*gone) {
            *conflict = *proved & gone;
            *proved &= !gone;
            *open = !gone;
        }
        let spare = 64 * self.words - self.faults;
        if let (Some(last), 1..) = (open.last_mut(), spare) {
            *last &= u64::MAX >> spare;
        }
        match count(proved) {
            0 => {}
            1 => open.fill(0),
            _ => {
                // Several are proved and only one may be there: they quarrel, and nothing follows from them.
                for ((proved, conflict), open) in proved.iter_mut().zip(conflict).zip(open) {
                    *conflict |= *proved;
                    *open &= !*proved;
                    *proved = 0;
                }
            }
        }
    }
}
