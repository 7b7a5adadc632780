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
    for (heads, said) in blocks(book, &table.rows) {
        page.gap();
        heads.iter().for_each(|row| {
            page.line(1, format!("{}, {}:", book.indication(row.reading).name, setup_words(book, &row.setup)));
        });
        page.page(2, &said);
    }
    page
}

/// What is foretold, with the setups of one reading that it is foretold under: a change that alters nothing needs no lines of its own.
fn blocks<'r>(book: &Book, rows: &'r [Row]) -> Vec<(Vec<&'r Row>, Page)> {
    let mut blocks: Vec<(Vec<&Row>, Page)> = Vec::new();
    for row in rows {
        let said = row_words(book, row);
        let known = |(heads, page): &&mut (Vec<&Row>, Page)| {
            heads.iter().all(|head| head.reading == row.reading) && page.lines() == said.lines()
        };
        match blocks.iter_mut().find(known) {
            Some((heads, _)) => heads.push(row),
            None => blocks.push((vec![row], said)),
        }
    }
    blocks
}

/// What one row foretells; faults with which it shows the same stand together, below the first of them.
fn row_words(book: &Book, row: &Row) -> Page {
    let mut page = Page::new();
    if let Some(change) = row.unknown {
        page.line(0, silence_words(book, change));
    }
    if row.cells.iter().any(|(_, cell)| *cell == Cell::Given) {
        page.line(0, cell_words(book, row, &Cell::Given));
    }
    let mut told: Vec<(String, Vec<String>, Vec<String>)> = Vec::new();
    for (fault, cell) in row.cells.iter().filter(|(_, cell)| *cell != Cell::Given) {
        let (words, worth, who) = (cell_words(book, row, cell), worth(cell), who(book, *fault));
        match told.iter_mut().find(|(other, less, _)| *other == words && *less == worth) {
            Some((_, _, alike)) => alike.push(who),
            None => told.push((words, worth, vec![who])),
        }
    }
    for (words, worth, alike) in told {
        let Some((first, others)) = alike.split_first() else { continue };
        page.line(0, format!("{first}: {words}"));
        if !worth.is_empty() {
            page.line(1, format!("only speaks against: {}", worth.join("; ")));
        }
        if !others.is_empty() {
            page.line(1, format!("the same with {}", others.join(", ")));
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
