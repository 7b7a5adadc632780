//! Job records: any text is read or refused, and what a journal makes of one holds the same entries.

use std::io;

use ruleout::job::journal::{Journal, OpenProblem, Store};
use ruleout::job::record::{self, Header};

use super::shelf::text;

/// A file in memory.
struct Memory<'m>(&'m mut Vec<u8>);

impl Store for Memory<'_> {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.extend_from_slice(bytes);
        Ok(())
    }

    fn flush_to_disk(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn cut_to(&mut self, length: u64) -> io::Result<()> {
        self.0.truncate(usize::try_from(length).unwrap_or(usize::MAX));
        Ok(())
    }
}

/// Reads, goes on writing, reads again.
pub(crate) fn run(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let Ok(before) = record::read(text) else {
        let mut file = text.as_bytes().to_vec();
        let begun = Journal::resume(Memory(&mut file), text, &Header::default(), clock);
        // A file that is no record is left as it is, unless it is the torn start of one.
        assert!(begun.is_ok() || file == text.as_bytes());
        return;
    };
    for line in &before.lines {
        assert!(text.get(line.base..).is_some_and(|rest| rest.starts_with(&line.text)), "{line:?}");
    }
    assert!(text.is_char_boundary(before.whole));
    let mut file = text.as_bytes().to_vec();
    match Journal::resume(Memory(&mut file), text, &Header::default(), clock) {
        Ok((mut journal, _)) => {
            journal.add("fan runs is no").unwrap_or_else(|error| panic!("{error}"));
        }
        Err(OpenProblem::NotARecord(_)) => return,
        Err(other) => panic!("{other:?}"),
    }
    let after = String::from_utf8(file).unwrap_or_else(|error| panic!("{error}"));
    let after = record::read(&after).unwrap_or_else(|error| panic!("{error}\n{after}"));
    let said = |lines: &[record::Stamped]| {
        lines.iter().map(|line| (line.stamp.clone(), line.text.clone())).collect::<Vec<_>>()
    };
    let (last, earlier) = after.lines.split_last().unwrap_or_else(|| panic!("nothing was added"));
    assert_eq!(said(earlier), said(&before.lines), "an entry is lost, or one came from nowhere");
    assert_eq!(last.text, "fan runs is no");
    assert_eq!((after.torn, after.broken), (None, before.broken));
}

fn clock() -> String {
    "2026-11-25 10:00:00 +01:00".into()
}
