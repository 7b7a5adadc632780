//! Printing: the one place that knows whether a terminal is there, how wide it is, and whether it wants colour.

use std::io::{IsTerminal, Write};
use std::path::Path;

use crate::output::diagnostic::{Style, draw_all};
use crate::output::signal_plot::Look;
use crate::output::{Page, clean, page};
use crate::problem::Problem;
use crate::source::Sources;

use super::{Exit, disk, write};

/// A run that can't go on; everything is said when it is made.
#[derive(Debug)]
pub(super) struct Failure;

impl Failure {
    /// A file that can't be used.
    pub(super) fn file(path: &Path, why: &str) -> Self {
        Self::said(&format!("`{}` can't be read: {why}", path.display()))
    }

    /// Says a sentence on standard error.
    pub(super) fn said(sentence: &str) -> Self {
        error_line(&format!("ruleout: {sentence}"));
        Failure
    }
}

impl From<Failure> for Exit {
    fn from(_: Failure) -> Exit {
        Exit::Failed
    }
}

/// Prints text; a reader that has gone away ends it quietly, a disk that is full does not.
pub(super) fn text(text: &str) {
    let mut out = std::io::stdout().lock();
    let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush()) else { return };
    if error.kind() == std::io::ErrorKind::BrokenPipe {
        std::process::exit(0);
    }
    error_line(&format!("ruleout: the answer can't be written: {}", disk::because(&error)));
    std::process::exit(2);
}

/// Prints a page.
pub(super) fn page(page: &Page) {
    text(&page.render(width()));
}

/// Prints a line on standard error.
pub(super) fn error_line(line: &str) {
    let mut err = std::io::stderr().lock();
    let line = clean(line);
    let _ =
        if err.is_terminal() { writeln!(err, "{}", textwrap::fill(&line, width())) } else { writeln!(err, "{line}") };
}

/// Draws problems on standard error.
pub(super) fn problems(problems: &[Problem], sources: &Sources) {
    let mut err = std::io::stderr().lock();
    let _ = err.write_all(draw_all(problems, sources, style_of(std::io::stderr().is_terminal())).as_bytes());
}

/// How problems are drawn on a stream.
pub(super) fn style_of(terminal: bool) -> Style {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    let plain = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let narrated = std::env::var_os("NO_GRAPHICS").is_some_and(|v| !v.is_empty());
    Style { colour: terminal && !refused && !plain, narrated, width: width() }
}

/// What plots are drawn with: words where they are asked for, blocks where the locale has them.
pub(super) fn look() -> Look {
    if std::env::var_os("NO_GRAPHICS").is_some_and(|v| !v.is_empty()) {
        return Look::Words;
    }
    let locale =
        ["LC_ALL", "LC_CTYPE", "LANG"].iter().find_map(|name| std::env::var(name).ok().filter(|v| !v.is_empty()));
    let wide = locale.is_some_and(|locale| locale.to_lowercase().replace('-', "").ends_with("utf8"));
    if wide { Look::Blocks } else { Look::Ascii }
}

/// How wide the terminal is; 80 where there is none, never over 100.
pub(super) fn width() -> usize {
    let columns = std::env::var("COLUMNS").ok().and_then(|c| c.parse::<usize>().ok());
    columns.unwrap_or(page::WIDTH).clamp(40, 100)
}

/// Writes a text to a file, else prints it.
///
/// # Errors
/// The file can't be written; said already.
pub(super) fn text_to(file: Option<&Path>, words: &str) -> Result<(), Failure> {
    let Some(path) = file else {
        text(words);
        return Ok(());
    };
    write::replace(path, words)
        .map_err(|error| Failure::said(&format!("`{}` can't be written: {}", path.display(), disk::because(&error))))
}

/// Writes a page to a file, else prints it.
///
/// # Errors
/// The file can't be written; said already.
pub(super) fn page_to(file: Option<&Path>, page: &Page) -> Result<(), Failure> {
    text_to(file, &page.render(if file.is_some() { page::WIDTH } else { width() }))
}

/// Writes a value as JSON to a file, else prints it.
///
/// # Errors
/// The file can't be written; said already.
pub(super) fn json_to(file: Option<&Path>, value: &impl serde::Serialize) -> Result<(), Failure> {
    let json = serde_json::to_string_pretty(value)
        .map_err(|error| Failure::said(&format!("the answer can't be written as JSON: {error}")))?;
    text_to(file, &(json + "\n"))
}

/// Prints a value as JSON.
pub(super) fn json(value: &impl serde::Serialize) {
    match serde_json::to_string_pretty(value) {
        Ok(json) => text(&(json + "\n")),
        Err(error) => error_line(&format!("ruleout: the answer can't be written as JSON: {error}")),
    }
}
