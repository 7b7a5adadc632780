//! `ruleout judge`: verdicts and reasons for a job.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::book::{Book, Loaded};
use crate::output::how_sure_json::json_how_sure;
use crate::output::judgement_json::json_judgement;
use crate::output::words::Wording;
use crate::reasoning::judge;

use super::out::Failure;
use super::script::{self, Played};
use super::{BookArgs, Exit, Format, disk, jobfile, logs, out};

/// Arguments of `judge`.
#[derive(Clone, Debug, Args)]
pub(super) struct JudgeArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The job: a record, or plain sentences one a line; standard input if left out
    job: Option<PathBuf>,
    /// Text for people or JSON for machines
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Say also what would flip if an entry were off by its uncertainty, or a share half or double
    #[arg(long)]
    how_sure: bool,
}

/// Runs it.
pub(super) fn run(args: &JudgeArgs) -> Exit {
    judged(args).unwrap_or_else(Exit::from)
}

fn judged(args: &JudgeArgs) -> Result<Exit, Failure> {
    let (loaded, book) = disk::open_book(&args.book)?;
    let (book, played) = played(&args.book, args.job.as_deref(), &loaded, book)?;
    let judgement = judge(&book, &played.job);
    if !played.problems.is_empty() {
        out::problems(&played.problems, &played.sources);
    }
    let wording = Wording { book: &book, job: &played.job };
    match args.format {
        Format::Json => {
            let mut json = json_judgement(&book, &played.job, &judgement, played.skipped());
            json.how_sure = args.how_sure.then(|| json_how_sure(&wording, &judgement));
            out::json(&json);
        }
        Format::Text => {
            let mut page = wording.judgement(&judgement);
            if args.how_sure {
                page.gap().page(0, &wording.how_sure(&judgement));
            }
            out::page(&page);
        }
    }
    let quarrels = !judgement.conflicts.is_empty();
    let exit = played.exit().max(if quarrels { Exit::Found } else { Exit::Done });
    // The program ends here: the system takes all of it back at once.
    std::mem::forget((loaded, book, played, judgement));
    Ok(exit)
}

/// Plays the job, under the profile that it names if it names one.
pub(super) fn played(
    args: &BookArgs,
    job: Option<&Path>,
    loaded: &Loaded,
    book: Book,
) -> Result<(Book, Played), Failure> {
    let (name, text) = match job {
        Some(path) => {
            let text = disk::read_text(path, args.reading.large).map_err(|why| Failure::file(path, &why))?;
            (path.display().to_string(), text)
        }
        None => {
            let text = script::standard_input(args.reading.large);
            (
                "standard input".to_string(),
                text.map_err(|why| Failure::said(&format!("standard input can't be read: {why}")))?,
            )
        }
    };
    let logs = job.map_or_else(logs::here, logs::beside);
    let play = |book: &Book| {
        jobfile::play(book, &name, &text, &logs).map_err(|why| Failure::said(&format!("`{name}` can't be read: {why}")))
    };
    let played = play(&book)?;
    match &played.job.profile {
        Some(profile) if args.profile.is_none() => {
            let book = disk::resolve_book(loaded, Some(profile))?;
            let played = play(&book)?;
            Ok((book, played))
        }
        _ => Ok((book, played)),
    }
}
