//! Many jobs at once: jobs a second on the shipped roof-unit book, rule evaluations a second on a book of 1,000 rules against
//! the same rules as plain structs, load and memory a rule. `cargo bench --bench batch`

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use rayon::prelude::*;
use ruleout::batch::{Given, Layout, Plan, Way};
use ruleout::book::Book;

mod common;
use common::{Dice, best, resolved, shipped};

#[path = "advice/clock.rs"]
mod clock;
#[path = "common/rules.rs"]
mod rules;
use rules::{Fact, Rule, facts, text};

/// What a technician of the town fleet writes down of a fan.
const FANS: &[&str] = &[
    "battery voltage",
    "fan runs",
    "second fan runs",
    "supply at roof box",
    "supply at relay socket",
    "relay output",
    "supply at fan connector",
    "supply at fan connector with relay swapped",
    "fan runs with relay swapped",
    "relay clicks",
    "fuse element",
    "plug drop",
    "plug condition",
    "fan current",
    "fan ground drop",
    "coil supply",
];

/// Random jobs over a layout: a reading lies near what is sound, or anywhere in its range.
fn jobs(book: &Book, layout: &Layout, count: usize) -> Vec<Vec<String>> {
    let mut dice = Dice(3);
    let said = |dice: &mut Dice, column: &ruleout::batch::Column| {
        if dice.below(2) == 0 {
            return String::new();
        }
        let indication = book.indication(column.indication);
        if let Some(observation) = indication.observation() {
            return observation.answers[dice.below(observation.answers.len())].clone();
        }
        let high = indication.reading().and_then(|reading| reading.range.as_ref()?.1.value().cloned());
        let most = high.map_or(30.0, |high| high.to_f64());
        let share = if dice.below(2) == 0 { dice.below(1000) } else { 600 + dice.below(50) };
        format!("{:.2}", most * share as f64 / 1000.0)
    };
    (0..count).map(|_| layout.columns.iter().map(|column| said(&mut dice, column)).collect()).collect()
}

fn given(row: &[String]) -> Given<'_> {
    Given { said: row.iter().map(String::as_str).collect(), complaint: "" }
}

fn roof_unit() {
    let book = shipped("roof-unit-fans.rulebook").without_circuits();
    let layout = Layout::new(&book, "cooling demanded", FANS).expect("its readings are there");
    let plan = layout.plan().expect("it is flat");
    let texts = jobs(&book, &layout, 20_000);
    let cells: Vec<Vec<i64>> = texts
        .iter()
        .map(|row| layout.cells(&book, &given(row)).expect("all can be taken").expect("all are whole"))
        .collect();
    let flat =
        texts.iter().filter(|row| layout.judge(&book, &given(row)).expect("all can be taken").way == Way::Flat).count();
    let rounds = 20;
    let all: Vec<&Vec<i64>> = std::iter::repeat_n(&cells, rounds).flatten().collect();
    let seconds = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| best(5, || each(plan, &all))).as_secs_f64()
    };
    let (one, two) = (all.len() as f64 / seconds(1), all.len() as f64 / seconds(2));
    let (lines, needs) = plan.size();
    println!(
        "roof-unit book without its circuits ({lines} lines of {needs} comparisons; {flat} of {} jobs are flat)\n  \
         verdicts from memory: {one:.0} jobs/s on one core, {two:.0} on two",
        texts.len()
    );
    let texts_of = |row: &Vec<String>| drop(layout.judge(&book, &given(row)));
    let read = best(3, || texts.par_iter().for_each(texts_of)).as_secs_f64();
    println!(
        "  from texts of cells, the ordinary judge's share included: {:.0} jobs/s on all cores",
        texts.len() as f64 / read
    );
    let ordinary = best(2, || {
        texts.par_iter().take(1_000).for_each(|row| {
            drop(ruleout::reasoning::judge(&book, &layout.job(&book, &given(row)).expect("all can be taken")))
        })
    });
    println!(
        "  each by the ordinary judge, weights and reasons included: {:.0} jobs/s on all cores",
        1_000.0 / ordinary.as_secs_f64()
    );
}

/// The same jobs with the circuits. What they foretell hangs on what was read at the batteries' posts, so each such reading costs once.
fn roof_unit_with_circuits() {
    let book = shipped("roof-unit-fans.rulebook");
    let layout = Layout::new(&book, "cooling demanded", FANS).expect("its readings are there");
    let plan = layout.plan().expect("it is flat");
    let mut dice = Dice(5);
    let mut texts = jobs(&book, &layout, 20_000);
    let feeds = layout.columns.iter().position(|column| column.name == "battery voltage").expect("it is there");
    for row in texts.iter_mut().filter(|row| !row[feeds].is_empty()) {
        row[feeds] = format!("{:.1}", 24.0 + 0.2 * dice.below(11) as f64);
    }
    let cells: Vec<Vec<i64>> = texts
        .iter()
        .map(|row| layout.cells(&book, &given(row)).expect("all can be taken").expect("all are whole"))
        .collect();
    let start = std::time::Instant::now();
    cells.par_iter().for_each(|job| plan.learn(&book, job));
    let (learnt, supplies) = (start.elapsed().as_secs_f64(), plan.supplies());
    let mut standing = plan.standing();
    let blank = plan.blank();
    let flat = cells.iter().filter(|job| {
        let mut own = blank.clone();
        own[..job.len()].copy_from_slice(job);
        plan.judge(&mut own, None, &mut standing)
    });
    let flat = flat.count();
    let all: Vec<&Vec<i64>> = std::iter::repeat_n(&cells, 20).flatten().collect();
    let seconds = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| best(5, || each(plan, &all))).as_secs_f64()
    };
    println!(
        "roof-unit book with its circuits, once {supplies} voltages at the posts have been met, each with the setups before\n  \
         verdicts from memory: {:.0} jobs/s on one core, {:.0} on two ({flat} of {} jobs are flat)",
        all.len() as f64 / seconds(1),
        all.len() as f64 / seconds(2),
        texts.len()
    );
    println!("  the first job with each of them: {:.0} ms on all cores", learnt * 1e3 / supplies as f64);
}

fn each(plan: &Plan, all: &[&Vec<i64>]) {
    all.par_chunks(4_096).for_each(|some| {
        let (mut standing, mut cells) = (plan.standing(), plan.blank());
        for job in some {
            cells[..job.len()].copy_from_slice(job);
            std::hint::black_box(plan.judge(&mut cells, None, &mut standing));
        }
    });
}

fn thousand(count: usize) {
    let rules = Rule::all(count);
    let book = resolved(text(&rules));
    let headings = Fact::headings();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let layout = Layout::new(&book, "", &headings).expect("its readings are there");
    // The system tells processor time every few milliseconds only, so several are told together.
    let together = 100_000 / count;
    let compiled = |_| {
        let start = clock::now();
        (0..together).for_each(|_| drop(Layout::new(&book, "", &headings)));
        (clock::now() - start) / together as f64
    };
    let load = (0..5).map(compiled).fold(f64::INFINITY, f64::min);
    let plan = layout.plan().expect("it is flat");
    let facts = facts(512);
    let cells: Vec<Vec<i64>> = facts
        .iter()
        .map(|fact| {
            let said = fact.said();
            let given = Given { said: said.iter().map(String::as_str).collect(), complaint: "" };
            layout.cells(&book, &given).expect("all can be taken").expect("all are whole")
        })
        .collect();
    // The same conclusions as the plain structs, fact by fact.
    let mut standing = plan.standing();
    for (fact, cells) in facts.iter().zip(&cells) {
        assert!(plan.judge(&mut cells.clone(), None, &mut standing));
        let mut ruled_out = [false; rules::FAULTS];
        rules.iter().filter(|rule| rule.fires(fact)).for_each(|rule| ruled_out[rule.fault] = true);
        let open: Vec<usize> = standing.open().map(|fault| fault.place()).collect();
        let left: Vec<usize> = (0..rules::FAULTS).filter(|fault| !ruled_out[*fault]).collect();
        assert_eq!(open, left);
    }
    let mut own = plan.blank();
    let flat = best(7, || {
        for job in &cells {
            own[..job.len()].copy_from_slice(job);
            std::hint::black_box(plan.judge(&mut own, None, &mut standing));
        }
    });
    let plain = best(7, || {
        for fact in &facts {
            let mut ruled_out = [false; rules::FAULTS];
            for rule in &rules {
                ruled_out[rule.fault] |= rule.fires(fact);
            }
            std::hint::black_box(ruled_out);
        }
    });
    let evaluations = (count * facts.len()) as f64;
    let (ours, theirs) = (evaluations / flat.as_secs_f64() / 1e6, evaluations / plain.as_secs_f64() / 1e6);
    println!(
        "{count} rules: {ours:.0} million rule evaluations/s a core; plain structs {theirs:.0} million ({:.1} x)\n  \
         compiled from a resolved book in {:.2} µs a rule, processor time; {:.2} MB per 10,000 rules",
        theirs / ours,
        load * 1e6 / count as f64,
        plan.bytes() as f64 / 1e6 * 10_000.0 / count as f64
    );
}

pub(crate) fn main() {
    roof_unit();
    roof_unit_with_circuits();
    thousand(1_000);
    thousand(10_000);
}
