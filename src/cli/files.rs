//! The rulebooks that paths name: files as given, folders walked, in stable order.

use std::path::{Path, PathBuf};

use super::out::Failure;

/// The ending of rulebooks.
pub(super) const ENDING: &str = "rulebook";

/// All rulebooks of some paths.
///
/// # Errors
/// A path is missing; said already.
pub(super) fn rulebooks(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut all = Vec::new();
    for path in paths {
        if !path.exists() {
            return Err(Failure::file(path, "there is no such file"));
        }
        if path.is_dir() {
            all.extend(inside(path));
        } else {
            all.push(path.clone());
        }
    }
    Ok(all)
}

fn inside(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = ignore::WalkBuilder::new(folder)
        .require_git(false)
        .build()
        .filter_map(Result::ok)
        .map(ignore::DirEntry::into_path)
        .filter(|path| path.is_file() && path.extension().is_some_and(|e| e == ENDING))
        .collect();
    found.sort();
    found
}
