//! An entry as a row of bytes, exactly: one that no longer counts is kept so, for reports, lists and `take back`.

use crate::book::{IndicationId, Setup};
use crate::units::{Bound, Exact, Interval};

use super::entry::{Entry, EntryId, EntryValue};
use super::ledger::{Reader, write_signed, write_whole};

const ANSWER: u8 = 1;
const NOT_MEASURED: u8 = 2;
const BY_METER: u8 = 4;
/// Where the kind of the lower and of the upper end stands.
const LOW: u8 = 3;
const HIGH: u8 = 5;

/// An entry with what it stands on: itself by its place, its setup by the place of that in a list, what it replaced.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Packed {
    pub(super) entry: Entry,
    pub(super) replaced: Option<EntryId>,
}

/// The row of an entry; none where a number of it is too long, or where it was read from a log.
pub(super) fn pack(id: EntryId, packed: &Packed, setup: usize) -> Option<Vec<u8>> {
    let entry = &packed.entry;
    if entry.recording.is_some() {
        return None;
    }
    let kind = match &entry.value {
        EntryValue::Interval(value) => kind(&value.low) << LOW | kind(&value.high) << HIGH,
        EntryValue::Answer(_) => ANSWER,
        EntryValue::NotMeasured => NOT_MEASURED,
    };
    let mut row = vec![if entry.by_meter { kind | BY_METER } else { kind }];
    let since = packed.replaced.map_or(Some(0), |earlier| id.place().checked_sub(earlier.place()))?;
    let later = entry.line.checked_sub(id.place())?;
    for number in [entry.indication.place(), setup, entry.epoch, later, entry.tries as usize, since] {
        write_whole(&mut row, number as u128);
    }
    match &entry.value {
        EntryValue::Interval(value) => {
            for end in [&value.low, &value.high].into_iter().filter_map(Bound::value) {
                let (above, below) = end.to_fraction()?;
                write_signed(&mut row, above);
                write_whole(&mut row, below.unsigned_abs());
            }
        }
        EntryValue::Answer(answers) => write_whole(&mut row, (*answers).into()),
        EntryValue::NotMeasured => {}
    }
    row.extend_from_slice(entry.said.as_bytes());
    Some(row)
}

/// The entry of a row.
pub(super) fn unpack(id: EntryId, row: &[u8], setup: impl FnOnce(usize) -> Option<Setup>) -> Option<Packed> {
    let mut reader = Reader(row);
    let kind = reader.byte()?;
    let (indication, setup) = (IndicationId::at(reader.place()?), setup(reader.place()?)?);
    let (epoch, line) = (reader.place()?, reader.place()? + id.place());
    let (tries, since) = (reader.whole()?.try_into().ok()?, reader.place()?);
    let value = match kind & 3 {
        ANSWER => EntryValue::Answer(reader.whole()?.try_into().ok()?),
        NOT_MEASURED => EntryValue::NotMeasured,
        _ => {
            let low = end(&mut reader, kind >> LOW & 3)?;
            EntryValue::Interval(Interval { low, high: end(&mut reader, kind >> HIGH & 3)? })
        }
    };
    let entry = Entry {
        indication,
        value,
        said: std::str::from_utf8(reader.0).ok()?.to_string(),
        setup,
        epoch,
        line,
        tries,
        by_meter: kind & BY_METER != 0,
        recording: None,
    };
    let replaced = id.place().checked_sub(since).filter(|_| since > 0).map(EntryId::at);
    Some(Packed { entry, replaced })
}

fn kind(end: &Bound) -> u8 {
    match end {
        Bound::Unbounded => 0,
        Bound::Open(_) => 1,
        Bound::Closed(_) => 2,
    }
}

fn end(reader: &mut Reader<'_>, kind: u8) -> Option<Bound> {
    if kind == 0 {
        return Some(Bound::Unbounded);
    }
    let (above, below) = (reader.signed()?, reader.whole()?.try_into().ok()?);
    let number = Exact::fraction(above, below)?;
    Some(if kind == 1 { Bound::Open(number) } else { Bound::Closed(number) })
}
