//! `ruleout worksheet`: the measuring order on paper.

use std::path::PathBuf;

use clap::Args;

use crate::advice::order::order;
use crate::job::Job;
use crate::output::words::Wording;
use crate::reasoning::judge;
use crate::source::Sources;
use crate::syntax::parse_statement;

use super::judge::played;
use super::order::planned;
use super::out::Failure;
use super::report::PaperFormat;
use super::{BookArgs, Exit, disk, out};

/// Arguments of `worksheet`.
#[derive(Clone, Debug, Args)]
pub(super) struct WorksheetArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The job so far, if one is begun
    job: Option<PathBuf>,
    /// The complaint, by the book's name for it; fewer faults, fewer steps
    #[arg(long, value_name = "NAME")]
    complaint: Option<String>,
    /// Text, or a page of HTML to print
    #[arg(long, value_enum, default_value_t)]
    format: PaperFormat,
    /// Write it to a file
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Runs it.
pub(super) fn run(args: &WorksheetArgs) -> Exit {
    written(args).unwrap_or_else(Exit::from)
}

fn written(args: &WorksheetArgs) -> Result<Exit, Failure> {
    let (loaded, book) = disk::open_book(&args.book)?;
    let (book, mut job, mut exit) = match &args.job {
        None => (book, None, Exit::Done),
        Some(path) => {
            let (book, played) = played(&args.book, Some(path), &loaded, book)?;
            out::problems(&played.problems, &played.sources);
            let exit = played.exit();
            (book, Some(played.job), exit)
        }
    };
    let mut job = job.take().unwrap_or_else(|| Job::new(&book));
    if let Some(name) = &args.complaint {
        let line = format!("complaint {name}");
        let mut sources = Sources::new();
        let source = sources.add("--complaint", line.as_str());
        let entered = parse_statement(source, 0, &line)
            .map_err(|problem| vec![problem])
            .and_then(|statement| job.enter(&book, statement, &line));
        if let Err(problems) = entered {
            out::problems(&problems, &sources);
            return Err(Failure::said("the complaint can't be taken"));
        }
    }
    let judgement = judge(&book, &job);
    let found = planned(|| order(&book, &job, &judgement));
    let found = found.map_err(|refused| Failure::said(&format!("no order can be planned: {refused}")))?;
    let leaf = Wording { book: &book, job: &job }.worksheet(&found, &judgement);
    match args.format {
        PaperFormat::Text => out::page_to(args.output.as_deref(), &leaf.text())?,
        PaperFormat::Html => out::text_to(args.output.as_deref(), &leaf.html())?,
    }
    if !judgement.conflicts.is_empty() {
        exit = exit.max(Exit::Found);
    }
    Ok(exit)
}
