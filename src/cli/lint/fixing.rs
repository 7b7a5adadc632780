//! `--fix`: safe fixes written to the files. A fixed text is read again before it is written; one that would have more
//! errors than before is not.

use std::path::PathBuf;

use crate::book::load;
use crate::lint::{self, Choice, Depth, Fix, Opened};
use crate::output::words::counted;
use crate::problem::{Problem, Severity};

use super::super::disk::because;
use super::super::out::Failure;
use super::super::write::{Patched, replace};
use super::super::{Disk, out};
use super::{LintArgs, open};

/// Fixes may uncover others; after this many rounds what is left is said.
const ROUNDS: usize = 8;

/// Fixes all files that the arguments name.
///
/// # Errors
/// A path is missing, or a file can't be written; said already.
pub(super) fn fix(args: &LintArgs) -> Result<(), Failure> {
    for _ in 0..ROUNDS {
        let (opened, _) = open(args)?;
        let outside = lint::outside(&opened);
        let choice = Choice { deny: Vec::new(), allow: args.allow.clone(), depth: Depth::Names };
        let mut done = 0;
        for (file, outside) in opened.iter().zip(&outside) {
            done +=
                one(args, file, lint::check_file(file, outside, &choice).into_iter().filter_map(|f| f.fix).collect())?;
        }
        if done == 0 {
            break;
        }
    }
    Ok(())
}

/// Fixes one file; how many fixes were written.
fn one(args: &LintArgs, file: &Opened, fixes: Vec<Fix>) -> Result<usize, Failure> {
    let Some(source) = file.loaded.trees.last().map(|tree| tree.source) else { return Ok(0) };
    let Some(text) = file.loaded.sources.get(source).map(|source| source.text.clone()) else { return Ok(0) };
    let (fixed, done) = lint::fix::apply(&text, source, &fixes);
    if done == 0 || *fixed == *text {
        return Ok(0);
    }
    let path = PathBuf::from(&file.loaded.file);
    let patched = Patched { disk: Disk::of(&path, &args.reading), path: path.clone(), text: fixed };
    let worse =
        load(&patched, &path).map_or(true, |loaded| errors(&Opened::resolve(loaded).problems) > errors(&file.problems));
    if worse {
        out::error_line(&format!("ruleout: the fixes of `{}` would make new errors and are left out", path.display()));
        return Ok(0);
    }
    replace(&path, &patched.text)
        .map_err(|error| Failure::said(&format!("`{}` can't be written: {}", path.display(), because(&error))))?;
    out::error_line(&format!("{} of `{}` fixed", counted(done, "finding", "findings"), path.display()));
    Ok(done)
}

fn errors(problems: &[Problem]) -> usize {
    problems.iter().filter(|problem| problem.severity == Severity::Error).count()
}
