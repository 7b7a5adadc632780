//! Logs on disk: a file of the job's folder or below it, handed over as bytes. What was read of one is remembered for
//! this run, for as long as the file stays the same, so that taking back a line doesn't read it again.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::SystemTime;

use crate::job::{LogSource, Logs, Recording};

use super::disk::because;

/// The most recordings that are remembered.
const MOST_KNOWN: usize = 64;

/// What tells whether a file is still the same: its length and the time of its last change.
type Stamp = (u64, Option<SystemTime>);

/// The logs of a folder.
#[derive(Debug)]
struct Folder {
    folder: PathBuf,
    known: Mutex<Vec<(Stamp, String, Arc<Recording>)>>,
}

/// The logs beside a file: a job, or a rulebook with its cases.
pub(super) fn beside(path: &Path) -> LogSource {
    of(path.parent().unwrap_or(Path::new("")))
}

/// The logs of the folder that the program was started in.
pub(super) fn here() -> LogSource {
    of(Path::new(""))
}

fn of(folder: &Path) -> LogSource {
    let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_path_buf() };
    LogSource(Some(Arc::new(Folder { folder, known: Mutex::new(Vec::new()) })))
}

impl Folder {
    /// Where a log lies, if it lies inside.
    fn path(&self, file: &str) -> Result<PathBuf, String> {
        let named = Path::new(file);
        let plain = named.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
        if !plain || file.is_empty() {
            return Err("it lies outside of the job's folder; put the log beside the job".into());
        }
        let path = self.folder.join(named);
        let meta = fs::metadata(&path).map_err(|error| because(&error))?;
        if meta.is_dir() {
            return Err("it is a folder".into());
        }
        if !meta.is_file() {
            return Err("it is no plain file".into());
        }
        // Links are followed, so that one can't lead out of the folder.
        let real = |path: &Path| path.canonicalize().map_err(|error| because(&error));
        if !real(&path)?.starts_with(real(&self.folder)?) {
            return Err("it lies outside of the job's folder; put the log beside the job".into());
        }
        Ok(path)
    }

    fn stamp(&self, file: &str) -> Option<Stamp> {
        let meta = fs::metadata(self.path(file).ok()?).ok()?;
        Some((meta.len(), meta.modified().ok()))
    }

    fn key(file: &str, asked: &str) -> String {
        format!("{file}\n{asked}")
    }
}

impl Logs for Folder {
    fn open(&self, file: &str) -> Result<Box<dyn Read>, String> {
        let file = File::open(self.path(file)?).map_err(|error| because(&error))?;
        Ok(Box::new(file))
    }

    fn known(&self, file: &str, asked: &str) -> Option<Arc<Recording>> {
        let (stamp, key) = (self.stamp(file)?, Self::key(file, asked));
        let known = self.known.lock().ok()?;
        known.iter().find(|(at, of, _)| *at == stamp && *of == key).map(|(_, _, recording)| recording.clone())
    }

    fn keep(&self, file: &str, asked: &str, recording: &Arc<Recording>) {
        let (Some(stamp), Ok(mut known)) = (self.stamp(file), self.known.lock()) else { return };
        if known.len() >= MOST_KNOWN {
            known.remove(0);
        }
        known.push((stamp, Self::key(file, asked), recording.clone()));
    }
}
