//! `ruleout order`: the whole measuring order as a tree.

use std::io::IsTerminal;
use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, ValueEnum};

use crate::advice::order::{MeasuringOrder, order};
use crate::book::Book;
use crate::job::Job;
use crate::output::order_json::json_order;
use crate::output::order_svg::svg_order;
use crate::output::words::Wording;
use crate::reasoning::judge;

use super::judge::played;
use super::out::Failure;
use super::{BookArgs, Exit, disk, out};

/// How the order is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub(super) enum OrderFormat {
    /// An indented tree.
    #[default]
    Text,
    /// For machines.
    Json,
    /// A drawing for print.
    Svg,
}

/// Arguments of `order`.
#[derive(Clone, Debug, Args)]
pub(super) struct OrderArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The job: a record, or plain sentences one a line; standard input if left out, nothing entered on a terminal
    job: Option<PathBuf>,
    /// Text for people, JSON for machines, SVG for print
    #[arg(long, value_enum, default_value_t)]
    format: OrderFormat,
}

/// Runs it.
pub(super) fn run(args: &OrderArgs) -> Exit {
    ordered(args).unwrap_or_else(Exit::from)
}

fn ordered(args: &OrderArgs) -> Result<Exit, Failure> {
    let (loaded, book) = disk::open_book(&args.book)?;
    if args.job.is_none() && std::io::stdin().is_terminal() {
        let job = Job::new(&book);
        return show(args, &book, &job);
    }
    let (book, played) = played(&args.book, args.job.as_deref(), &loaded, book)?;
    if !played.problems.is_empty() {
        out::problems(&played.problems, &played.sources);
    }
    Ok(show(args, &book, &played.job)?.max(played.exit()))
}

fn show(args: &OrderArgs, book: &Book, job: &Job) -> Result<Exit, Failure> {
    let judgement = judge(book, job);
    let found = planned(|| order(book, job, &judgement));
    let found: MeasuringOrder =
        found.map_err(|refused| Failure::said(&format!("no order can be planned: {refused}")))?;
    let wording = Wording { book, job };
    match args.format {
        OrderFormat::Text => out::page(&wording.order(&found)),
        OrderFormat::Json => out::json(&json_order(&wording, &found)),
        OrderFormat::Svg => out::text(&svg_order(&wording, &found)),
    }
    Ok(if judgement.conflicts.is_empty() { Exit::Done } else { Exit::Found })
}

/// Shows on a terminal that planning goes on.
pub(super) fn planned<T>(work: impl FnOnce() -> T) -> T {
    let bar = indicatif::ProgressBar::new_spinner().with_message("planning the measuring order");
    bar.enable_steady_tick(Duration::from_millis(120));
    let done = work();
    bar.finish_and_clear();
    done
}
