//! Rows of bytes on sheets: what is kept for good and seldom looked at takes little more than its bytes, and copies of a
//! job share the sheets that neither changes. Must not know what a row says.

use std::sync::Arc;

/// Rows of a sheet: few enough that changing one on a shared sheet copies little.
const ROWS: usize = 128;

#[derive(Clone, PartialEq, Debug, Default)]
struct Sheet {
    bytes: Vec<u8>,
    /// Where each row ends.
    ends: Vec<u32>,
}

impl Sheet {
    /// From where to where a row goes.
    fn bounds(&self, row: usize) -> Option<(usize, usize)> {
        let start = row.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied())?;
        Some((start as usize, *self.ends.get(row)? as usize))
    }

    fn add(&mut self, row: &[u8]) {
        self.bytes.extend_from_slice(row);
        // All that a job reads is less than 4 GB (`cli::script`).
        self.ends.push(u32::try_from(self.bytes.len()).unwrap_or(u32::MAX));
        if self.ends.len() == ROWS {
            self.bytes.shrink_to_fit();
            self.ends.shrink_to_fit();
        }
    }
}

/// Rows, added at the end, read and changed anywhere.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Ledger {
    sheets: Vec<Arc<Sheet>>,
}

impl Ledger {
    /// How many rows.
    pub(super) fn len(&self) -> usize {
        self.sheets.last().map_or(0, |last| (self.sheets.len() - 1) * ROWS + last.ends.len())
    }

    /// Adds a row.
    pub(super) fn add(&mut self, row: &[u8]) {
        if self.len().is_multiple_of(ROWS) {
            self.sheets.push(Arc::default());
        }
        if let Some(last) = self.sheets.last_mut() {
            Arc::make_mut(last).add(row);
        }
    }

    /// A row.
    pub(super) fn row(&self, at: usize) -> Option<&[u8]> {
        let sheet = self.sheets.get(at / ROWS)?;
        let (start, end) = sheet.bounds(at % ROWS)?;
        sheet.bytes.get(start..end)
    }

    /// Puts another row in place of one.
    pub(super) fn put(&mut self, at: usize, row: &[u8]) {
        let Some(sheet) = self.sheets.get_mut(at / ROWS) else { return };
        let Some((start, end)) = sheet.bounds(at % ROWS) else { return };
        let sheet = Arc::make_mut(sheet);
        sheet.bytes.splice(start..end, row.iter().copied());
        for later in sheet.ends.iter_mut().skip(at % ROWS) {
            let moved = (*later as usize + row.len()).saturating_sub(end - start);
            *later = u32::try_from(moved).unwrap_or(u32::MAX);
        }
    }

    /// Takes the last row away.
    pub(super) fn drop_last(&mut self) {
        self.keep_first(self.len().saturating_sub(1));
    }

    /// Keeps only so many rows.
    pub(super) fn keep_first(&mut self, rows: usize) {
        if rows >= self.len() {
            return;
        }
        self.sheets.truncate(rows.div_ceil(ROWS));
        if let Some(last) = self.sheets.last_mut() {
            let left = (rows - 1) % ROWS + 1;
            if left < last.ends.len() {
                let last = Arc::make_mut(last);
                last.ends.truncate(left);
                last.bytes.truncate(last.ends.last().map_or(0, |end| *end as usize));
            }
        }
    }
}

/// Writes a whole number, small ones in one byte: seven bits a byte, lowest first, the eighth says that more follow.
pub(super) fn write_whole(row: &mut Vec<u8>, mut number: u128) {
    while number >= 0x80 {
        row.push((number & 0x7f) as u8 | 0x80);
        number >>= 7;
    }
    row.push(number as u8);
}

/// Writes a number that may be below nought: even ones stand for nought and more, odd ones for less.
pub(super) fn write_signed(row: &mut Vec<u8>, number: i128) {
    write_whole(row, ((number << 1) ^ (number >> 127)) as u128);
}

/// Reads a row from its start.
pub(super) struct Reader<'r>(pub(super) &'r [u8]);

impl Reader<'_> {
    /// One byte.
    pub(super) fn byte(&mut self) -> Option<u8> {
        let (first, rest) = self.0.split_first()?;
        self.0 = rest;
        Some(*first)
    }

    /// As [`write_whole`] wrote it.
    pub(super) fn whole(&mut self) -> Option<u128> {
        let mut number = 0;
        for nth in 0..19 {
            let byte = self.byte()?;
            number |= u128::from(byte & 0x7f) << (7 * nth);
            if byte < 0x80 {
                return Some(number);
            }
        }
        None
    }

    /// As [`write_signed`] wrote it.
    pub(super) fn signed(&mut self) -> Option<i128> {
        let number = self.whole()?;
        Some((number >> 1) as i128 ^ -((number & 1) as i128))
    }

    /// A place or count.
    pub(super) fn place(&mut self) -> Option<usize> {
        self.whole()?.try_into().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn whole_and_signed_numbers_are_read_back() {
        let mut row = Vec::new();
        let signed = [0, 1, -1, 63, -64, 64, i128::MAX, i128::MIN];
        let whole = [0, 127, 128, 16_384, u128::MAX];
        whole.iter().for_each(|number| write_whole(&mut row, *number));
        signed.iter().for_each(|number| write_signed(&mut row, *number));
        let mut reader = Reader(&row);
        assert_eq!(whole.map(|_| reader.whole().unwrap()), whole);
        assert_eq!(signed.map(|_| reader.signed().unwrap()), signed);
        assert_eq!((reader.whole(), reader.byte()), (None, None));
        assert_eq!(Reader(&[0xff; 40]).whole(), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

        /// Against a plain list of rows; a copy made midway stays as it was.
        #[test]
        fn a_ledger_is_a_list_of_rows(steps in prop::collection::vec((0_u8..8, any::<u16>(), 0_u8..40), 0..900)) {
            let (mut ledger, mut list): (Ledger, Vec<Vec<u8>>) = Default::default();
            let mut copied = None;
            for (kind, at, length) in steps {
                let row: Vec<u8> = (0..length).map(|nth| nth ^ at as u8).collect();
                match kind {
                    0 => { ledger.drop_last(); list.pop(); }
                    1 if !list.is_empty() => {
                        let at = at as usize % list.len();
                        ledger.put(at, &row);
                        list[at] = row;
                    }
                    2 if at % 50 == 0 => { ledger.keep_first(at as usize); list.truncate(at as usize); }
                    3 if at % 50 == 0 => copied = Some((ledger.clone(), list.clone())),
                    _ => { ledger.add(&row); list.push(row); }
                }
            }
            for (ledger, list) in copied.into_iter().chain([(ledger, list)]) {
                prop_assert_eq!(ledger.len(), list.len());
                for (at, row) in list.iter().enumerate() {
                    prop_assert_eq!(ledger.row(at), Some(row.as_slice()));
                }
                prop_assert_eq!(ledger.row(list.len()), None);
            }
        }
    }
}
