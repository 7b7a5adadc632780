//! How many minutes the advice saves, and how long it takes to give. Hunts on vehicles drawn from a model apart from the
//! advisor's, on every shipped book, beside the book's own order, the likeliest fault first, probability over cost and any
//! test at random. All ways are stopped by the same judge, and none takes a test that can't change anything.
//!
//! Run: `cargo bench --bench advice`. `PARTS=hunts` leaves the other parts out, `BOOK=battery` takes one book, `VEHICLES=20`
//! more vehicles a seed, `RECORDED=1` fewer seeds for recorded cases, `FOLLOW=yes` prints every hunt test by test.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

use std::borrow::Cow;
use std::path::Path;

use rayon::prelude::*;

use ruleout::book::load::has_errors;
use ruleout::book::{Book, ComplaintId, FaultId, load};
use ruleout::cli::{Disk, ReadingArgs};
use ruleout::job::Job;
use ruleout::reasoning::{Verdict, judge};
use ruleout::syntax::tree::Statement;

#[path = "advice/clock.rs"]
mod clock;
#[path = "advice/families.rs"]
mod families;
#[path = "advice/speed.rs"]
mod speed;
#[path = "advice/ways.rs"]
mod ways;
#[path = "advice/world.rs"]
mod world;

use ways::{Hunt, Taken, WAYS, hunt};
use world::{Dice, World};

const SEEDS: u64 = 10;
/// For the tests that a recorded case did not record; `RECORDED` says otherwise.
const RECORDED_SEEDS: u64 = 3;

pub(crate) fn main() {
    let parts = std::env::var("PARTS").unwrap_or_else(|_| "speed families hunts".into());
    if parts.contains("speed") {
        speed::print();
    }
    if parts.contains("families") {
        families::print();
    }
    if parts.contains("hunts") {
        hunts();
    }
}

fn hunts() {
    let number = |name: &str| std::env::var(name).ok().and_then(|n| n.parse().ok());
    let vehicles: u64 = number("VEHICLES").unwrap_or(6);
    let recorded_seeds = number("RECORDED").unwrap_or(RECORDED_SEEDS);
    let only = std::env::var("BOOK").unwrap_or_default();
    let mut books: Vec<_> = std::fs::read_dir("rulebooks").into_iter().flatten().flatten().map(|e| e.path()).collect();
    books
        .retain(|path| path.extension().is_some_and(|e| e == "rulebook") && path.display().to_string().contains(&only));
    books.sort();
    for path in books {
        let Some(book) = open(&path, None) else { continue };
        let others = book.profiles.iter().filter(|name| Some(*name) != book.profile.as_ref());
        let variants: Vec<Book> = others.filter_map(|name| open(&path, Some(name))).collect();
        println!("{}", path.display());
        let drawn: Vec<(u64, World<'_>)> = (0..SEEDS)
            .flat_map(|seed| (0..vehicles).map(move |n| (seed, n)))
            .map(|(seed, n)| (seed, World::drawn(&book, seed * 1_000_003 + n)))
            .collect();
        table(&book, "faults drawn from perturbed shares", &drawn);
        let recorded: Vec<(u64, World<'_>)> =
            (0..recorded_seeds).flat_map(|seed| recorded_of(&book, &variants, seed)).collect();
        table(&book, "recorded cases", &recorded);
    }
}

fn open(path: &Path, profile: Option<&str>) -> Option<Book> {
    let loaded = load(&Disk::of(path, &ReadingArgs::default()), path).ok()?;
    let (book, problems) = loaded.resolve(profile);
    (!has_errors(&problems)).then_some(book)
}

/// The book's own cases that end with one fault proved, each under the profile that it names.
fn recorded_of<'b>(book: &'b Book, variants: &'b [Book], seed: u64) -> Vec<(u64, World<'b>)> {
    let books = std::iter::once(book).chain(variants);
    books.flat_map(|one| recorded(one, book.profile.as_deref(), seed)).map(|world| (seed, world)).collect()
}

/// How the label begins of a case that was drafted at the very edge of a limit, from what the judge says: a few entries,
/// many alike, no job that anybody worked.
const DRAFTED: [&str; 2] = ["edge of ", "further edge of "];

/// Those of its profile; `usual` is that of a case that names none.
fn recorded<'b>(book: &'b Book, usual: Option<&str>, seed: u64) -> Vec<World<'b>> {
    let mut worlds = Vec::new();
    for case in &book.cases {
        let named = case.lines.iter().find_map(|(statement, _)| match statement {
            Statement::Profile(name) => Some(&*name.text),
            _ => None,
        });
        let drafted = DRAFTED.iter().any(|begin| case.label.starts_with(begin));
        if drafted || named.or(usual) != book.profile.as_deref() {
            continue;
        }
        let mut job = Job::new(book);
        for (statement, _) in &case.lines {
            if matches!(statement, Statement::Repaired(_)) {
                break;
            }
            let _ = job.enter(book, statement.clone(), "");
        }
        let judgement = judge(book, &job);
        let proved: Vec<FaultId> = judgement.with(Verdict::Proved).collect();
        if let ([fault], true) = (&proved[..], judgement.conflicts.is_empty()) {
            worlds.push(World::recorded(book, *fault, seed, job.entries.iter().map(Cow::into_owned).collect()));
        }
    }
    worlds
}

/// *lost*: the answers that were drawn contradict the book, so that its own true fault is ruled out; no way can find it.
///
/// Prints the minutes of each way over vehicles whose fault every way finds: those that no test tells from others cost
/// every way all tests there are.
fn table(book: &Book, title: &str, worlds: &[(u64, World<'_>)]) {
    let hunts: Vec<(u64, Vec<Hunt>)> = worlds
        .par_iter()
        .enumerate()
        .map(|(n, (seed, world))| {
            let complaint = complaint(book, world.truth, seed + n as u64);
            (*seed, WAYS.iter().map(|way| hunt(world, *way, seed * 77 + n as u64, complaint)).collect())
        })
        .collect();
    let found: Vec<&(u64, Vec<Hunt>)> = hunts.iter().filter(|(_, all)| all.iter().all(|h| h.found)).collect();
    println!("  {title}: {} vehicles, {} with the fault found every way", hunts.len(), found.len());
    println!(
        "    {:<20} {:>7} {:>7} {:>7} {:>6}   {:>9} {:>6} {:>6}",
        "way", "mean", "lowest", "highest", "tests", "all: mean", "found", "lost"
    );
    let mut means: Vec<f64> = Vec::new();
    for (place, way) in WAYS.iter().enumerate() {
        let (low, high) = spread(&found, place);
        let tests = mean(found.iter().map(|(_, all)| all[place].taken.len() as f64));
        let share =
            |is: fn(&Hunt) -> bool| 100.0 * mean(hunts.iter().map(|(_, all)| f64::from(u8::from(is(&all[place])))));
        let (found_share, lost) = (share(|hunt| hunt.found), share(|hunt| hunt.wrong));
        let (own, all) =
            (mean(found.iter().map(|h| h.1[place].minutes)), mean(hunts.iter().map(|h| h.1[place].minutes)));
        println!(
            "    {:<20} {own:>7.1} {low:>7.1} {high:>7.1} {tests:>6.1}   {all:>9.1} {found_share:>5.0}% {lost:>5.0}%",
            way.name()
        );
        means.push(own);
    }
    if std::env::var("FOLLOW").is_ok() {
        follow(book, worlds, &hunts);
    }
    let best = means.iter().skip(1).copied().fold(f64::INFINITY, f64::min);
    floor(worlds, &hunts);
    println!("    advice against the best of the others: {:+.0} %\n", 100.0 * (means[0] / best - 1.0));
}

/// Prints what no way can save: the tests that the complaint asks for first, and the fewest minutes, over all ways, of
/// the tests that are needed to show the fault to one who knows every answer beforehand.
fn floor(worlds: &[(u64, World<'_>)], hunts: &[(u64, Vec<Hunt>)]) {
    let all = worlds.par_iter().zip(hunts).filter(|(_, (_, all))| all.iter().all(|hunt| hunt.found));
    let both: Vec<(f64, f64)> = all
        .map(|((_, world), (_, all))| {
            let least = all.iter().map(|hunt| hunt.needed(world)).fold(f64::INFINITY, f64::min);
            (all[0].baseline(), least)
        })
        .collect();
    println!(
        "    asked for first by the complaint: {:.1} min; needed to show the fault, every answer known beforehand: {:.1} min",
        mean(both.iter().map(|b| b.0)),
        mean(both.iter().map(|b| b.1))
    );
}

/// Prints every hunt test by test: its minutes, the faults left after it.
fn follow(book: &Book, worlds: &[(u64, World<'_>)], hunts: &[(u64, Vec<Hunt>)]) {
    for ((_, world), (_, all)) in worlds.iter().zip(hunts) {
        println!("    {}", book.fault(world.truth).name);
        for (way, hunt) in WAYS.iter().zip(all) {
            let step = |test: &Taken| {
                format!("{} {:.0} min ({})", book.indication(test.indication).name, test.minutes, test.left)
            };
            let steps: Vec<String> = hunt.taken.iter().map(step).collect();
            let end = if hunt.found { "found" } else { "not found" };
            println!("      {}, {:.0} min, {end}: {}", way.name(), hunt.minutes, steps.join(", "));
        }
    }
}

/// The lowest and highest mean of a seed.
fn spread(found: &[&(u64, Vec<Hunt>)], place: usize) -> (f64, f64) {
    let of = |seed: u64| found.iter().filter(move |(s, _)| *s == seed).map(|(_, all)| all[place].minutes);
    let means = (0..SEEDS).filter(|seed| of(*seed).next().is_some()).map(|seed| mean(of(seed)));
    means.fold((f64::INFINITY, 0.0), |(low, high), m| (low.min(m), high.max(m)))
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

/// A complaint that the fault explains, one of several.
fn complaint(book: &Book, truth: FaultId, seed: u64) -> Option<ComplaintId> {
    let explains = |id: &ComplaintId| book.complaint(*id).may_be.as_ref().is_none_or(|faults| faults.contains(&truth));
    let all: Vec<ComplaintId> = (0..book.complaints.len()).map(ComplaintId::at).filter(explains).collect();
    all.get(Dice::new(seed).pick(&vec![1.0; all.len()])).copied()
}
