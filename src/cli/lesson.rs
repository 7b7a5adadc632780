//! `ruleout lesson`: a teaching page of a book.

use std::path::PathBuf;

use clap::Args;

use crate::book::load;
use crate::job::Job;
use crate::lint::cases::run_all_with;
use crate::output::words::Wording;

use super::out::Failure;
use super::report::PaperFormat;
use super::{BookArgs, Disk, Exit, disk, logs, out};

/// Arguments of `lesson`.
#[derive(Clone, Debug, Args)]
pub(super) struct LessonArgs {
    #[command(flatten)]
    book: BookArgs,
    /// Text, or a page of HTML to print
    #[arg(long, value_enum, default_value_t)]
    format: PaperFormat,
    /// Write it to a file
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Runs it.
pub(super) fn run(args: &LessonArgs) -> Exit {
    taught(args).unwrap_or_else(Exit::from)
}

fn taught(args: &LessonArgs) -> Result<Exit, Failure> {
    let path = &args.book.book;
    let loaded = load(&Disk::of(path, &args.book.reading), path).map_err(|why| Failure::file(path, &why))?;
    let book = disk::resolve_book(&loaded, args.book.profile.as_deref())?;
    let cases = run_all_with(&loaded, book.clone(), &logs::beside(path));
    let failed = cases.iter().filter(|case| !case.passed()).count();
    let job = Job::new(&book);
    let leaf = Wording { book: &book, job: &job }.lesson(&cases);
    match args.format {
        PaperFormat::Text => out::page_to(args.output.as_deref(), &leaf.text())?,
        PaperFormat::Html => out::text_to(args.output.as_deref(), &leaf.html())?,
    }
    if failed > 0 {
        out::error_line("ruleout: cases of this book fail; its solutions may be wrong (see `ruleout cases`)");
        return Ok(Exit::Found);
    }
    Ok(Exit::Done)
}
