//! `ruleout lint`: what is wrong with rulebooks.

use std::path::PathBuf;

use clap::Args;

use crate::book::load;
use crate::output::diagnostic::draw_all;
use crate::output::words::counted;

use super::out::Failure;
use super::{Disk, Exit, ReadingArgs, files, out};

/// Arguments of `lint`.
#[derive(Clone, Debug, Args)]
pub struct LintArgs {
    /// Rulebooks, or folders of such
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub fn run(args: &LintArgs) -> Exit {
    let files = match files::rulebooks(&args.paths) {
        Ok(files) => files,
        Err(failure) => return failure.into(),
    };
    let mut exit = Exit::Done;
    let mut found = 0;
    for path in files {
        match load(&Disk::of(&path, &args.reading), &path) {
            Err(why) => exit = Failure::file(&path, &why).into(),
            Ok(loaded) => {
                let (_, problems) = loaded.resolve(None);
                found += problems.len();
                out::text(&draw_all(&problems, &loaded.sources, out::style_of(false)));
            }
        }
    }
    out::text(&format!("{} found\n", counted(found, "problem", "problems")));
    exit.max(if found > 0 { Exit::Found } else { Exit::Done })
}
