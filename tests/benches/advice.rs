//! How many minutes the advice saves: hunts on vehicles drawn from a model apart from the advisor's, beside the book's own
//! order, the likeliest fault first, probability over cost, and any test at random. Run: `cargo bench --bench advice`.

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::Path;

use ruleout::book::{Book, ComplaintId, FaultId, load};
use ruleout::cli::{Disk, ReadingArgs};
use ruleout::reasoning::Verdict;

#[path = "advice/ways.rs"]
mod ways;
#[path = "advice/world.rs"]
mod world;

use ways::{Hunt, WAYS, Way, hunt};
use world::{Dice, World};

const SEEDS: u64 = 10;

fn main() {
    let vehicles: u64 = std::env::var("VEHICLES").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let mut books: Vec<_> = std::fs::read_dir("rulebooks").into_iter().flatten().flatten().map(|e| e.path()).collect();
    books.retain(|path| path.extension().is_some_and(|e| e == "rulebook"));
    books.sort();
    let only = std::env::var("BOOK").unwrap_or_default();
    for path in books.into_iter().filter(|path| path.display().to_string().contains(&only)) {
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
    let ways: Vec<Way> = match std::env::var("WAYS") {
        Ok(names) => WAYS.into_iter().filter(|w| names.contains(&format!("{w:?}"))).collect(),
        Err(_) => WAYS.to_vec(),
    };
    // By seed and vehicle, the hunt of each way.
    let mut hunts: Vec<(u64, Vec<Hunt>)> = Vec::new();
    for seed in 0..seeds {
        for (n, world) in worlds(seed).iter().enumerate() {
            let complaint = complaint(book, world.truth, seed + n as u64);
            if let Ok(trace) = std::env::var("TRACE") {
                if trace == format!("{seed},{n}") {
                    ways.iter().for_each(|way| ways::trace(world, *way, seed * 77 + n as u64, complaint));
                }
                continue;
            }
            hunts.push((seed, ways.iter().map(|way| hunt(world, *way, seed * 77 + n as u64, complaint)).collect()));
        }
    }
    let (found, rest): (Vec<_>, Vec<_>) = hunts.iter().partition(|(_, all)| all.iter().all(|h| h.found));
    println!(
        "  {} vehicles; {} with the fault found every way, {} where what is left can't be told apart (or not every way)",
        hunts.len(),
        found.len(),
        rest.len()
    );
    println!(
        "  {:<20} {:>8} {:>8} {:>8} {:>6}   {:>8} {:>6} {:>6}",
        "found every way:", "minutes", "lowest", "highest", "tests", "all: min", "found", "wrong"
    );
    let mut means: Vec<f64> = Vec::new();
    for (place, way) in ways.iter().enumerate() {
        let of = |list: &[&(u64, Vec<Hunt>)]| {
            list.iter().map(|(_, all)| all[place].minutes).sum::<f64>() / list.len().max(1) as f64
        };
        let by_seed: Vec<f64> = (0..seeds)
            .map(|seed| found.iter().copied().filter(|(s, _)| *s == seed).collect::<Vec<_>>())
            .filter(|l| !l.is_empty())
            .map(|l| of(&l))
            .collect();
        let (low, high) = by_seed.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), m| (l.min(*m), h.max(*m)));
        let tests = found.iter().map(|(_, all)| all[place].tests as f64).sum::<f64>() / found.len().max(1) as f64;
        let share = |is: fn(&Hunt) -> bool| {
            100.0 * hunts.iter().filter(|(_, all)| is(&all[place])).count() as f64 / hunts.len().max(1) as f64
        };
        let all = hunts.iter().collect::<Vec<_>>();
        println!(
            "  {:<20} {:>8.1} {low:>8.1} {high:>8.1} {tests:>6.1}   {:>8.1} {:>5.0}% {:>5.0}%",
            format!("{way:?}"),
            of(&found),
            of(&all),
            share(|h| h.found),
            share(|h| h.wrong)
        );
        means.push(of(&found));
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
