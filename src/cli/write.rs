//! Writing files: beside the place first, then in it, so that a full disk loses nothing; and a book as it would be if
//! its file said something else.

use std::io::Write;
use std::path::{Path, PathBuf};

use crate::book::Library;
use crate::book::load::plain;

use super::Disk;

/// Puts a text in the place of a file, or makes the file. Links are followed, permissions kept.
pub(super) fn replace(path: &Path, text: &str) -> std::io::Result<()> {
    let path = &path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let known = std::fs::metadata(path).ok();
    if known.as_ref().is_some_and(|known| !known.is_file() && !known.is_dir()) {
        // A pipe or a terminal can only be written to.
        return std::fs::write(path, text);
    }
    if known.as_ref().is_some_and(|known| known.permissions().readonly()) {
        return Err(std::io::ErrorKind::PermissionDenied.into());
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = fresh(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    if let Some(known) = known {
        file.as_file().set_permissions(known.permissions())?;
    }
    file.persist(path).map_err(|error| error.error)?;
    // The new name is only safe once its folder is.
    if cfg!(unix) { std::fs::File::open(folder)?.sync_all() } else { Ok(()) }
}

/// A file for all whom the folder's owner lets read.
#[cfg(unix)]
fn fresh(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    use std::os::unix::fs::PermissionsExt;
    // What the user's mask takes away is taken away.
    tempfile::Builder::new().permissions(std::fs::Permissions::from_mode(0o666)).tempfile_in(folder)
}

#[cfg(not(unix))]
fn fresh(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    tempfile::NamedTempFile::new_in(folder)
}

/// The disk with one file's text replaced.
pub(super) struct Patched {
    /// Everything else.
    pub(super) disk: Disk,
    /// The file.
    pub(super) path: PathBuf,
    /// What it would say.
    pub(super) text: String,
}

impl Library for Patched {
    fn read(&self, path: &Path) -> Result<String, String> {
        if plain(path) == plain(&self.path) { Ok(self.text.clone()) } else { self.disk.read(path) }
    }

    fn allows(&self, path: &Path) -> bool {
        self.disk.allows(path)
    }
}
