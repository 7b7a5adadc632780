//! What one reading would show under every set of faults that matters, asked at once and kept as a whole.
//!
//! Why: each entry is held against each set of faults at every statement, and by advice for every answer that it thinks of. What is foretold of an
//! entry hangs on neither the other entries' values nor its own, but for the batteries'; so one look-up an entry does, in place of several for each
//! set. It must not know entries.

use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use rayon::prelude::*;

use crate::book::circuits::Probe;
use crate::book::{FaultId, IndicationId, Setup};
use crate::kept::{Kept, Takes};

use super::build::{Likeness, Stand};
use super::foretell::{Ask, Foretold, Known, foretell, is_given};
use super::trouble::Trouble;

/// Bytes of the rows that are kept, about: a job asks for some hundred rows of some 10 KB for each voltage at the posts.
const MOST_KEPT: usize = 8 << 20;

/// What is foretold under one set of faults; none where the reading is given, not foretold.
pub type Told = Option<Result<Arc<Foretold>, Trouble>>;

/// What was read at a battery's posts: the reading, and each value by its bits with what its setup is to the circuit.
type Fed = (IndicationId, Vec<((u64, u64), Likeness)>);

/// All that a row depends on. Setups that are alike to the circuit are one, and in which order the vehicle was in them is of no account.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Key {
    circuit: String,
    setup: Likeness,
    warmth: Option<u64>,
    fed: Vec<Fed>,
    before: BTreeSet<Likeness>,
    probe: (IndicationId, Ask),
    sets: usize,
}

static KEPT: LazyLock<Mutex<Kept<Key, Arc<[Told]>>>> = LazyLock::new(|| Mutex::new(Kept::within(MOST_KEPT)));

impl Takes for Key {
    fn takes(&self) -> usize {
        let read = |(_, alike): &((u64, u64), Likeness)| size_of::<(u64, u64)>() + alike.takes();
        let fed = self.fed.iter().map(|(_, taken)| size_of::<Fed>() + taken.iter().map(read).sum::<usize>());
        let before = self.before.iter().map(Takes::takes).sum::<usize>();
        size_of::<Key>() + self.circuit.len() + self.setup.takes() + fed.sum::<usize>() + before
    }
}

impl Takes for Arc<[Told]> {
    fn takes(&self) -> usize {
        let each = self.iter().flatten().map(Takes::takes);
        size_of_val(&**self) + each.sum::<usize>()
    }
}

/// What a probe would show under each set of faults, in their order; `stand` says all but the faults. The sets are the circuit's own up to some
/// size, so that how many there are tells which.
pub fn foretell_each(stand: &Stand<'_>, known: Known<'_>, probe: &Probe, sets: &[Vec<FaultId>]) -> Arc<[Told]> {
    let key = key(stand, known, probe, sets);
    if let Some(known) = KEPT.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
        return known;
    }
    let mut seen = BTreeSet::new();
    let is_new = |setup: &&Setup| seen.insert(Stand { setup, ..*stand }.likeness());
    let before: Vec<Setup> = known.before.iter().filter(is_new).cloned().collect();
    let known = Known { before: &before, ..known };
    let told = |set: &Vec<FaultId>| {
        let stand = Stand { faults: set, ..*stand };
        (!is_given(&stand, probe)).then(|| foretell(&stand, known, probe.at.into()))
    };
    let row: Arc<[Told]> = sets.par_iter().map(told).collect::<Vec<Told>>().into();
    KEPT.lock().unwrap_or_else(PoisonError::into_inner).keep(key, row.clone());
    row
}

fn key(stand: &Stand<'_>, known: Known<'_>, probe: &Probe, sets: &[Vec<FaultId>]) -> Key {
    let alike = |setup: &Setup| Stand { setup, ..*stand }.likeness();
    let fed = known.supplies.iter().map(|supply| {
        let taken = supply.taken.iter();
        (supply.reading, taken.map(|(volts, at)| ((volts.low.to_bits(), volts.high.to_bits()), alike(at))).collect())
    });
    Key {
        circuit: stand.circuit.digest.hex().to_string(),
        setup: stand.likeness(),
        warmth: stand.warmth.map(f64::to_bits),
        fed: fed.collect(),
        before: known.before.iter().map(alike).collect(),
        probe: (probe.reading, probe.at.into()),
        sets: sets.len(),
    }
}
