//! A folder of jobs: every file in it, in order of names, judged as `judge` does.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::batch::{Judged, judge_job};
use crate::output::batch::Done;
use crate::problem::Severity;

use super::super::out::Failure;
use super::super::{disk, jobfile, logs};
use super::{AT_ONCE, Desk};

/// Judges all jobs of a folder.
pub(super) fn judge(desk: &mut Desk<'_>, folder: &Path, large: bool) -> Result<(), Failure> {
    let listed = std::fs::read_dir(folder).map_err(|error| Failure::file(folder, &disk::because(&error)))?;
    let mut files: Vec<PathBuf> = listed.filter_map(Result::ok).map(|entry| entry.path()).collect();
    files.retain(|path| path.is_file());
    files.sort();
    for some in files.chunks(AT_ONCE) {
        let done: Vec<Done> = some.par_iter().map(|path| one(desk, path, large)).collect();
        desk.write(&done);
    }
    Ok(())
}

fn one(desk: &Desk<'_>, path: &Path, large: bool) -> Done {
    let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    Done { place: name.clone(), result: played(desk, path, large), name }
}

fn played(desk: &Desk<'_>, path: &Path, large: bool) -> Result<Judged, String> {
    let text = disk::read_text(path, large)?;
    let played = jobfile::play(desk.book, &path.display().to_string(), &text, &logs::beside(path))?;
    if let Some(problem) = played.problems.iter().find(|problem| problem.severity == Severity::Error) {
        let (line, _) = played.sources.line_column(problem.span());
        return Err(format!("line {line}: {}", problem.message));
    }
    match &played.job.profile {
        Some(profile) if desk.book.profile.as_ref() != Some(profile) => {
            Err(format!("it is for the profile `{profile}`; run it with `--profile`"))
        }
        _ => Ok(judge_job(desk.book, &played.job)),
    }
}
