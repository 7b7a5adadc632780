//! `ruleout next`: what to measure next, or to repair.

use std::io::IsTerminal;
use std::path::PathBuf;

use clap::Args;

use crate::advice::{Advice, advise};
use crate::job::Job;
use crate::output::advice_json::json_advice;
use crate::output::how_sure_json::json_how_sure;
use crate::output::page::Page;
use crate::output::words::Wording;
use crate::reasoning::judge;

use super::judge::played;
use super::out::Failure;
use super::{BookArgs, Exit, Format, disk, out};

/// Arguments of `next`.
#[derive(Clone, Debug, Args)]
pub(super) struct NextArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The job: a record, or plain sentences one a line; standard input if left out, nothing entered on a terminal
    job: Option<PathBuf>,
    /// How many tests to name
    #[arg(long, short = 'n', value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=100))]
    count: u16,
    /// Text for people or JSON for machines
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Say also what would flip if an entry were off by its uncertainty, or a share half or double
    #[arg(long)]
    how_sure: bool,
}

/// Runs it.
pub(super) fn run(args: &NextArgs) -> Exit {
    advised(args).unwrap_or_else(Exit::from)
}

fn advised(args: &NextArgs) -> Result<Exit, Failure> {
    let (loaded, book) = disk::open_book(&args.book)?;
    let nothing_entered = args.job.is_none() && std::io::stdin().is_terminal();
    if nothing_entered {
        let job = Job::new(&book);
        return Ok(show(args, &book, &job, Vec::new()));
    }
    let (book, played) = played(&args.book, args.job.as_deref(), &loaded, book)?;
    if !played.problems.is_empty() {
        out::problems(&played.problems, &played.sources);
    }
    Ok(show(args, &book, &played.job, played.skipped()).max(played.exit()))
}

fn show(
    args: &NextArgs,
    book: &crate::book::Book,
    job: &Job,
    skipped: Vec<crate::output::judgement_json::JsonSkipped>,
) -> Exit {
    let judgement = judge(book, job);
    let wording = Wording { book, job };
    let done = wording.is_job_done(&judgement);
    let advice = if done { Advice::default() } else { advise(book, job, &judgement, usize::from(args.count)) };
    match args.format {
        Format::Json => {
            let mut json = json_advice(book, job, &judgement, &advice, skipped);
            json.how_sure = args.how_sure.then(|| json_how_sure(&wording, &judgement));
            out::json(&json);
        }
        Format::Text => {
            let mut page = if done { job_done() } else { wording.advice(&advice, &mut Vec::new()) };
            if args.how_sure {
                page.gap().page(0, &wording.how_sure(&judgement));
            }
            out::page(page.gap());
        }
    }
    if judgement.conflicts.is_empty() { Exit::Done } else { Exit::Found }
}

fn job_done() -> Page {
    let mut page = Page::new();
    page.line(0, "The job is done: nothing is left to measure. `ruleout report JOB` shows it.");
    page
}
