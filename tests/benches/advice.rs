//! How many minutes the advice saves: hunts on vehicles drawn from a model apart from the advisor's, beside the book's own
//! order, the likeliest fault first, probability over cost, and any test at random. Run: `cargo bench --bench advice`.

use std::path::Path;

use ruleout::book::{Book, ComplaintId, FaultId, load};
use ruleout::cli::{Disk, ReadingArgs};
use ruleout::reasoning::Verdict;

#[path = "advice/ways.rs"]
mod ways;
#[path = "advice/world.rs"]
mod world;

use ways::{Hunt, WAYS, hunt};
use world::{Dice, World};

const SEEDS: u64 = 10;

fn main() {
    let vehicles: u64 = std::env::var("VEHICLES").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let mut books: Vec<_> = std::fs::read_dir("rulebooks").into_iter().flatten().flatten().map(|e| e.path()).collect();
    books.retain(|path| path.extension().is_some_and(|e| e == "rulebook"));
    books.sort();
    for path in books {
        let Some(book) = open(&path) else { continue };
        println!("{}: minutes to the last fault standing, {SEEDS} seeds of {vehicles} vehicles", path.display());
        table(&book, |seed| (0..vehicles).map(|n| World::drawn(&book, seed * 1_000_003 + n)).collect(), SEEDS);
        println!("  the same on recorded cases, {SEEDS} seeds for what they did not record");
        table(&book, |seed| recorded(&book, seed), SEEDS);
    }
}

fn open(path: &Path) -> Option<Book> {
    let loaded = load(&Disk::of(path, &ReadingArgs::default()), path).ok()?;
    let (book, problems) = loaded.resolve(None);
    (!ruleout::book::load::has_errors(&problems)).then_some(book)
}

/// The book's own cases that end with one fault proved.
fn recorded(book: &Book, seed: u64) -> Vec<World<'_>> {
    let mut worlds = Vec::new();
    for case in &book.cases {
        let mut job = ruleout::job::Job::new(book);
        for (statement, _) in &case.lines {
            let repaired = matches!(statement, ruleout::syntax::tree::Statement::Repaired(_));
            if repaired {
                break;
            }
            let _ = job.enter(book, statement.clone(), "");
        }
        let judgement = ruleout::reasoning::judge(book, &job);
        let proved: Vec<FaultId> = judgement.with(Verdict::Proved).collect();
        if let ([fault], true) = (&proved[..], judgement.conflicts.is_empty()) {
            worlds.push(World::recorded(book, *fault, seed, job.entries.clone()));
        }
    }
    worlds
}

fn table<'a>(book: &'a Book, worlds: impl Fn(u64) -> Vec<World<'a>>, seeds: u64) {
    println!("  {:<22} {:>8} {:>8} {:>8} {:>8} {:>7} {:>7}", "way", "minutes", "lowest", "highest", "tests", "found", "wrong");
    let mut means: Vec<f64> = Vec::new();
    for way in WAYS {
        let (mut by_seed, mut all): (Vec<f64>, Vec<Hunt>) = (Vec::new(), Vec::new());
        for seed in 0..seeds {
            let worlds = worlds(seed);
            let hunts: Vec<Hunt> = worlds.iter().enumerate().map(|(n, w)| hunt(w, way, seed * 77 + n as u64, complaint(book, w.truth, seed + n as u64))).collect();
            by_seed.push(hunts.iter().map(|h| h.minutes).sum::<f64>() / hunts.len().max(1) as f64);
            all.extend(hunts);
        }
        let count = all.len().max(1) as f64;
        let mean = all.iter().map(|h| h.minutes).sum::<f64>() / count;
        let (low, high) = by_seed.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(*m), h.max(*m)));
        let share = |of: fn(&Hunt) -> bool| 100.0 * all.iter().filter(|h| of(h)).count() as f64 / count;
        let tests = all.iter().map(|h| h.tests as f64).sum::<f64>() / count;
        println!("  {:<22} {mean:>8.1} {low:>8.1} {high:>8.1} {tests:>8.1} {:>6.0}% {:>6.0}%", format!("{way:?}"), share(|h| h.found), share(|h| h.wrong));
        means.push(mean);
    }
    let best = means.iter().skip(1).copied().fold(f64::INFINITY, f64::min);
    println!("  advice against the best of the others: {:+.0} %\n", 100.0 * (means[0] / best - 1.0));
}

/// A complaint that the fault explains, one of several.
fn complaint(book: &Book, truth: FaultId, seed: u64) -> Option<ComplaintId> {
    let explains = |id: &ComplaintId| book.complaint(*id).may_be.as_ref().is_none_or(|faults| faults.contains(&truth));
    let all: Vec<ComplaintId> = (0..book.complaints.len()).map(ComplaintId::at).filter(explains).collect();
    all.get(Dice::new(seed).pick(&vec![1.0; all.len()])).copied()
}
