//! `ruleout jobs`: the records of a folder, listed and searched.

use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;

use crate::job::record::{self, Record};
use crate::job::stamp;
use crate::output::jobs::listing::{self, ListedJob, Listing};
use crate::output::jobs::text::jobs_text;
use crate::output::jobs::{BadFile, JobFacts, JobList, days, facts};
use crate::problem::{Severity, did_you_mean};
use crate::reasoning::history::outline;
use crate::syntax::tree::fold;

use super::out::Failure;
use super::shelf::Shelf;
use super::{Exit, Format, ReadingArgs, disk, jobfile, logs, out};

/// The ending of job records.
const ENDING: &str = "job";

/// Arguments of `jobs`.
#[derive(Clone, Debug, Args)]
pub(super) struct JobsArgs {
    /// The folder with the records, folders within it included
    folder: PathBuf,
    /// Only jobs in which this fault was proved or repaired
    #[arg(long, value_name = "NAME")]
    fault: Option<String>,
    /// Only vehicles whose name holds this
    #[arg(long, value_name = "WORDS")]
    vehicle: Option<String>,
    /// Only jobs worked on that day or later, such as 2026-11-01
    #[arg(long, value_name = "DAY")]
    since: Option<String>,
    /// Only jobs begun on that day or earlier
    #[arg(long, value_name = "DAY")]
    until: Option<String>,
    /// Only records that hold these words anywhere
    #[arg(long, value_name = "TEXT")]
    search: Option<String>,
    /// Where the rulebooks lie, if not where the records say
    #[arg(long, value_name = "FOLDER")]
    books: Option<PathBuf>,
    /// Only what the records say themselves: nothing is judged, so that thousands are listed in a second
    #[arg(long)]
    list: bool,
    /// Text for people or JSON for machines
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &JobsArgs) -> Exit {
    listed(args).unwrap_or_else(Exit::from)
}

/// A record that was asked for.
struct Found {
    path: PathBuf,
    text: String,
    record: Record,
}

fn listed(args: &JobsArgs) -> Result<Exit, Failure> {
    for day in [&args.since, &args.until].into_iter().flatten() {
        if stamp::moment(&format!("{day} 00:00:00 +00:00")).is_none() {
            return Err(Failure::said(&format!("`{day}` is no day; write it as 2026-11-25")));
        }
    }
    if !args.folder.is_dir() {
        let why = if args.folder.exists() { "it is no folder" } else { "there is no such folder" };
        return Err(Failure::file(&args.folder, why));
    }
    let read: Vec<Result<Option<Found>, BadFile>> =
        records(&args.folder).into_par_iter().map(|path| wanted(args, path)).collect();
    let (mut found, mut bad) = (Vec::new(), Vec::new());
    for one in read {
        match one {
            Ok(record) => found.extend(record),
            Err(file) => bad.push(file),
        }
    }
    if args.list {
        return Ok(only_listed(args, &found, bad));
    }
    let shelf = Shelf::of(args.books.as_deref(), &args.reading);
    found.iter().for_each(|one| shelf.fetch(&one.path, &one.record));
    let judged: Vec<Result<(JobFacts, bool), BadFile>> = found.par_iter().map(|one| judged(one, &shelf)).collect();
    let (mut jobs, mut wrong) = (Vec::new(), false);
    for one in judged {
        match one {
            Ok((job, faulty)) if args.fault.as_deref().is_none_or(|fault| concerns(&job, fault)) => {
                wrong |= faulty;
                jobs.push(job);
            }
            Ok(_) => {}
            Err(file) => bad.push(file),
        }
    }
    if let (Some(fault), true) = (&args.fault, jobs.is_empty()) {
        unknown_fault(fault, &shelf)?;
    }
    bad.sort_by(|a, b| a.file.cmp(&b.file));
    let list = JobList::of(jobs, bad);
    match args.format {
        Format::Json => out::json(&list),
        Format::Text => out::page(&jobs_text(&list)),
    }
    Ok(if wrong || !list.bad.is_empty() { Exit::Found } else { Exit::Done })
}

/// Lists records by what they say themselves.
fn only_listed(args: &JobsArgs, found: &[Found], bad: Vec<BadFile>) -> Exit {
    let jobs = found.par_iter().map(|one| listing::listed(&one.path.display().to_string(), &one.record));
    let asked = |job: &ListedJob| {
        args.fault.as_ref().is_none_or(|fault| job.repaired.iter().any(|repaired| fold(repaired) == fold(fault)))
    };
    let list = Listing::of(jobs.filter(asked).collect(), bad);
    match args.format {
        Format::Json => out::json(&list),
        Format::Text => out::page(&list.text()),
    }
    let changed = list.jobs.iter().any(|job| !job.changed.is_empty());
    if list.bad.is_empty() && !changed { Exit::Done } else { Exit::Found }
}

/// All records of a folder, in stable order.
fn records(folder: &Path) -> Vec<PathBuf> {
    let walk = ignore::WalkBuilder::new(folder).standard_filters(false).hidden(true).build();
    let files = walk.filter_map(Result::ok).map(ignore::DirEntry::into_path);
    let mut found: Vec<PathBuf> = files.filter(|p| p.extension().is_some_and(|e| e == ENDING) && !p.is_dir()).collect();
    found.sort();
    found
}

/// Reads a record, if it is asked for.
fn wanted(args: &JobsArgs, path: PathBuf) -> Result<Option<Found>, BadFile> {
    let bad = |why: String| BadFile { file: path.display().to_string(), why };
    if path.is_symlink() {
        let real = |path: &Path| path.canonicalize().map_err(|error| disk::because(&error));
        let inside = real(&path).and_then(|path| real(&args.folder).map(|folder| path.starts_with(folder)));
        if !inside.map_err(bad)? {
            return Err(bad("it is a link that leads out of the folder, and isn't followed".into()));
        }
    }
    let text = disk::read_text(&path, args.reading.large).map_err(bad)?;
    let record = record::read(&text).map_err(bad)?;
    let (first, last) = days(&record);
    let holds = |text: &str, words: &str| fold(text).contains(&fold(words));
    let named = |words: &String| record.header.vehicle.as_deref().is_some_and(|vehicle| holds(vehicle, words));
    let asked = args.vehicle.as_ref().is_none_or(named)
        && args.since.as_deref().is_none_or(|since| last.is_some_and(|day| day >= since))
        && args.until.as_deref().is_none_or(|until| first.is_some_and(|day| day <= until))
        && args.search.as_deref().is_none_or(|words| holds(&text, words));
    Ok(asked.then_some(Found { path, text, record }))
}

/// Judges a record; whether something is wrong with it.
fn judged(found: &Found, shelf: &Shelf) -> Result<(JobFacts, bool), BadFile> {
    let name = found.path.display().to_string();
    let bad = |why: String| BadFile { file: name.clone(), why };
    let logs = logs::beside(&found.path);
    let mut book = shelf.book(&found.path, &found.record, None).map_err(bad)?;
    let profile = shelf.profile(&found.record);
    if profile.is_some() {
        book = shelf.book(&found.path, &found.record, profile.as_deref()).map_err(bad)?;
    }
    let mut played = jobfile::play_record(&book, &name, &found.text, &found.record, &logs);
    if played.job.profile != profile {
        let profile = played.job.profile.clone();
        book = shelf.book(&found.path, &found.record, profile.as_deref()).map_err(bad)?;
        played = jobfile::play_record(&book, &name, &found.text, &found.record, &logs);
    }
    let course = outline(&book, &played.job);
    let wrong = played.problems.iter().any(|problem| problem.severity == Severity::Error);
    let facts = facts(&name, &found.record, &book, &played.job, &course, played.remarks());
    Ok((facts, wrong))
}

fn concerns(job: &JobFacts, fault: &str) -> bool {
    let fault = fold(fault);
    job.proved.iter().chain(job.repairs.iter().map(|repair| &repair.fault)).any(|name| fold(name) == fault)
}

/// A fault that no book of these jobs knows.
fn unknown_fault(fault: &str, shelf: &Shelf) -> Result<(), Failure> {
    let known = shelf.faults();
    if known.is_empty() || known.iter().any(|name| fold(name) == fold(fault)) {
        return Ok(());
    }
    let near = did_you_mean(fault, known.iter().map(String::as_str)).map_or(String::new(), |near| format!("; {near}"));
    Err(Failure::said(&format!("no book of these jobs has a fault `{fault}`{near}")))
}
