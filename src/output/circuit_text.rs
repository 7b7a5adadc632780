//! The table of a circuit for people: each reading, under each setup, sound and with each fault.

use crate::book::{Book, FaultId};
use crate::circuit::table::{Cell, Row, Table};
use crate::job::setup_words;

use super::circuit_words::{foretold_words, silence_words, supposed, unit_of, worth_words};
use super::page::Page;

/// The table of one circuit.
pub fn circuit_table(book: &Book, table: &Table) -> Page {
    let circuit = book.circuit(table.circuit);
    let mut page = Page::new();
    page.line(0, format!("Circuit {} ({})", circuit.name, book.sources.place(circuit.span)));
    if table.rows.is_empty() {
        page.line(1, "it foretells no reading; add a line such as `reading Q across A and B`");
    }
    for row in &table.rows {
        page.gap().page(1, &self::row(book, row));
    }
    page
}

fn row(book: &Book, row: &Row) -> Page {
    let mut page = Page::new();
    page.line(0, format!("{}, {}:", book.indication(row.reading).name, setup_words(book, &row.setup)));
    if let Some(change) = row.unknown {
        page.line(1, silence_words(book, change));
    }
    let given = row.cells.iter().filter(|(_, cell)| *cell == Cell::Given).count();
    if given > 0 {
        page.line(1, cell_words(book, row, &Cell::Given));
    }
    for (fault, cell) in row.cells.iter().filter(|(_, cell)| *cell != Cell::Given) {
        page.line(1, format!("{}: {}", who(book, *fault), cell_words(book, row, cell)));
        let worth = worth(cell);
        if !worth.is_empty() {
            page.line(2, format!("only speaks against: {}", worth.join("; ")));
        }
    }
    page
}

/// The column of a cell in words.
pub fn who(book: &Book, fault: Option<FaultId>) -> String {
    fault.map_or_else(|| supposed(book, &[]), |fault| book.fault(fault).name.clone())
}

/// A cell in words.
pub fn cell_words(book: &Book, row: &Row, cell: &Cell) -> String {
    match cell {
        Cell::Told(told) => foretold_words(told, unit_of(book, row.reading)),
        Cell::Given => "as entered: the circuit takes it for the battery's own voltage".into(),
        Cell::Unable(trouble) => format!("can't be reckoned: {}", trouble.words(book)),
    }
}

/// What lessens the worth of a cell.
pub fn worth(cell: &Cell) -> Vec<String> {
    match cell {
        Cell::Told(told) => worth_words(told),
        Cell::Given | Cell::Unable(_) => Vec::new(),
    }
}
