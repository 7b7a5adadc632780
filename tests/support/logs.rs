//! Logs from a folder, for tests.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use ruleout::job::{LogSource, Logs};

#[derive(Debug)]
struct FolderLogs(PathBuf);

impl Logs for FolderLogs {
    fn open(&self, file: &str) -> Result<Box<dyn Read>, String> {
        let file = std::fs::File::open(self.0.join(file)).map_err(|error| error.to_string())?;
        Ok(Box::new(file))
    }
}

/// The logs of a folder.
pub(crate) fn logs_of(folder: &Path) -> LogSource {
    LogSource(Some(Arc::new(FolderLogs(folder.to_path_buf()))))
}
