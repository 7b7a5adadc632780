//! `ruleout fmt`: one layout for rulebooks.

use std::path::{Path, PathBuf};

use clap::Args;
use similar::TextDiff;

use crate::output::clean;
use crate::source::Sources;
use crate::syntax::format::format;

use super::out::Failure;
use super::write::replace;
use super::{Exit, disk, files, out, script};

/// Arguments of `fmt`.
#[derive(Clone, Debug, Args)]
pub(super) struct FmtArgs {
    /// Rulebooks, or folders of such; `-` reads standard input and writes standard output
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Change nothing; show what would change and end with status 1
    #[arg(long)]
    check: bool,
    /// Read files over 16 MB too
    #[arg(long)]
    large: bool,
}

/// Runs it.
pub(super) fn run(args: &FmtArgs) -> Exit {
    if args.paths.iter().any(|path| path.as_os_str() == "-") {
        return standard(args).unwrap_or_else(Exit::from);
    }
    let files = match files::rulebooks(&args.paths) {
        Ok(files) => files,
        Err(failure) => return failure.into(),
    };
    files.iter().map(|path| one(args, path).unwrap_or_else(Exit::from)).max().unwrap_or(Exit::Done)
}

/// For editors: the layout of what comes in; a text with errors comes out as it went in.
fn standard(args: &FmtArgs) -> Result<Exit, Failure> {
    let text = script::standard_input(args.large)
        .map_err(|why| Failure::said(&format!("standard input can't be read: {why}")))?;
    let name = "standard input";
    match laid_out(name, &text) {
        None => {
            if !args.check {
                out::text(&text);
            }
            Ok(Exit::Found)
        }
        Some(wanted) if args.check => Ok(differs(name, &text, &wanted)),
        Some(wanted) => {
            out::text(&wanted);
            Ok(Exit::Done)
        }
    }
}

fn one(args: &FmtArgs, path: &Path) -> Result<Exit, Failure> {
    let text = disk::read_text(path, args.large).map_err(|why| Failure::file(path, &why))?;
    let name = path.display().to_string();
    let Some(wanted) = laid_out(&name, &text) else { return Ok(Exit::Found) };
    if args.check {
        return Ok(differs(&name, &text, &wanted));
    }
    if wanted != text {
        replace(path, &wanted)
            .map_err(|error| Failure::said(&format!("`{name}` can't be written: {}", disk::because(&error))))?;
        out::text(&format!("laid out: {}\n", clean(&name)));
    }
    Ok(Exit::Done)
}

/// The text in its layout; none where it has errors, which are shown.
fn laid_out(name: &str, text: &str) -> Option<String> {
    match format(text) {
        Ok(wanted) => Some(wanted),
        Err(problems) => {
            let mut sources = Sources::new();
            sources.add(name, text);
            out::problems(&problems, &sources);
            out::error_line(&format!("ruleout: `{name}` has errors and is left as it is"));
            None
        }
    }
}

fn differs(name: &str, text: &str, wanted: &str) -> Exit {
    if text == wanted {
        return Exit::Done;
    }
    let diff = TextDiff::from_lines(text, wanted);
    let shown = diff.unified_diff().context_radius(2).header(name, "as fmt lays it out").to_string();
    out::text(&clean(&shown));
    Exit::Found
}
