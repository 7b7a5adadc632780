//! The table of a circuit for machines: JSON of a versioned shape.

use schemars::JsonSchema;
use serde::Serialize;

use crate::book::Book;
use crate::circuit::network::Range;
use crate::circuit::table::{Cell, Row, Table};
use crate::job::setup_words;
use crate::units::{Exact, Unit};

use super::circuit_text::{cell_words, worth};
use super::circuit_words::{silence_words, unit_of};
use super::judgement_json::{JsonBook, json_book};

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/circuit/1";

/// One way in which relays, fuses and diodes may end up.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonOutcome {
    /// The least, in the reading's unit; null for no end (an open line reads `OL`).
    pub low: Option<f64>,
    /// The greatest, in the reading's unit; null for no end.
    pub high: Option<f64>,
    /// How it comes about.
    pub how: Vec<String>,
}

/// What a reading would show with one fault.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonExpected {
    /// The fault; null for the sound vehicle.
    pub fault: Option<String>,
    /// `told`, `given` (it is the battery's own voltage), `unable`.
    pub kind: &'static str,
    /// Whether it may rule the fault out; else it only speaks against it.
    pub exact: bool,
    /// Each outcome that may come about.
    pub outcomes: Vec<JsonOutcome>,
    /// Why it is not exact.
    pub worth: Vec<String>,
    /// In words.
    pub text: String,
}

/// One reading under one setup.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRow {
    /// As declared.
    pub reading: String,
    /// The unit of `low` and `high`.
    pub unit: String,
    /// The setup in words.
    pub setup: String,
    /// Why the circuit says nothing here; null where it speaks.
    pub silent: Option<String>,
    /// The sound vehicle first, then each fault.
    pub expected: Vec<JsonExpected>,
}

/// One circuit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCircuit {
    /// As declared.
    pub circuit: String,
    /// File and line.
    pub place: String,
    /// Its readings.
    pub readings: Vec<JsonRow>,
}

/// The whole answer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonCircuits {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The book.
    pub book: JsonBook,
    /// In book order.
    pub circuits: Vec<JsonCircuit>,
}

/// The answer for some tables.
pub fn json_circuits(book: &Book, tables: &[Table]) -> JsonCircuits {
    let circuit = |table: &Table| {
        let circuit = book.circuit(table.circuit);
        JsonCircuit {
            circuit: circuit.name.clone(),
            place: book.sources.place(circuit.span),
            readings: table.rows.iter().map(|row| json_row(book, row)).collect(),
        }
    };
    JsonCircuits { schema: SCHEMA, book: json_book(book), circuits: tables.iter().map(circuit).collect() }
}

fn json_row(book: &Book, row: &Row) -> JsonRow {
    let unit = unit_of(book, row.reading);
    let expected = row.cells.iter().map(|(fault, cell)| JsonExpected {
        fault: fault.map(|fault| book.fault(fault).name.clone()),
        kind: match cell {
            Cell::Told(_) => "told",
            Cell::Given => "given",
            Cell::Unable(_) => "unable",
        },
        exact: matches!(cell, Cell::Told(told) if told.is_exact()),
        outcomes: outcomes(cell, unit),
        worth: worth(cell),
        text: cell_words(book, row, cell),
    });
    JsonRow {
        reading: book.indication(row.reading).name.clone(),
        unit: unit.map_or(String::new(), |unit| unit.symbol.to_string()),
        setup: setup_words(book, &row.setup),
        silent: row.unknown.map(|change| silence_words(book, change)),
        expected: expected.collect(),
    }
}

fn outcomes(cell: &Cell, unit: Option<&'static Unit>) -> Vec<JsonOutcome> {
    let Cell::Told(told) = cell else { return Vec::new() };
    let shown = |base: f64| {
        let exact = Exact::from_f64(base)?;
        Some(unit.map_or(base, |unit| unit.from_base(&exact).to_f64()))
    };
    let outcome = |range: Range, how: &[String]| JsonOutcome {
        low: shown(range.low),
        high: shown(range.high),
        how: how.to_vec(),
    };
    told.outcomes.iter().map(|found| outcome(found.range, &found.how)).collect()
}
