//! `ruleout cases`: worked cases of rulebooks, in parallel, in stable order.

use std::path::PathBuf;

use clap::Args;

use crate::lint::cases::{self, CaseResult};
use crate::output::Page;
use crate::output::diagnostic::draw_all;
use crate::output::words::{Wording, counted};

use super::out::Failure;
use super::{BookArgs, Exit, ReadingArgs, disk, files, out};

/// Arguments of `cases`.
#[derive(Clone, Debug, Args)]
pub(super) struct CasesArgs {
    /// Rulebooks, or folders of such
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Limits for another variant of the vehicle, as the book names it
    #[arg(long, value_name = "NAME")]
    profile: Option<String>,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &CasesArgs) -> Exit {
    let files = match files::rulebooks(&args.paths) {
        Ok(files) => files,
        Err(failure) => return failure.into(),
    };
    let mut exit = Exit::Done;
    let (mut passed, mut failed) = (0, 0);
    for path in files {
        match book_cases(args, path) {
            Ok((good, bad)) => {
                passed += good;
                failed += bad;
            }
            Err(failure) => exit = exit.max(failure.into()),
        }
    }
    out::text(&format!("{} passed, {failed} failed\n", counted(passed, "case", "cases")));
    exit.max(if failed > 0 { Exit::Found } else { Exit::Done })
}

fn book_cases(args: &CasesArgs, path: PathBuf) -> Result<(usize, usize), Failure> {
    let book_args = BookArgs { book: path, profile: args.profile.clone(), reading: args.reading.clone() };
    let (loaded, book) = disk::open_whole(&book_args)?;
    let results = cases::run_all(&loaded, book);
    let failed: Vec<&CaseResult> = results.iter().filter(|result| !result.passed()).collect();
    for result in &failed {
        let book = &result.book;
        out::text(&format!("failed: {} ({})\n", crate::output::clean(&result.label), book.sources.place(result.span)));
        out::text(&draw_all(&result.failures, &book.sources, out::style_of(false)));
        let mut page = Page::new();
        page.line(0, "found:");
        page.page(1, &Wording { book, job: &result.job }.judgement(&result.judgement));
        for (span, notice) in &result.notices {
            page.line(1, format!("{}: {}", book.sources.place(*span), notice.text));
        }
        out::page(page.gap());
    }
    Ok((results.len() - failed.len(), failed.len()))
}
