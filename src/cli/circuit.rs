//! `ruleout circuit`: what the circuits of a book foretell, and their drawing.

use clap::{Args, ValueEnum};

use crate::book::{Book, CircuitId, FaultId, Setup};
use crate::circuit::Stand;
use crate::circuit::picture::{Picture, picture};
use crate::circuit::table::{Cell, Table, Wanted, table};
use crate::job::{Job, setup_words};
use crate::output::circuit_json::json_circuits;
use crate::output::circuit_svg::{Plate, drawing};
use crate::output::circuit_text::circuit_table;
use crate::output::circuit_words::supposed;
use crate::problem::did_you_mean;
use crate::source::Sources;
use crate::syntax::parse_statement;
use crate::syntax::tree::{Statement, fold};

use super::out::Failure;
use super::{BookArgs, Exit, disk, out};

/// How the answer is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub(super) enum CircuitFormat {
    /// The table, for people.
    #[default]
    Text,
    /// The table, for machines.
    Json,
    /// The drawing.
    Svg,
}

/// Arguments of `circuit`.
#[derive(Clone, Debug, Args)]
pub(super) struct CircuitArgs {
    #[command(flatten)]
    book: BookArgs,
    /// Only this circuit
    #[arg(long, value_name = "NAME")]
    circuit: Option<String>,
    /// The setup, as a technician says it: "with cooling demanded, relay swapped"; all that the book names if left out
    #[arg(long, value_name = "WORDS")]
    setup: Option<String>,
    /// Only this fault; may stand several times. The drawing has all of them at once
    #[arg(long, value_name = "NAME")]
    fault: Vec<String>,
    /// Table for people or machines, or the drawing
    #[arg(long, value_enum, default_value_t)]
    format: CircuitFormat,
}

/// Runs it.
pub(super) fn run(args: &CircuitArgs) -> Exit {
    shown(args).unwrap_or_else(Exit::from)
}

fn shown(args: &CircuitArgs) -> Result<Exit, Failure> {
    let (_, book) = disk::open_book(&args.book)?;
    let circuits = circuits(&book, args.circuit.as_deref())?;
    let faults = args.fault.iter().map(|name| fault(&book, name)).collect::<Result<Vec<FaultId>, Failure>>()?;
    let setup = args.setup.as_deref().map(|words| setup(&book, words)).transpose()?;
    if args.format == CircuitFormat::Svg {
        let setup = setup.unwrap_or_else(|| Setup::normal(&book.settings));
        return draw(&book, &circuits, &setup, &faults);
    }
    let wanted = Wanted { setup: setup.as_ref(), faults: (!faults.is_empty()).then_some(faults.as_slice()) };
    let tables: Vec<Table> = circuits.iter().map(|id| table(&book, *id, wanted)).collect();
    match args.format {
        CircuitFormat::Json => out::json(&json_circuits(&book, &tables)),
        _ => tables.iter().for_each(|table| out::page(circuit_table(&book, table).gap())),
    }
    let unable = tables
        .iter()
        .flat_map(|table| &table.rows)
        .flat_map(|row| &row.cells)
        .any(|(_, cell)| matches!(cell, Cell::Unable(_)));
    Ok(if unable { Exit::Found } else { Exit::Done })
}

fn draw(book: &Book, circuits: &[CircuitId], setup: &Setup, faults: &[FaultId]) -> Result<Exit, Failure> {
    let mut pictures: Vec<(String, Picture)> = Vec::new();
    for id in circuits {
        let circuit = book.circuit(*id);
        let stand = Stand { book, circuit, setup, faults, warmth: None };
        let found = picture(&stand, &[])
            .map_err(|trouble| Failure::said(&format!("circuit `{}`: {}", circuit.name, trouble.words(book))))?;
        let said = supposed(book, faults).replace('`', "");
        pictures.push((format!("{}, {}, {said}", circuit.name, setup_words(book, setup)), found));
    }
    let plates: Vec<Plate<'_>> =
        pictures.iter().map(|(title, picture)| Plate { title: title.clone(), picture }).collect();
    out::text(&drawing(&plates));
    Ok(Exit::Done)
}

fn circuits(book: &Book, name: Option<&str>) -> Result<Vec<CircuitId>, Failure> {
    let all: Vec<CircuitId> = book.circuit_ids().collect();
    let Some(name) = name else {
        return if all.is_empty() { Err(Failure::said("this book has no circuit")) } else { Ok(all) };
    };
    let found = all.into_iter().find(|id| fold(&book.circuit(*id).name) == fold(name));
    found
        .map(|id| vec![id])
        .ok_or_else(|| unknown("circuit", name, book.circuits.iter().map(|circuit| circuit.name.as_str())))
}

fn fault(book: &Book, name: &str) -> Result<FaultId, Failure> {
    book.find_fault(name).ok_or_else(|| unknown("fault", name, book.faults.iter().map(|fault| fault.name.as_str())))
}

fn unknown<'a>(what: &str, name: &str, known: impl IntoIterator<Item = &'a str>) -> Failure {
    let near = did_you_mean(name, known).map_or(String::new(), |near| format!("; {near}"));
    Failure::said(&format!("this book has no {what} `{name}`{near}"))
}

/// The setup that words set, from everything normal.
fn setup(book: &Book, words: &str) -> Result<Setup, Failure> {
    let mut sources = Sources::new();
    let source = sources.add("--setup", words);
    let refused = |problems: &[crate::problem::Problem], sources: &Sources| {
        out::problems(problems, sources);
        Failure::said("the setup can't be taken; write it as in a job: `--setup \"with cooling demanded\"`")
    };
    let statement = match parse_statement(source, 0, words) {
        Ok(statement @ Statement::Setup(_)) => statement,
        Ok(_) => return Err(refused(&[], &sources)),
        Err(problem) => return Err(refused(&[problem], &sources)),
    };
    let mut job = Job::new(book);
    job.enter(book, statement, words).map_err(|problems| refused(&problems, &sources))?;
    Ok(job.setup)
}
