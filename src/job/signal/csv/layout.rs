//! The layout of a log: found in its first lines, or told.

use crate::units::{Dimension, Unit};

use super::cells::{bare, cells, text};
use super::number::{Cell, decimals, number};
use super::time::{TimeForm, form_of};
use super::{LogProblem, MOST_COLUMNS};

/// Which column: by its number from 1 (the time's own column not counted for a channel), or by its name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Column {
    /// `channel 2`
    Number(usize),
    /// `channel "feed"`
    Name(String),
}

/// What is told of a layout.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Told {
    /// What stands between cells.
    pub separator: Option<u8>,
    /// Whether the decimal mark is a comma.
    pub comma: Option<bool>,
    /// The column of the times, all columns counted.
    pub time: Option<Column>,
    /// How many seconds 1 in that column is.
    pub time_unit: Option<f64>,
    /// There is no such column: a sample every so many seconds.
    pub every: Option<f64>,
}

/// The layout of a log.
#[derive(Clone, PartialEq, Debug)]
pub struct Layout {
    /// What stands between cells.
    pub separator: u8,
    /// Whether the decimal mark is a comma.
    pub comma: bool,
    /// The names of all columns; `column 3` where there is no header.
    pub names: Vec<String>,
    /// Their units, where the header gives one.
    pub units: Vec<Option<&'static Unit>>,
    /// The column of the times and how they are written; none where samples are evenly spaced.
    pub time: Option<(usize, TimeForm)>,
    /// The time from sample to sample, in s, where there is no such column.
    pub every: f64,
    /// How many lines stand before the first sample.
    pub skip: usize,
    /// The most digits behind the decimal mark, by column, in the first lines.
    pub decimals: Vec<i32>,
    /// Whether the header is not UTF-8 and was read as Latin-1.
    pub latin: bool,
}

/// How many lines are looked at.
const LOOKED_AT: usize = 400;
/// How many lines may stand before the first sample.
const MOST_BEFORE: usize = 100;

/// Finds the layout in the first bytes of a log.
///
/// # Errors
/// What can't be found, and what to tell.
pub fn detect(head: &[u8], told: &Told) -> Result<Layout, LogProblem> {
    let head = head.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(head);
    encoding(head)?;
    let lines: Vec<&[u8]> = head.split(|byte| *byte == b'\n').take(LOOKED_AT).map(<[u8]>::trim_ascii_end).collect();
    // The last one may be cut off.
    let whole = if lines.len() > 1 { lines.len() - 1 } else { lines.len() };
    let lines = lines.get(..whole).unwrap_or_default();
    let wanted = if told.every.is_some() { 1 } else { 2 };
    // Of several that fit, the last in this order is taken.
    let found = [b'|', b',', b'\t', b';']
        .into_iter()
        .filter(|separator| told.separator.is_none_or(|only| only == *separator))
        .filter_map(|separator| Table::find(lines, separator, wanted))
        .max_by_key(|table| table.rows.len());
    let table = match (found, told.separator) {
        (Some(table), _) => table,
        (None, Some(separator)) => Table::find(lines, separator, wanted).ok_or_else(no_table)?,
        (None, None) => return Err(no_table()),
    };
    table.layout(lines, told)
}

fn encoding(head: &[u8]) -> Result<(), LogProblem> {
    let marked = head.starts_with(&[0xFF, 0xFE]) || head.starts_with(&[0xFE, 0xFF]);
    if marked || head.contains(&0) {
        return Err(LogProblem::new("job/log-encoding", "it is UTF-16 or no text at all")
            .help("save it as UTF-8 text, one sample a line"));
    }
    if head.trim_ascii().is_empty() {
        return Err(LogProblem::new("job/log-empty", "it is empty").help("take the log again"));
    }
    Ok(())
}

fn no_table() -> LogProblem {
    LogProblem::new("job/log-layout", "no table of numbers is found in its first lines").help(
        "a log holds a sample a line: time and channels with `,`, `;` or a tab between; say which by `separator \";\"`",
    )
}

/// Names and units of all columns.
struct Header {
    names: Vec<String>,
    units: Vec<Option<&'static Unit>>,
    latin: bool,
}

/// Lines that read as rows of one width.
struct Table<'l> {
    separator: u8,
    width: usize,
    first: usize,
    rows: Vec<Vec<&'l [u8]>>,
}

/// Whether a cell may stand in a row of samples, with either decimal mark.
fn is_sample(cell: &[u8]) -> bool {
    number(cell, false) != Cell::Other || number(cell, true) != Cell::Other || form_of(cell).is_some()
}

fn is_number(cell: &[u8]) -> bool {
    [false, true].into_iter().any(|comma| matches!(number(cell, comma), Cell::Number(_)))
}

impl<'l> Table<'l> {
    fn find(lines: &[&'l [u8]], separator: u8, wanted: usize) -> Option<Self> {
        let cut = |line: &&'l [u8]| cells(line, separator);
        let is_row = |row: &Vec<&[u8]>| {
            let samples = row.iter().filter(|cell| is_sample(cell)).count();
            row.len() >= wanted && samples * 2 > row.len() && row.iter().any(|cell| is_number(cell))
        };
        let first = lines.iter().take(MOST_BEFORE).position(|line| is_row(&cut(line)))?;
        // The width that most rows have: a short first line must not decide.
        let mut widths: Vec<usize> = lines.iter().skip(first).map(cut).filter(is_row).map(|row| row.len()).collect();
        widths.sort_unstable();
        let width = *widths.get(widths.len() / 2)?;
        let rows = lines.iter().skip(first).map(cut).filter(|row| row.len() == width && is_row(row)).collect();
        Some(Self { separator, width, first, rows })
    }

    fn layout(&self, lines: &[&[u8]], told: &Told) -> Result<Layout, LogProblem> {
        if self.width > MOST_COLUMNS {
            return Err(LogProblem::new(
                "job/log-too-wide",
                format!("its lines have more than {MOST_COLUMNS} columns"),
            )
            .help("a log has a column for the time and one for each channel; export fewer channels"));
        }
        let comma = self.decimal_comma(told)?;
        let Header { names, units, latin } = self.header(lines)?;
        let decimals = (0..self.width).map(|column| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| decimals(cell, comma)).max().unwrap_or(0)
        });
        let decimals = decimals.collect();
        let mut layout = Layout {
            separator: self.separator,
            comma,
            names,
            units,
            time: None,
            every: told.every.unwrap_or(0.0),
            skip: self.first,
            decimals,
            latin,
        };
        if told.every.is_none() {
            let column = self.time_column(&layout, told)?;
            layout.time = Some((column, self.time_form(&layout, column, told)?));
        }
        Ok(layout)
    }

    /// Whether numbers are written `12,5`.
    fn decimal_comma(&self, told: &Told) -> Result<bool, LogProblem> {
        if let Some(comma) = told.comma {
            return Ok(comma);
        }
        let holding = |mark: u8| {
            let of_row = |row: &Vec<&[u8]>| row.iter().any(|cell| is_number(cell) && bare(cell).contains(&mark));
            self.rows.iter().position(of_row)
        };
        match (holding(b','), holding(b'.')) {
            (Some(comma), Some(point)) => Err(LogProblem::new(
                "job/log-decimal-marks",
                format!(
                    "decimal commas and decimal points are mixed (row {} and row {} of its samples)",
                    comma + 1,
                    point + 1
                ),
            )
            .help(
                "say which is right, `decimal comma` or `decimal point`; the other cells are then skipped and counted",
            )),
            (comma, _) => Ok(comma.is_some()),
        }
    }

    /// Names and units: a row of names, perhaps with a row of units below it, straight above the samples.
    fn header(&self, lines: &[&[u8]]) -> Result<Header, LogProblem> {
        let above = |up: usize| {
            let line = self.first.checked_sub(up).and_then(|at| lines.get(at))?;
            let row: Vec<String> = cells(line, self.separator).into_iter().map(text).collect();
            (row.len() == self.width || row.len() + 1 == self.width).then_some(row)
        };
        let unit_row = above(1).filter(|row| above(2).is_some() && is_unit_row(row));
        let name_row = above(if unit_row.is_some() { 2 } else { 1 });
        let straight_above = self.first.checked_sub(1).and_then(|at| lines.get(at));
        if let (None, Some(line)) = (&name_row, straight_above) {
            let count = cells(line, self.separator).len();
            if self.separator == b',' && count > 1 && self.width > count && self.width + 2 >= 2 * count {
                return Err(LogProblem::new(
                    "job/log-columns",
                    format!("its header names {count} columns, its rows have {} cells", self.width),
                )
                .help("commas may stand both for decimals and between cells; export it with `;` between cells"));
            }
        }
        let latin = straight_above.is_some_and(|line| std::str::from_utf8(line).is_err());
        let mut names: Vec<String> = name_row.unwrap_or_default();
        let mut units: Vec<Option<&'static Unit>> = names.iter().map(|name| unit_of(name)).collect();
        for (place, unit) in unit_row.into_iter().flatten().enumerate() {
            if let Some(cell) = units.get_mut(place) {
                *cell = unit_named(&unit).or(*cell);
            }
        }
        for place in names.len()..self.width {
            names.push(format!("column {}", place + 1));
        }
        units.resize(self.width, None);
        Ok(Header { names, units, latin })
    }

    fn time_column(&self, layout: &Layout, told: &Told) -> Result<usize, LogProblem> {
        if let Some(column) = &told.time {
            return match column {
                Column::Number(number) => Ok(number.saturating_sub(1)),
                Column::Name(name) => layout.named(name).ok_or_else(|| layout.no_column(name)),
            }
            .and_then(|at| if at < self.width { Ok(at) } else { Err(layout.no_column(&(at + 1).to_string())) });
        }
        const NAMES: &[&str] = &["time", "t", "timestamp", "elapsed", "elapsed time", "clock", "date time", "datetime"];
        let named = layout.names.iter().position(|name| NAMES.contains(&&*short(name)));
        let dated = || {
            let first = self.rows.first()?;
            first.iter().position(|cell| form_of(cell).is_some())
        };
        let rising = || (0..self.width.min(1)).find(|column| self.rises(*column, layout.comma));
        named.or_else(dated).or_else(rising).ok_or_else(|| {
            LogProblem::new("job/log-time", "no column of times is found")
                .help("say which it is, `time column 3 in ms`, or `every 10 ms` if there is none")
        })
    }

    fn rises(&self, column: usize, comma: bool) -> bool {
        let values = self.rows.iter().filter_map(|row| match number(row.get(column)?, comma) {
            Cell::Number(value) => Some(value),
            _ => None,
        });
        let values: Vec<f64> = values.collect();
        values.len() > 1 && values.windows(2).filter(|pair| pair.first() < pair.last()).count() * 10 > values.len() * 8
    }

    fn time_form(&self, layout: &Layout, column: usize, told: &Told) -> Result<TimeForm, LogProblem> {
        let looks = self.rows.iter().filter_map(|row| row.get(column)).find_map(|cell| form_of(cell));
        if let Some(form) = looks {
            return Ok(form);
        }
        let unit = layout.units.get(column).copied().flatten().and_then(seconds_of);
        told.time_unit.or(unit).map(TimeForm::Number).ok_or_else(|| {
            let name = layout.names.get(column).map_or("", String::as_str);
            LogProblem::new("job/log-time-unit", format!("it doesn't say what the times in `{name}` are in"))
                .help("say it: `time in s` or `time in ms`")
        })
    }
}

/// How many seconds 1 of a unit of time is.
pub(crate) fn seconds_of(unit: &'static Unit) -> Option<f64> {
    let second = Unit::find("s").ok()?;
    (unit.dimension == second.dimension).then(|| unit.to_base(&crate::units::Exact::one()).to_f64())
}

fn unit_named(words: &str) -> Option<&'static Unit> {
    let bare = words.trim().trim_matches(['(', ')', '[', ']', '"', ' ']);
    Unit::find(bare).ok().filter(|unit| unit.dimension != Dimension::NONE)
}

fn is_unit_row(row: &[String]) -> bool {
    let filled: Vec<&String> = row.iter().filter(|cell| !cell.trim().is_empty()).collect();
    !filled.is_empty() && filled.iter().all(|cell| unit_named(cell).is_some())
}

/// The unit behind a name: `feed (V)`, `feed [V]`, `feed in V`, `feed/V`, `feed_V`, `feed, V`.
fn unit_of(name: &str) -> Option<&'static Unit> {
    parts(name).1
}

/// A name without its unit, and the unit.
fn parts(name: &str) -> (&str, Option<&'static Unit>) {
    let name = name.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((before, unit)) = name.strip_suffix(close).and_then(|rest| rest.rsplit_once(open))
            && let Some(unit) = unit_named(unit)
        {
            return (before.trim_end(), Some(unit));
        }
    }
    for mark in [" in ", "/", "_", ", "] {
        if let Some((before, unit)) = name.rsplit_once(mark)
            && let Some(unit) = unit_named(unit)
        {
            return (before.trim_end(), Some(unit));
        }
    }
    (name, None)
}

/// A name as names are compared: without its unit, in lower case.
fn short(name: &str) -> String {
    parts(name).0.to_lowercase()
}

impl Layout {
    /// The column of that name, with or without its unit.
    fn named(&self, name: &str) -> Option<usize> {
        let whole = self.names.iter().position(|known| known.trim().to_lowercase() == name.trim().to_lowercase());
        whole.or_else(|| self.names.iter().position(|known| short(known) == short(name)))
    }

    fn channels(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.names.len()).filter(|column| self.time.is_none_or(|(time, _)| time != *column))
    }

    fn no_column(&self, asked: &str) -> LogProblem {
        let names: Vec<String> =
            self.channels().filter_map(|at| self.names.get(at)).take(8).map(|n| format!("`{n}`")).collect();
        let more = if self.names.len() > 10 { " and others" } else { "" };
        LogProblem::new("job/log-column", format!("it has no column `{asked}`")).help(format!(
            "its channels are {}{more}; name one by `channel \"NAME\"` or count them, the time left out",
            names.join(", ")
        ))
    }

    /// The column of a channel; without one the only one there is.
    ///
    /// # Errors
    /// There is none such, or several and none is named.
    pub fn channel(&self, asked: Option<&Column>) -> Result<usize, LogProblem> {
        match asked {
            Some(Column::Number(number)) => number
                .checked_sub(1)
                .and_then(|nth| self.channels().nth(nth))
                .ok_or_else(|| self.no_column(&number.to_string())),
            Some(Column::Name(name)) => self.named(name).ok_or_else(|| self.no_column(name)),
            None => {
                let mut all = self.channels();
                match (all.next(), all.next()) {
                    (Some(only), None) => Ok(only),
                    _ => Err(LogProblem::new("job/log-which-channel", "it has several channels")
                        .help(self.no_column("").help)),
                }
            }
        }
    }
}
