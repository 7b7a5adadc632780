//! `ruleout batch`: many jobs against one book, on all cores, in the order they are given.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::book::Book;
use crate::output::batch::{Done, Form, Tally};

use super::out::{self, Failure};
use super::{BookArgs, Exit, disk};

mod folder;
mod json;
mod table;

/// Arguments of `batch`.
#[derive(Clone, Debug, Args)]
pub(super) struct BatchArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The jobs: a folder of job files, a CSV table (`.csv`) with a column a reading, or a file with a JSON object a line
    /// (`.ndjson`, `.jsonl`)
    input: PathBuf,
    /// How answers are written
    #[arg(long, value_enum, default_value_t)]
    format: Shape,
    /// Judge by rules and `shows` alone, far faster; the last line says that circuits were left out
    #[arg(long)]
    without_circuits: bool,
}

/// How answers are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
enum Shape {
    /// A line a job for people.
    #[default]
    Text,
    /// A JSON object a line.
    Ndjson,
    /// A table.
    Csv,
}

/// Runs it.
pub(super) fn run(args: &BatchArgs) -> Exit {
    judged(args).unwrap_or_else(Exit::from)
}

fn judged(args: &BatchArgs) -> Result<Exit, Failure> {
    let (_, book) = disk::open_book(&args.book)?;
    let left_out = args.without_circuits && !book.circuits.is_empty();
    let book = if args.without_circuits { book.without_circuits() } else { book };
    let form = match args.format {
        Shape::Text => Form::Text,
        Shape::Ndjson => Form::Ndjson,
        Shape::Csv => Form::Csv,
    };
    let mut desk = Desk { book: &book, form, tally: Tally::default() };
    out::text(&form.head());
    let ending = args.input.extension().and_then(|ending| ending.to_str()).unwrap_or("").to_lowercase();
    match ending.as_str() {
        _ if args.input.is_dir() => folder::judge(&mut desk, &args.input, args.book.reading.large)?,
        "csv" => table::judge(&mut desk, open(&args.input)?)?,
        "ndjson" | "jsonl" => json::judge(&mut desk, open(&args.input)?)?,
        _ => {
            let path = args.input.display();
            let why = format!("`{path}` is no folder of jobs, and its name does not end in .csv, .ndjson or .jsonl");
            return Err(Failure::said(&why));
        }
    }
    let circuits = if left_out { "; circuits left out" } else { "" };
    out::error_line(&format!("ruleout: {}{circuits}", desk.tally));
    Ok(if desk.tally.skipped > 0 { Exit::Found } else { Exit::Done })
}

fn open(path: &Path) -> Result<std::fs::File, Failure> {
    std::fs::File::open(path).map_err(|error| Failure::file(path, &disk::because(&error)))
}

/// Why a job can't be taken, in a line.
fn reasons(layout: &crate::batch::Layout, bad: &[crate::batch::BadRow]) -> String {
    let each = bad.iter().map(|bad| {
        let column = bad.column.and_then(|place| layout.columns.get(place));
        let place = column.map_or(String::new(), |column| format!("`{}`: ", column.name));
        let help = bad.problem.help.as_ref().map_or(String::new(), |help| format!(" ({help})"));
        format!("{place}{}{help}", bad.problem.message)
    });
    each.collect::<Vec<_>>().join("; ")
}

/// Where judged jobs go.
struct Desk<'b> {
    book: &'b Book,
    form: Form,
    tally: Tally,
}

/// How many jobs are read before they are judged together.
const AT_ONCE: usize = 8_192;

impl Desk<'_> {
    /// Writes some jobs in order; what could not be taken goes to standard error.
    fn write(&mut self, done: &[Done]) {
        let mut page = String::new();
        for job in done {
            self.tally.count(job);
            match &job.result {
                Ok(judged) => self.form.write(&mut page, self.book, job, judged),
                Err(why) => out::error_line(&format!("{}: {why}; skipped", job.place)),
            }
        }
        out::text(&page);
    }
}
