//! How long `next` takes on invented books of growing size: as many tests as faults, each test bearing on a number of
//! faults, a rule over two tests for each fault.

use std::fmt::Write;
use std::path::Path;

use ruleout::advice::advise;
use ruleout::advice::order::order;
use ruleout::book::{Book, Library, load};
use ruleout::job::Job;
use ruleout::output::order_text::order_quality;
use ruleout::reasoning::judge;

use super::clock;
use super::world::Dice;

struct OneText(String);

impl Library for OneText {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

/// A book of `size` faults and tests; each fault shows something in `bears` tests; in all of them, always, and
/// without rules if that is as many as there are.
pub(crate) fn invented(size: usize, bears: usize) -> Book {
    let mut text = String::from("rulebook \"invented\"\n  language 1\n");
    let mut dice = Dice::new(4);
    for test in 0..size {
        let takes = 1 + dice.pick(&[1.0; 9]);
        let _ = writeln!(text, "reading t{test}\n  unit V\n  from 0 V to 30 V\n  takes {takes} min\n  meter 0.5 %");
    }
    for fault in 0..size {
        let _ = writeln!(text, "fault f{fault}\n  share {}", 1 + dice.pick(&[1.0; 20]));
        for nth in 0..bears {
            let test = if bears == size { nth } else { dice.pick(&vec![1.0; size]) };
            let side = if dice.unit() < 0.5 { "below 10 V" } else { "at least 10 V" };
            let often = if bears < size && dice.unit() < 0.3 { " in 8 of 10" } else { "" };
            let _ = writeln!(text, "  shows t{test} {side}{often}");
        }
    }
    for fault in (0..size).filter(|_| bears < size) {
        let (a, b) = (dice.pick(&vec![1.0; size]), dice.pick(&vec![1.0; size]));
        let _ = writeln!(text, "rule r{fault}:\n  t{a} below 5 V and t{b} above 25 V\n  implies f{fault}");
    }
    let loaded = load(&OneText(text), Path::new("invented.rulebook")).unwrap();
    let (book, problems) = loaded.resolve(None);
    assert!(!ruleout::book::load::has_errors(&problems), "{problems:?}");
    book
}

pub(crate) fn print() {
    println!("next on invented books (faults x tests), milliseconds of processor time, the lowest of nine");
    for (size, bears) in [(50, 10), (100, 10), (200, 10), (200, 40), (500, 10), (500, 100)] {
        let book = invented(size, bears);
        let job = Job::new(&book);
        let judgement = judge(&book, &job);
        let mut times: Vec<f64> = (0..9)
            .map(|_| {
                let start = clock::now();
                let advice = advise(&book, &job, &judgement, 1);
                assert_eq!(advice.steps.len(), 1);
                (clock::now() - start) * 1000.0
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!("  {size:>4} x {size:<4} {bears:>3} shows a fault: {:>8.1}", times[0]);
    }
    println!("\norder on invented books, seconds of processor time, with its proven gap");
    for (size, bears) in [(20, 20), (50, 50), (120, 120), (200, 200), (20, 10), (200, 40)] {
        let book = invented(size, bears);
        let job = Job::new(&book);
        let judgement = judge(&book, &job);
        let start = clock::now();
        let found = order(&book, &job, &judgement).unwrap();
        let seconds = clock::now() - start;
        let quality = found.plan.as_ref().map_or_else(String::new, order_quality);
        println!("  {size:>4} x {size:<4} {bears:>3} shows a fault: {seconds:>7.2}  {quality}");
    }
    println!();
}
