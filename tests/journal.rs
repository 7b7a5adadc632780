//! The job record against power cuts and full disks, on a file layer in memory: at every write and every flush of 200
//! entries the power is cut or the disk fails. Every acknowledged entry is there, and nothing that was not typed.

use std::cell::RefCell;
use std::io;
use std::rc::Rc;

use ruleout::job::journal::{Journal, OpenProblem, Store};
use ruleout::job::record::{self, Header};

const ENTRIES: usize = 200;

/// What was done to a file since it was last flushed.
#[derive(Clone)]
enum Done {
    Append(Vec<u8>),
    Cut(usize),
}

/// How much of what was not flushed is on the medium after a power cut.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Left {
    /// Nothing.
    Flushed,
    /// All of it.
    Everything,
    /// All but the last half of the last write.
    Torn,
}

/// What goes wrong at a step.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Trouble {
    /// The power is cut: this step and all after it fail.
    PowerCut,
    /// The step fails, half done if it is a write; so many after it fail too.
    Fails(usize),
}

#[derive(Default)]
struct Disk {
    durable: Vec<u8>,
    since: Vec<Done>,
    step: usize,
    trouble: Option<(usize, Trouble)>,
}

impl Disk {
    fn may(&mut self) -> io::Result<()> {
        let now = self.step;
        self.step += 1;
        match self.trouble {
            Some((at, Trouble::PowerCut)) if now >= at => Err(io::Error::other("power cut")),
            Some((at, Trouble::Fails(more))) if (at..=at + more).contains(&now) => {
                Err(io::ErrorKind::StorageFull.into())
            }
            _ => Ok(()),
        }
    }

    fn after(&self, left: Left) -> Vec<u8> {
        let mut text = self.durable.clone();
        let kept = if left == Left::Flushed { 0 } else { self.since.len() };
        for (place, done) in self.since.iter().take(kept).enumerate() {
            match done {
                Done::Append(bytes) if left == Left::Torn && place + 1 == kept => {
                    text.extend_from_slice(&bytes[..bytes.len() / 2]);
                }
                Done::Append(bytes) => text.extend_from_slice(bytes),
                Done::Cut(length) => text.truncate(*length),
            }
        }
        text
    }
}

/// A handle to the disk, as a journal holds one.
struct Handle(Rc<RefCell<Disk>>);

impl Store for Handle {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut disk = self.0.borrow_mut();
        let may = disk.may();
        let written = if may.is_ok() { bytes.len() } else { bytes.len() / 2 };
        disk.since.push(Done::Append(bytes[..written].to_vec()));
        may
    }

    fn flush_to_disk(&mut self) -> io::Result<()> {
        let mut disk = self.0.borrow_mut();
        disk.may()?;
        disk.durable = disk.after(Left::Everything);
        disk.since.clear();
        Ok(())
    }

    fn cut_to(&mut self, length: u64) -> io::Result<()> {
        let mut disk = self.0.borrow_mut();
        disk.may()?;
        disk.since.push(Done::Cut(usize::try_from(length).unwrap()));
        Ok(())
    }
}

fn clock() -> String {
    "2026-11-25 10:00:00 +01:00".into()
}

fn header() -> Header {
    Header { book: "fans.rulebook".into(), digest: "00ff".into(), vehicle: Some("Bus 12".into()), ..Header::default() }
}

fn disk(text: Vec<u8>, trouble: Option<(usize, Trouble)>) -> Rc<RefCell<Disk>> {
    Rc::new(RefCell::new(Disk { durable: text, trouble, ..Disk::default() }))
}

/// Opens a journal on what a file holds and types entries; those that were acknowledged, and those that were
/// not.
fn work(disk: &Rc<RefCell<Disk>>, first: usize, count: usize, stop: bool) -> (Vec<String>, Vec<String>) {
    let text = String::from_utf8(disk.borrow().after(Left::Everything)).unwrap();
    let journal = Journal::resume(Handle(disk.clone()), &text, &header(), clock);
    let mut journal = match journal {
        Ok((journal, _)) => journal,
        Err(OpenProblem::Io(_)) => return (Vec::new(), Vec::new()),
        Err(other) => panic!("{other:?}\n{text}"),
    };
    let (mut acknowledged, mut refused) = (Vec::new(), Vec::new());
    for number in first..first + count {
        let sentence = format!("supply at fan connector = {number}.5 V");
        match journal.add(&sentence) {
            Ok(()) => acknowledged.push(sentence),
            Err(_) => refused.push(sentence),
        }
        if stop && !refused.is_empty() {
            break;
        }
    }
    (acknowledged, refused)
}

/// The entries of a file: no broken chain, and its header whole where there are any.
fn entries(text: &[u8]) -> Vec<String> {
    let text = String::from_utf8(text.to_vec()).unwrap();
    if text.is_empty() || record::FIRST_LINE.starts_with(&text) {
        return Vec::new();
    }
    let record = record::read(&text).unwrap_or_else(|why| panic!("{why}\n{text}"));
    assert_eq!(record.broken, [0usize; 0], "{text}");
    assert!(record.lines.is_empty() || record.header == header(), "{text}");
    record.lines.into_iter().map(|line| line.text).collect()
}

/// All acknowledged entries, in order, and at most the one under way besides.
#[track_caller]
fn holds(found: &[String], acknowledged: &[String], under_way: &[String]) {
    let (sure, rest) = found.split_at(acknowledged.len().min(found.len()));
    assert!(sure == acknowledged, "lost: {:?}", acknowledged.iter().find(|text| !sure.contains(text)));
    let [one] = rest else { return assert!(rest.is_empty(), "from nowhere: {rest:?}") };
    assert!(under_way.contains(one), "from nowhere: {one}");
}

#[test]
fn a_power_cut_at_every_step_of_200_entries_loses_nothing_that_was_acknowledged() {
    let mut cuts = 0;
    for at in 0.. {
        let file = disk(Vec::new(), Some((at, Trouble::PowerCut)));
        let (acknowledged, under_way) = work(&file, 0, ENTRIES, true);
        for left in [Left::Flushed, Left::Everything, Left::Torn] {
            let text = file.borrow().after(left);
            holds(&entries(&text), &acknowledged, &under_way);
            // The power is back: the job goes on.
            let again = disk(text.clone(), None);
            let (more, _) = work(&again, 1000, 2, true);
            assert_eq!(more.len(), 2);
            let found = entries(&again.borrow().durable);
            let (before, after) = found.split_at(found.len() - 2);
            holds(before, &acknowledged, &under_way);
            assert_eq!(after, more);
        }
        cuts += 1;
        if acknowledged.len() == ENTRIES {
            break;
        }
    }
    assert!(cuts > 2 * ENTRIES, "{cuts} steps were tried");
}

#[test]
fn a_second_power_cut_while_the_first_is_mended_loses_nothing_either() {
    for at in (0..30).chain(200..210) {
        let file = disk(Vec::new(), Some((at, Trouble::PowerCut)));
        let (acknowledged, under_way) = work(&file, 0, ENTRIES, true);
        for left in [Left::Everything, Left::Torn] {
            for second in 0..8 {
                let again = disk(file.borrow().after(left), Some((second, Trouble::PowerCut)));
                let (more, next) = work(&again, 1000, 2, true);
                for left in [Left::Flushed, Left::Everything, Left::Torn] {
                    let found = entries(&again.borrow().after(left));
                    let old =
                        found.iter().filter(|text| !text.contains("= 1000.") && !text.contains("= 1001.")).count();
                    holds(&found[..old], &acknowledged, &under_way);
                    holds(&found[old..], &more, &next);
                }
            }
        }
    }
}

#[test]
fn a_disk_that_is_full_for_a_while_refuses_entries_and_spoils_none() {
    for more in [0, 1, 2, 3, 6] {
        for at in (0..40).chain(2 * ENTRIES - 4..2 * ENTRIES + 2) {
            let file = disk(Vec::new(), Some((at, Trouble::Fails(more))));
            let (acknowledged, refused) = work(&file, 0, ENTRIES, false);
            let found = entries(&file.borrow().after(Left::Everything));
            // Only where the disk fails to the very end may the last one that was refused still stand.
            let to_the_end = file.borrow().step <= at + more + 1;
            holds(&found, &acknowledged, if to_the_end { &refused } else { &[] });
            let (next, _) = work(&disk(file.borrow().after(Left::Everything), None), 1000, 1, true);
            assert_eq!(next.len(), 1);
        }
    }
}
