//! `ruleout report`: a recorded job as a page.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::job::record;
use crate::output::words::Wording;
use crate::reasoning::judge;

use super::out::Failure;
use super::{BookArgs, Exit, ReadingArgs, disk, jobfile, logs, out};

/// Arguments of `report`.
#[derive(Clone, Debug, Args)]
pub(super) struct ReportArgs {
    /// The job record
    job: PathBuf,
    /// The rulebook, if it is not where the record says
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &ReportArgs) -> Exit {
    reported(args).unwrap_or_else(Exit::from)
}

fn reported(args: &ReportArgs) -> Result<Exit, Failure> {
    let text = disk::read_text(&args.job, args.reading.large).map_err(|why| Failure::file(&args.job, &why))?;
    let record = record::read(&text).map_err(|why| Failure::file(&args.job, &why))?;
    let path = args.book.clone().unwrap_or_else(|| beside(&args.job, &record.header.book));
    let mut book_args = BookArgs { book: path, profile: None, reading: args.reading.clone() };
    let (loaded, mut book) = disk::open_book(&book_args)?;
    let name = args.job.display().to_string();
    let logs = logs::beside(&args.job);
    let mut played = jobfile::play_record(&book, &name, &text, &record, &logs);
    if let Some(profile) = played.job.profile.clone() {
        book = disk::resolve_book(&loaded, Some(&profile))?;
        played = jobfile::play_record(&book, &name, &text, &record, &logs);
        book_args.profile = Some(profile);
    }
    out::problems(&played.problems, &played.sources);
    let judgement = judge(&book, &played.job);
    out::page(&Wording { book: &book, job: &played.job }.report(Some(&record.header), &judgement));
    Ok(played.exit().max(if judgement.conflicts.is_empty() { Exit::Done } else { Exit::Found }))
}

/// The book as the record names it: from here, or beside the record.
fn beside(job: &Path, book: &str) -> PathBuf {
    let named = PathBuf::from(book);
    if named.exists() {
        return named;
    }
    let folder = job.parent().unwrap_or(Path::new(""));
    let file = named.file_name().map(PathBuf::from).unwrap_or_default();
    for candidate in [folder.join(&named), folder.join(&file), folder.join("..").join(&file)] {
        if candidate.exists() {
            return candidate;
        }
    }
    named
}
