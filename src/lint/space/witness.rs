//! A little job for entries whose values were found: setups reached one after the other, each value typed as a
//! technician would, with as few digits as do.

use crate::book::{Book, IndicationKind, SettingId, Setup};
use crate::job::{Entry, Job};
use crate::lint::cases::draft::words::{answer_line, read, reading_line, setup_lines};
use crate::units::{Exact, Interval};

use super::system::{Domain, System, Var};

/// How a number is typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Typed {
    /// As short as it is.
    Short,
    /// With at least that many decimals, so that it is known better.
    Decimals(usize),
    /// `± 0`: without any uncertainty.
    Exactly,
}

const TYPED: [Typed; 4] = [Typed::Short, Typed::Decimals(2), Typed::Decimals(4), Typed::Exactly];

/// The job of some unknowns that a test accepts: its lines.
pub(crate) fn witness(
    book: &Book,
    entries: &[Entry],
    vars: &[Var],
    system: &System,
    accepts: impl Fn(&Job) -> bool,
) -> Option<Vec<String>> {
    first(&TYPED, book, &values(book, entries, vars, system)?, entries, accepts)
}

/// The same with every value as a meter shows it.
pub(crate) fn measured(
    book: &Book,
    entries: &[Entry],
    vars: &[Var],
    system: &System,
    accepts: impl Fn(&Job) -> bool,
) -> Option<Vec<String>> {
    let shown = TYPED.into_iter().filter(|typed| *typed != Typed::Exactly).collect::<Vec<_>>();
    first(&shown, book, &values(book, entries, vars, system)?, entries, accepts)
}

/// The first way of typing the values whose job a test accepts.
fn first(
    ways: &[Typed],
    book: &Book,
    values: &[(Var, Found)],
    entries: &[Entry],
    accepts: impl Fn(&Job) -> bool,
) -> Option<Vec<String>> {
    ways.iter().find_map(|typed| {
        let lines = lines(book, entries, values, *typed)?;
        let job = job(book, &lines)?;
        accepts(&job).then_some(lines)
    })
}

/// The job that some lines make.
pub(crate) fn job(book: &Book, lines: &[String]) -> Option<Job> {
    let mut job = Job::new(book);
    for line in lines {
        job.enter(book, read(line)?, line).ok()?;
    }
    Some(job)
}

/// A value found.
enum Found {
    /// In the reading's own unit.
    Number(Exact),
    Answer(usize),
}

/// Values for the unknowns that are to be entered, one after the other, each in the middle of what the others leave.
fn values(book: &Book, entries: &[Entry], vars: &[Var], system: &System) -> Option<Vec<(Var, Found)>> {
    let mut system = system.clone();
    let mut all = Vec::new();
    for var in vars {
        let indication = book.indication(entries.get(*var)?.indication);
        match (&indication.kind, system.domains.get(*var)?) {
            (IndicationKind::Observation(observation), Domain::Answers(mask)) => {
                let answer = (0..observation.answers.len()).find(|n| mask >> n & 1 == 1)?;
                all.push((*var, Found::Answer(answer)));
            }
            (IndicationKind::Reading(reading), Domain::Number(_)) => {
                let range = system.range_of(*var)?;
                let own = reading.unit.map_or(range.clone(), |unit| unit.interval_from_base(&range));
                let value = middle(&own)?;
                let base = reading.unit.map_or(value.clone(), |unit| unit.to_base(&value));
                if !system.fix(*var, base) {
                    return None;
                }
                all.push((*var, Found::Number(value)));
            }
            _ => return None,
        }
    }
    Some(all)
}

/// A number well inside a range, with few digits.
fn middle(range: &Interval) -> Option<Exact> {
    let quarter = Exact::ratio(1, 4)?;
    let (at, room) = match (range.low.value(), range.high.value()) {
        (Some(low), Some(high)) => ((low + high).half(), (high - low) * &quarter),
        (Some(low), None) => (low + &step(low), step(low).half()),
        (None, Some(high)) => (high - &step(high), step(high).half()),
        (None, None) => (Exact::zero(), Exact::one()),
    };
    let short = (0..12).map(|decimals| at.rounded(decimals)).find(|short| (short - &at).abs() <= room);
    short.filter(|short| range.contains(short)).or_else(|| range.contains(&at).then_some(at))
}

/// How far from the only end of a range a value is taken.
fn step(end: &Exact) -> Exact {
    let tenth = end.abs() * Exact::pow10(-1);
    if tenth > Exact::one() { tenth } else { Exact::one() }
}

fn lines(book: &Book, entries: &[Entry], values: &[(Var, Found)], typed: Typed) -> Option<Vec<String>> {
    let mut lines = Vec::new();
    let mut setup = Setup::normal(&book.settings);
    for wanted in setups(entries, values) {
        let steps = steps(book, &setup, wanted)?;
        lines.extend(setup_lines(book, &steps)?);
        setup = wanted.clone();
        for (var, value) in values.iter().filter(|(var, _)| entries.get(*var).is_some_and(|e| e.setup == *wanted)) {
            let indication = book.indication(entries.get(*var)?.indication);
            lines.push(match (value, &indication.kind) {
                (Found::Answer(n), IndicationKind::Observation(observation)) => {
                    answer_line(&indication.name, observation.answers.get(*n)?)?
                }
                (Found::Number(value), IndicationKind::Reading(reading)) => {
                    reading_line(&indication.name, &number(value, reading.unit.map_or("", |unit| unit.symbol), typed))?
                }
                _ => return None,
            });
        }
    }
    Some(lines)
}

/// The setups of the entries, those of few settings first.
fn setups<'e>(entries: &'e [Entry], values: &[(Var, Found)]) -> Vec<&'e Setup> {
    let mut all: Vec<&Setup> = values.iter().filter_map(|(var, _)| entries.get(*var)).map(|e| &e.setup).collect();
    all.sort();
    all.dedup();
    all
}

fn number(value: &Exact, symbol: &str, typed: Typed) -> String {
    let mut text = value.to_string();
    if let Typed::Decimals(decimals) = typed {
        let found = text.split_once('.').map_or(0, |(_, after)| after.len());
        if found < decimals {
            if found == 0 {
                text.push('.');
            }
            text.push_str(&"0".repeat(decimals - found));
        }
    }
    let number = format!("{text} {symbol}");
    match typed {
        Typed::Exactly => format!("{} ± 0 {symbol}", number.trim_end()).trim_end().to_string(),
        _ => number.trim_end().to_string(),
    }
}

/// What is set to come from one setup to another.
fn steps(book: &Book, from: &Setup, to: &Setup) -> Option<Vec<(SettingId, u8)>> {
    let (mut setup, mut steps) = (from.clone(), Vec::new());
    for _ in 0..=book.settings.len() * 2 {
        let differs = |id: &SettingId| setup.value(*id) != to.value(*id);
        let leaves = book.setting_ids().filter(differs).find(|id| to.value(*id) == book.setting(*id).inactive);
        let Some(id) = leaves.or_else(|| book.setting_ids().find(differs)) else { return Some(steps) };
        setup.set(book, id, to.value(id));
        steps.push((id, to.value(id)));
    }
    None
}
