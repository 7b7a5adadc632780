//! `ruleout report`: a recorded job on paper.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::output::report::Papers;
use crate::output::report::drawings::drawings;
use crate::output::report_html::report_page;
use crate::output::report_text::{Extent, report_text};
use crate::reasoning::history::course;

use super::out::Failure;
use super::{Exit, ReadingArgs, out, recorded};

/// How a paper is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub(super) enum PaperFormat {
    /// For a terminal, or to mail.
    #[default]
    Text,
    /// One page of HTML: to print, to read on a phone, to send.
    Html,
}

/// How a report is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub(super) enum ReportFormat {
    /// For a terminal, or to mail.
    #[default]
    Text,
    /// One page of HTML: to print, to read on a phone, to send.
    Html,
    /// For machines.
    Json,
}

/// Arguments of `report`.
#[derive(Clone, Debug, Args)]
pub(super) struct ReportArgs {
    /// The job record
    job: PathBuf,
    /// The rulebook, if it is not where the record says
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Text, a page of HTML, or JSON
    #[arg(long, value_enum, default_value_t)]
    format: ReportFormat,
    /// Of the text not only the first page: every line and every reason too
    #[arg(long)]
    whole: bool,
    /// Write it to a file
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &ReportArgs) -> Exit {
    reported(args).unwrap_or_else(Exit::from)
}

fn reported(args: &ReportArgs) -> Result<Exit, Failure> {
    let opened = recorded::open(&args.job, args.book.as_deref(), &args.reading)?;
    let (book, job) = (&opened.book, &opened.played.job);
    out::problems(&opened.played.problems, &opened.played.sources);
    let course = course(book, job);
    let remarks = opened.played.remarks();
    let papers = Papers { book, job, header: Some(&opened.record.header), course: &course, remarks: &remarks };
    let report = papers.report();
    let to = args.output.as_deref();
    match args.format {
        ReportFormat::Text => {
            let extent = if args.whole { Extent::Whole } else { Extent::FirstPage };
            out::page_to(to, &report_text(&report, extent))?;
        }
        ReportFormat::Html => out::text_to(to, &report_page(&report, &drawings(&papers)))?,
        ReportFormat::Json => out::json_to(to, &report)?,
    }
    let quarrels = if course.last.conflicts.is_empty() { Exit::Done } else { Exit::Found };
    Ok(opened.played.exit().max(quarrels))
}
