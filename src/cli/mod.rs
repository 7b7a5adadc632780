//! The command line: files, the terminal, exit status. Each command is a file; it reads, calls, and hands the result
//! to output.

mod ask;
mod batch;
mod cases;
mod circuit;
mod disk;
mod files;
mod fmt;
mod jobfile;
mod jobs;
mod judge;
mod lesson;
mod lint;
mod logs;
mod next;
mod order;
mod out;
mod recorded;
mod report;
mod script;
mod shelf;
mod shell;
mod worksheet;
mod write;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub use disk::Disk;

/// How a run ended.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Exit {
    /// Done, and nothing wrong found.
    Done,
    /// Something was found: a lint finding, a failed case, a conflict, a bad sentence.
    Found,
    /// It could not be done.
    Failed,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Done => 0,
            Exit::Found => 1,
            Exit::Failed => 2,
        })
    }
}

/// Text for people or JSON for machines.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum Format {
    /// For people.
    #[default]
    Text,
    /// For machines.
    Json,
}

/// Which book, and how it is read.
#[derive(Clone, Debug, Args)]
pub struct BookArgs {
    /// The rulebook
    pub book: PathBuf,
    /// Limits for another variant of the vehicle, as the book names it
    #[arg(long, value_name = "NAME")]
    pub profile: Option<String>,
    /// How it is read
    #[command(flatten)]
    pub reading: ReadingArgs,
}

/// How rulebooks are read.
#[derive(Clone, Debug, Default, Args)]
pub struct ReadingArgs {
    /// A further folder from which books may `use` files
    #[arg(long, value_name = "DIR")]
    pub library: Option<PathBuf>,
    /// Read files over 16 MB too
    #[arg(long)]
    pub large: bool,
}

/// Leads a technician to the real fault in a vehicle's climate or electrical system, and says why
#[derive(Debug, Parser)]
#[command(name = "ruleout", version, propagate_version = true)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Work a job: enter what was set up and measured, ask why and what next
    Ask(ask::AskArgs),
    /// Verdicts and reasons for a job file, or for sentences on standard input
    Judge(judge::JudgeArgs),
    /// Many jobs against one book: a folder of jobs, a CSV table, or a file with a JSON object a line
    Batch(batch::BatchArgs),
    /// What to measure next, or to repair, and what each answer would mean
    Next(next::NextArgs),
    /// What each reading would show under each setup and fault, by the book's circuits, and their drawing
    Circuit(circuit::CircuitArgs),
    /// The whole measuring order as a tree
    Order(order::OrderArgs),
    /// Run the worked cases of rulebooks
    Cases(cases::CasesArgs),
    /// A recorded job as a page for the customer and the file
    Report(report::ReportArgs),
    /// The measuring order on paper, with boxes to fill
    Worksheet(worksheet::WorksheetArgs),
    /// A teaching page: tests, rules and why they hold, circuits, exercises with solutions
    Lesson(lesson::LessonArgs),
    /// The records of a folder: list and search; which fault how often, parts replaced that proved good
    Jobs(jobs::JobsArgs),
    /// Check rulebooks
    Lint(lint::LintArgs),
    /// Lay rulebooks out
    Fmt(fmt::FmtArgs),
    /// Completions for a shell, on standard output
    #[command(hide = true)]
    Completions(shell::CompletionArgs),
    /// Man pages, to a folder
    #[command(hide = true)]
    Man(shell::ManArgs),
}

/// Runs the command line.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    let exit = match cli.command {
        Command::Ask(args) => ask::run(&args),
        Command::Judge(args) => judge::run(&args),
        Command::Batch(args) => batch::run(&args),
        Command::Next(args) => next::run(&args),
        Command::Order(args) => order::run(&args),
        Command::Circuit(args) => circuit::run(&args),
        Command::Cases(args) => cases::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Worksheet(args) => worksheet::run(&args),
        Command::Lesson(args) => lesson::run(&args),
        Command::Jobs(args) => jobs::run(&args),
        Command::Lint(args) => lint::run(&args),
        Command::Fmt(args) => fmt::run(&args),
        Command::Completions(args) => shell::completions(&args),
        Command::Man(args) => shell::man(&args),
    };
    exit.into()
}
