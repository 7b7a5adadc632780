//! What the benchmarks share: generated books, how a book is had from its text, the dice, how times are told.
#![allow(dead_code, reason = "each benchmark uses a part of it")]

use std::path::Path;
use std::time::{Duration, Instant};

use ruleout::book::{Book, Library, load};
use ruleout::job::Job;
use ruleout::syntax::parse_statement;

/// A text that is the only file.
pub(crate) struct Text(pub(crate) String);

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// The disk, without limits.
pub(crate) struct Shelf;

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(path).map_err(|error| error.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// The book of a text.
pub(crate) fn resolved(text: String) -> Book {
    let (book, problems) = load(&Text(text), Path::new("generated.rulebook")).expect("it is text").resolve(None);
    assert!(!ruleout::book::load::has_errors(&problems), "{problems:?}");
    book
}

/// A book of this repository.
pub(crate) fn shipped(name: &str) -> Book {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks").join(name);
    load(&Shelf, &path).expect("it is shipped").resolve(None).0
}

/// Enters a sentence that can be taken.
pub(crate) fn enter(book: &Book, job: &mut Job, line: &str) {
    let statement = parse_statement(Default::default(), 0, line).expect(line);
    job.enter(book, statement, line).expect(line);
}

/// The best of several runs: the one that the machine disturbed least.
pub(crate) fn best(runs: usize, mut work: impl FnMut()) -> Duration {
    let times = (0..runs).map(|_| {
        let start = Instant::now();
        work();
        start.elapsed()
    });
    times.min().unwrap_or_default()
}

/// `SplitMix64` (Steele, Lea & Flood 2014): the same instances on every run.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// A number from 0 to `sides` - 1.
    pub(crate) fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let once = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((twice ^ (twice >> 31)) % sides as u64).unwrap()
    }
}

/// A book of many rules of three comparisons each, one of them with a relay swapped: 100 readings that each stand in
/// three of a hundred rules, 200 faults.
pub(crate) fn dense(rules: usize) -> String {
    let mut text = String::from("rulebook \"Generated\"\n  language 1\n  revision 1\n");
    text.push_str("change relay swapped\n");
    for n in 0..100 {
        text.push_str(&format!("reading supply at point {n}\n  unit V\n  from 0 V to 32 V\n  takes 2 min\n"));
    }
    for n in 0..200 {
        text.push_str(&format!("fault fault {n}\n  share 3\n  remedy \"Mend it.\"\n"));
    }
    for n in 0..rules {
        text.push_str(&format!(
            "rule rule number {n} of the book:\n  supply at point {} below 11.5 V with relay swapped\n  and supply at point {} at least 22.5 V\n  and supply at point {} between 20 V and 28.8 V\n  rules out fault {}\n  because \"The relay is good and fed and driven, so the loss lies beyond it.\"\n  source \"common practice, no source\"\n",
            n % 97,
            n % 89,
            (n * 7) % 83,
            n % 200
        ));
    }
    text
}

/// A book of many circuits side by side: to every ten rules one reading with a tolerance, one answer and two faults; a rule
/// asks for readings that lie near one another, its limit is one of twenty.
pub(crate) fn wide(rules: usize) -> String {
    let spots = (rules / 10).max(4);
    let mut text = String::from("rulebook \"Generated\"\n  language 1\n  revision 1\nchange relay swapped\n");
    for n in 0..spots {
        text.push_str(&format!(
            "reading supply at point {n}\n  unit V\n  from 0 V to 32 V\n  tolerance 21 V to 29 V\n  takes 2 min\nobservation lamp {n}\n  answers lit, dark\n  sound lit\n"
        ));
    }
    for n in 0..2 * spots {
        let spot = n / 2;
        text.push_str(&format!(
            "fault fault {n}\n  share {}\n  remedy \"Mend it.\"\n  shows supply at point {spot} {}\n",
            1 + n % 7,
            if n % 2 == 0 { "below 23 V in 8 of 10" } else { "at least 12 V" }
        ));
    }
    for n in 0..rules {
        let (spot, fault) = ((n / 10) % spots, (n / 5) % (2 * spots));
        let near = (spot + 1 + n % 3) % spots;
        let limit = 5 + n % 20;
        let conclusion = match n % 3 {
            0 => format!("rules out fault {fault}"),
            1 => format!("suggests fault {fault} 5 to 1"),
            _ => format!("speaks against fault {fault} 3 to 1"),
        };
        let setup = if n % 5 == 0 { " with relay swapped" } else { "" };
        text.push_str(&format!(
            "rule rule number {n} of the book:\n  supply at point {spot} below {limit} V{setup}\n  and supply at point {near} at least 20 V\n  and lamp {spot} is lit\n  {conclusion}\n  because \"The loss lies between the two.\"\n  source \"common practice, no source\"\n"
        ));
    }
    text
}
